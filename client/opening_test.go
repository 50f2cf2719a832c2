package client

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"

	"dyelot/inventory/opening"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

// refusing answers an import as the service does where two cells are off.
func refusing(a asked) (proto.Message, error) {
	req, ok := a.request.(*dyelotv1.ImportOpeningRequest)
	if !ok {
		return nil, nil
	}
	if req.GetDryRun() {
		return &dyelotv1.ImportOpeningResponse{DryRun: true, FindingCount: 1, Findings: []*dyelotv1.OpeningNote{{Sheet: "parcels", Line: 12, Column: "amount", Text: "is empty"}}}, nil
	}
	st, err := status.New(codes.InvalidArgument, "2 things are off, and nothing was imported: put them right and try again").WithDetails(
		&errdetails.ErrorInfo{Reason: "OPENING_OFF", Domain: "dyelot", Metadata: map[string]string{"findings": "2"}},
		&errdetails.BadRequest{FieldViolations: []*errdetails.BadRequest_FieldViolation{
			{Field: "parcels:12:amount", Description: `"1,234" may be a thousand times less or more`}, {Field: "lots", Description: "is empty: its first line names the columns"}}})
	if err != nil {
		return nil, err
	}
	return nil, st.Err()
}

func TestARefusedImportIsAListOfPlaces(t *testing.T) {
	t.Parallel()
	b := at(open(t, refusing))
	got := b.run(t, "opening", "import", "--items", "testdata/items.csv")
	want := `file     line  column  what
parcels    12  amount  "1,234" may be a thousand times less or more
lots        –          is empty: its first line names the columns
dyelot: 2 things are off, and nothing was imported: put them right and try again
        see the columns with: dyelot opening columns; days and commas of another country: --day-order, --decimal-comma
`
	if got.code != 2 || got.out != "" || got.err != want {
		t.Errorf("exit code %d, %q\n%s", got.code, got.out, got.err)
	}
	got = b.run(t, "opening", "import", "--items", "testdata/items.csv", "--json")
	var said struct{ Error complaint }
	if err := json.Unmarshal([]byte(got.err), &said); err != nil || len(said.Error.Violations) != 2 || said.Error.Violations[0].Field != "parcels:12:amount" || said.Error.Reason != "OPENING_OFF" {
		t.Errorf("%v: %s", err, got.err)
	}
	got = b.run(t, "opening", "import", "--items", "testdata/items.csv", "--dry-run")
	if got.code != 2 || !strings.Contains(got.out, "parcels    12  amount  is empty") || !strings.Contains(got.err, "1 in all") {
		t.Errorf("exit code %d\n%s%s", got.code, got.out, got.err)
	}
}

func TestWhichFileIsOffIsSaid(t *testing.T) {
	t.Parallel()
	if mostBytes != opening.MaxBytes {
		t.Errorf("%d bytes are sent and %d are read", mostBytes, opening.MaxBytes)
	}
	service := open(t, nil)
	large := filepath.Join(t.TempDir(), "large.csv")
	if err := os.WriteFile(large, make([]byte, 16_000_001), 0o600); err != nil {
		t.Fatal(err)
	}
	for line, want := range map[string]string{
		"opening import": "no file is named: --items, --parcels or --lots",
		"opening import --lots testdata/none.csv":                                  "--lots: testdata/none.csv: no such file or directory",
		"opening import --lots " + large:                                           "large.csv: is longer than 16 MB",
		"opening import --lots testdata/items.csv --decimal-comma --decimal-point": "say one of them",
		"opening columns --of bags":                                                `--of: "bags" is none of items, parcels, lots`,
	} {
		if got := at(service).run(t, strings.Fields(line)...); got.code != 2 || !strings.Contains(got.err, want) {
			t.Errorf("%s: exit code %d: %s", line, got.code, got.err)
		}
	}
	b := at(service)
	b.stdin = "item,kind\n"
	if got := b.run(t, "opening", "import", "--items", "-"); got.code != 0 {
		t.Errorf("standard input: exit code %d: %s", got.code, got.err)
	}
	calls := service.seen()
	if req := calls[len(calls)-1].request.(*dyelotv1.ImportOpeningRequest); string(req.GetItems().GetContent()) != "item,kind\n" {
		t.Errorf("%v", req)
	}
}
