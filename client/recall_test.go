package client

import (
	"encoding/csv"
	"encoding/json"
	"os"
	"strings"
	"testing"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

func twoScarves(a asked) (proto.Message, error) {
	rows := []*dyelotv1.RecallGarment{{Tag: "1000Q", LotCode: "L1", Place: "shelf"}, {Tag: "1001R", LotCode: "L1", Place: "sold", OrderRef: "=market-12"}}
	switch a.request.(type) {
	case *dyelotv1.PreviewRecallRequest:
		return &dyelotv1.PreviewRecallResponse{Title: "parcel P4, alum", Garments: rows}, nil
	case *dyelotv1.ListRecallGarmentsRequest:
		return &dyelotv1.ListRecallGarmentsResponse{Garments: rows}, nil
	case *dyelotv1.GetRecallRequest:
		return &dyelotv1.GetRecallResponse{Recall: &dyelotv1.Recall{Code: "K1", Found: 2}}, nil
	}
	return nil, nil
}

// A stream is one document a line; of a recall that was opened, the recall first.
func TestRecalledGarmentsAreADocumentALine(t *testing.T) {
	t.Parallel()
	for line, want := range map[string][]string{"recall preview P4": {`"tag":"1000Q"`, `"tag":"1001R"`}, "recall show K1": {`"code":"K1"`, `"tag":"1000Q"`, `"tag":"1001R"`}} {
		got := at(open(t, twoScarves)).run(t, append(strings.Fields(line), "--json")...)
		lines := strings.Split(strings.TrimSuffix(got.out, "\n"), "\n")
		if got.code != 0 || len(lines) != len(want) {
			t.Fatalf("%s: exit code %d, %d lines: %s", line, got.code, len(lines), got.err)
		}
		for i, l := range lines {
			if !json.Valid([]byte(l)) || !strings.Contains(l, want[i]) {
				t.Errorf("%s: line %d is %s, want %s", line, i, l, want[i])
			}
		}
	}
}

func TestRecallAsATable(t *testing.T) {
	t.Parallel()
	file := t.TempDir() + "/k1.csv"
	got := at(open(t, twoScarves)).run(t, "recall", "show", "K1", "--csv", file)
	text, err := os.ReadFile(file)
	if err != nil || got.code != 0 || got.out != "" || !strings.Contains(got.err, "2 garments") {
		t.Fatalf("%v %+v", err, got)
	}
	rows, err := csv.NewReader(strings.NewReader(string(text))).ReadAll()
	if err != nil || len(rows) != 3 || rows[2][0] != "'=market-12" || rows[2][2] != "1001R" {
		t.Errorf("%v, %v", rows, err)
	}
	if got := at(open(t, twoScarves)).run(t, "recall", "preview", "P4", "--csv", "-"); got.out != string(text) {
		t.Errorf("on standard output:\n%s", got.out)
	}
}

func TestWordsOfARecallCommandThatAreOff(t *testing.T) {
	t.Parallel()
	held := open(t, func(asked) (proto.Message, error) { return nil, status.Error(codes.FailedPrecondition, "held") })
	for line, want := range map[string]string{
		"recall preview B3/0":       "NODE: \"B3/0\" names no use of a bath",
		"recall preview B3/x":       "NODE: \"B3/x\" names no use of a bath",
		"recall open P4":            "--reason is needed",
		"recall told K1 16JD":       "--how is needed",
		"recall account K1":         "TAG",
		"recall account K1 16JD":    "--how is needed",
		"recall close K1":           "--reason is needed",
		"recall preview P4 P5":      "one word too many",
		"recall preview --picked x": "is not a day",
	} {
		got := at(held).run(t, strings.Fields(line)...)
		if got.code != 2 || !strings.Contains(got.err, want) {
			t.Errorf("%s: exit code %d, %q; want 2 and %q", line, got.code, got.err, want)
		}
	}
	if got := at(held).run(t, "recall", "preview", "P4"); got.code != 4 {
		t.Errorf("a stream that is refused: %+v", got)
	}
}
