package client

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// itemsHash is the SHA-256 of testdata/items.csv, by sha256sum of GNU coreutils.
const itemsHash = "0383911766fa26536bee25b2e24614f36db7333ef80caf7d8911bc9029e428da"

// A file is the report, or another one, or none was kept: three answers, and the
// file itself never travels. The hash of "abc" is that of FIPS 180-4's example.
func TestAFileIsTheReportOrAnother(t *testing.T) {
	t.Parallel()
	const abc = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
	file := filepath.Join(t.TempDir(), "report-12.pdf")
	if err := os.WriteFile(file, []byte("abc"), 0o600); err != nil {
		t.Fatal(err)
	}
	for kept, want := range map[string]struct {
		code int
		says string
	}{
		abc:                     {exitDone, "report-12.pdf is the report of F7"},
		strings.Repeat("0", 64): {exitRefused, "report-12.pdf is not the report of F7, which was first.pdf"},
		"":                      {exitRefused, "no report was kept with F7"},
	} {
		service := open(t, func(asked) (proto.Message, error) {
			return &dyelotv1.GetFastnessTestResponse{Test: &dyelotv1.FastnessTest{Code: "F7", ReportName: "first.pdf", ReportSha256: kept}}, nil
		})
		got := at(service).run(t, "test", "check", "F7", file)
		if got.code != want.code || !strings.Contains(strings.Join(strings.Fields(got.out+got.err), " "), want.says) {
			t.Errorf("kept %q: exit code %d: %s%s", kept, got.code, got.out, got.err)
		}
	}
	service := open(t, func(asked) (proto.Message, error) {
		return &dyelotv1.GetFastnessTestResponse{Test: &dyelotv1.FastnessTest{Code: "F7", ReportSha256: abc}}, nil
	})
	doc := document(t, at(service).run(t, "test", "check", "F7", file, "--json"))
	if doc["test"] != "F7" || doc["sha256"] != abc {
		t.Errorf("%v", doc)
	}
	got := at(service).run(t, "test", "check", "F7", file+".gone")
	if got.code != exitUsage || !strings.Contains(got.err, "FILE") || !strings.Contains(got.err, "cannot be read") {
		t.Errorf("exit code %d: %s", got.code, got.err)
	}
}

func TestWearWordsThatAreRefused(t *testing.T) {
	t.Parallel()
	for line, says := range map[string]string{
		"test add L1 studio-home-wash --measured change=1,2,3":     "--measured: \"1,2,3\" is not two colours",
		"test add L1 studio-home-wash --measured 1,2,3:4,5,6":      "--measured",
		"test add L1 studio-home-wash --measured change=1,2:4,5,6": "--measured: \"1,2\" is not L,a,b",
		"test add L1 studio-home-wash change=4 --report gone.pdf":  "--report: gone.pdf cannot be read",
		"test fade L1 --lux bright --hours 10":                     "--lux: \"bright\" is no number",
		"window out L1 --place here --blue-wools 4-1":              "--blue-wools: \"4-1\" is no blue wool",
		"window out L1 --place here --look soon":                   "--look: \"soon\" is neither days after",
		"window look X4 --changed all":                             "--changed",
	} {
		got := bench{}.run(t, strings.Fields(line)...)
		if got.code != exitUsage || !strings.Contains(strings.Join(strings.Fields(got.err), " "), says) {
			t.Errorf("%s: exit code %d: %s", line, got.code, got.err)
		}
	}
}
