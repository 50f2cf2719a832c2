package client

import (
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// document reads the one JSON document that a command must have printed.
func document(t *testing.T, got heard) map[string]any {
	t.Helper()
	if got.code != 0 || strings.Count(got.out, "\n") != 1 {
		t.Fatalf("exit code %d, %d lines, stderr %q: want one document on a line", got.code, strings.Count(got.out, "\n"), got.err)
	}
	var doc map[string]any
	if err := json.Unmarshal([]byte(got.out), &doc); err != nil {
		t.Fatalf("%v: %s", err, got.out)
	}
	return doc
}

// Field names are snake_case, amounts a decimal string beside their unit, and
// what has no presence is there even when it is empty.
func TestJSONIsTheContracts(t *testing.T) {
	t.Parallel()
	service := open(t, func(asked) (proto.Message, error) {
		return &dyelotv1.CountParcelResponse{Parcel: &dyelotv1.Parcel{Code: "P9", ItemCode: "alum", OnHand: &dyelotv1.Amount{Value: "337.5", Unit: "g"}}}, nil
	})
	doc := document(t, at(service).run(t, "stock", "count", "P9", "337.5g", "--json"))
	parcel, _ := doc["parcel"].(map[string]any)
	if diff := cmp.Diff(map[string]any{"value": "337.5", "unit": "g"}, parcel["on_hand"]); diff != "" {
		t.Errorf("on_hand (-want +got):\n%s", diff)
	}
	if _, camel := parcel["itemCode"]; camel || parcel["item_code"] != "alum" {
		t.Errorf("%v: want snake_case", parcel)
	}
	if diff := cmp.Diff([]any{}, doc["shortages"]); diff != "" {
		t.Errorf("shortages (-want +got):\n%s", diff)
	}
	if _, there := doc["movement"]; there {
		t.Error("an absent movement is written")
	}
}

// A list of many pages is one document.
func TestListsAreOneDocument(t *testing.T) {
	t.Parallel()
	service := open(t, func(a asked) (proto.Message, error) {
		q := a.request.(*dyelotv1.ListParcelsRequest)
		switch q.GetPageToken() {
		case "":
			return &dyelotv1.ListParcelsResponse{Parcels: []*dyelotv1.Parcel{{Code: "P1"}, {Code: "P2"}}, NextPageToken: "two"}, nil
		case "two":
			return &dyelotv1.ListParcelsResponse{Parcels: []*dyelotv1.Parcel{{Code: "P3"}}, NextPageToken: "three"}, nil
		}
		return &dyelotv1.ListParcelsResponse{}, nil
	})
	doc := document(t, at(service).run(t, "stock", "list", "--json"))
	if parcels, _ := doc["parcels"].([]any); len(parcels) != 3 || doc["next_page_token"] != "" {
		t.Errorf("%v: want three parcels and no next page", doc)
	}
	if n := len(service.seen()); n != 3 {
		t.Errorf("%d calls, want 3", n)
	}
}

func TestAuditKeepsTheNewest(t *testing.T) {
	t.Parallel()
	service := open(t, func(asked) (proto.Message, error) {
		resp := &dyelotv1.ListAuditEntriesResponse{}
		for id := range 120 {
			resp.Entries = append(resp.Entries, &dyelotv1.AuditEntry{Id: int64(id)})
		}
		return resp, nil
	})
	for args, want := range map[string]struct {
		n     int
		first string
	}{"": {50, "70"}, "--newest 3": {3, "117"}, "--newest 0": {120, "0"}} {
		doc := document(t, at(service).run(t, strings.Fields("audit list --json "+args)...))
		entries, _ := doc["entries"].([]any)
		if len(entries) != want.n || entries[0].(map[string]any)["id"] != want.first {
			t.Errorf("%q: %d entries from %v, want %d from %s", args, len(entries), entries[0], want.n, want.first)
		}
	}
}

func TestBooksThatAreNotWholeFail(t *testing.T) {
	t.Parallel()
	service := open(t, func(asked) (proto.Message, error) {
		return &dyelotv1.VerifyBooksResponse{Findings: []*dyelotv1.Finding{{Check: "balance-rebuild", Subject: "P9", Text: "338 g in the book, 320 g by its movements"}}}, nil
	})
	got := at(service).run(t, "verify")
	if got.code != 1 || !strings.HasPrefix(got.out, "NOT WHOLE  P9: ") || !strings.Contains(got.err, "not whole") {
		t.Errorf("exit code %d, stdout %q, stderr %q", got.code, got.out, got.err)
	}
}

// The service learns a token's SHA-256 and nothing else.
func TestATokenIsShownOnceAndNeverSent(t *testing.T) {
	t.Parallel()
	service := open(t, func(a asked) (proto.Message, error) {
		return &dyelotv1.CreateTokenResponse{Token: &dyelotv1.Token{Name: a.request.(*dyelotv1.CreateTokenRequest).GetName()}}, nil
	})
	doc := document(t, at(service).run(t, "token", "add", "bench-1", "--role", "bench", "--json"))
	secret, _ := doc["secret"].(string)
	call := service.seen()[0]
	sum := sha256.Sum256([]byte(secret))
	if len(secret) < 40 || !bytes.Equal(call.request.(*dyelotv1.CreateTokenRequest).GetTokenSha256(), sum[:]) {
		t.Errorf("secret %q does not make the hash that was sent", secret)
	}
	if bytes.Contains(call.body, []byte(secret)) {
		t.Error("the token itself was sent")
	}

	file := filepath.Join(t.TempDir(), "tablet.token")
	got := at(service).run(t, "token", "add", "tablet", "--role", "bench", "--out", file)
	kept, err := os.ReadFile(file)
	if err != nil || got.code != 0 {
		t.Fatalf("exit code %d, %v: %s", got.code, err, got.err)
	}
	sum = sha256.Sum256(bytes.TrimSpace(kept))
	if !bytes.Equal(service.seen()[1].request.(*dyelotv1.CreateTokenRequest).GetTokenSha256(), sum[:]) || strings.Contains(got.out, strings.TrimSpace(string(kept))) {
		t.Errorf("the file holds another token, or it was shown: %s", got.out)
	}
	if info, err := os.Stat(file); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("%v, %v: want 0600", info.Mode(), err)
	}
}

func TestBackupsAreWholeAndPrivate(t *testing.T) {
	t.Parallel()
	service := open(t, shelf)
	file := filepath.Join(t.TempDir(), "studio.backup")
	doc := document(t, at(service).run(t, "backup", file, "--json"))
	want := map[string]any{"file": file, "bytes": 6.0, "sha256": fmt.Sprintf("%x", sha256.Sum256([]byte("a copy")))}
	if diff := cmp.Diff(want, doc); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	text, err := os.ReadFile(file)
	info, bad := os.Stat(file)
	if err != nil || bad != nil || string(text) != "a copy" || info.Mode().Perm() != 0o600 {
		t.Errorf("%q, %v %v", text, err, bad)
	}
	if got := at(service).run(t, "backup", file); got.code != 2 || !strings.Contains(got.err, "is there already") {
		t.Errorf("over an older one: exit code %d: %s", got.code, got.err)
	}
	if got := at(service).run(t, "backup", file, "--replace"); got.code != 0 {
		t.Errorf("--replace: exit code %d: %s", got.code, got.err)
	}
}

// A backup that breaks off leaves nothing behind, and the older one as it was.
func TestABrokenBackupLeavesNothing(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	file := filepath.Join(dir, "studio.backup")
	if err := os.WriteFile(file, []byte("older"), 0o600); err != nil {
		t.Fatal(err)
	}
	for name, answer := range map[string]func(asked) (proto.Message, error){
		"refused": func(asked) (proto.Message, error) { return nil, status.Error(codes.PermissionDenied, "no") },
		"empty":   nil,
	} {
		got := at(open(t, answer)).run(t, "backup", file, "--replace")
		left, err := os.ReadDir(dir)
		text, _ := os.ReadFile(file)
		if got.code != 1 || err != nil || len(left) != 1 || string(text) != "older" {
			t.Errorf("%s: exit code %d, %d files, %q", name, got.code, len(left), text)
		}
	}
}

// Nothing but a terminal is coloured, and no prompt waits for a pipe.
func TestAPipeIsPlain(t *testing.T) {
	t.Parallel()
	service := open(t, func(asked) (proto.Message, error) {
		return &dyelotv1.GetTodayResponse{Today: "2026-05-14", Tasks: []*dyelotv1.Task{{Subject: "alum", Text: "order it", Late: true}}}, nil
	})
	got := at(service).with("TERM", "xterm-256color").with("CLICOLOR_FORCE", "1").run(t, "today")
	if got.out != "Today, 2026-05-14\n[ ] LATE  alum: order it\n" || got.err != "" {
		t.Errorf("stdout %q, stderr %q", got.out, got.err)
	}
}

// A parcel's code that nothing has, and that could be a tag, is tried as one.
func TestACodeThatIsNoParcelMayBeATag(t *testing.T) {
	t.Parallel()
	service := open(t, func(a asked) (proto.Message, error) {
		if a.method == "GarmentService/TraceParcel" {
			return nil, status.Error(codes.NotFound, "there is no parcel")
		}
		return &dyelotv1.TraceGarmentResponse{Garment: &dyelotv1.Garment{Tag: "P1234"}}, nil
	})
	if got := at(service).run(t, "trace", "P1234"); got.code != 0 || !strings.HasPrefix(got.out, "P1234") {
		t.Errorf("exit code %d: %s%s", got.code, got.out, got.err)
	}
	if got := at(service).run(t, "trace", "P99"); got.code != 3 {
		t.Errorf("P99 is too short for a tag: exit code %d: %s", got.code, got.err)
	}
}

func TestARecipeFromAFile(t *testing.T) {
	t.Parallel()
	service := open(t, nil)
	shown := `{"recipe": {"code": "old", "name": "gold", "version": 3, "fibre": "silk", "liquor_ratio": "40", "written_by": "owner",
		"stages": [{"position": 1, "kind": "dye", "kind_name": "dye", "celsius": 60}]}, "warnings": []}`
	b := at(service)
	b.stdin = shown
	if got := b.run(t, "recipe", "add", "gold", "--file", "-", "--note", "copied", "--ratio", "30"); got.code != 0 {
		t.Fatal(got.err)
	}
	want := &dyelotv1.Recipe{Code: "gold", Name: "gold", Fibre: "silk", LiquorRatio: "30", Note: "copied", Stages: []*dyelotv1.RecipeStage{{Position: 1, Kind: "dye", Celsius: 60}}}
	if got := service.seen()[0].request.(*dyelotv1.CreateRecipeVersionRequest).GetRecipe(); !proto.Equal(got, want) {
		t.Errorf("sent %v, want %v", got, want)
	}
	for text, says := range map[string]string{`{"colour": "gold"}`: "is not a recipe", `[`: "is not a recipe", "\xff": "is not a recipe"} {
		b.stdin = text
		if got := b.run(t, "recipe", "add", "gold", "--file", "-"); got.code != 2 || !strings.Contains(got.err, says) {
			t.Errorf("%q: exit code %d: %s", text, got.code, got.err)
		}
	}
	if got := b.run(t, "recipe", "add", "gold", "--file", "-", "--stage", "dye"); got.code != 2 || !strings.Contains(got.err, "not from both") {
		t.Errorf("both: exit code %d: %s", got.code, got.err)
	}
}
