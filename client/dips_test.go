package client

import (
	"crypto/sha256"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

const dipsFileName = "testdata/dips.csv"

func init() {
	from := func(sample string) string {
		text, err := os.ReadFile(dipsFileName)
		if err != nil {
			panic(err)
		}
		return fmt.Sprintf(`file { name: "dips.csv" sha256: "%x" sample: %q }`, sha256.Sum256(text), sample)
	}
	dip := func(side, wof, sample, reflectance string) string {
		return fmt.Sprintf(`%s { percent_wof: %q spectrum { first_nm: 400 step_nm: 20 reflectance: [%s] } %s } `, side, wof, reflectance, from(sample))
	}
	every = append(every, []struct{ method, line, request string }{
		{"DepthService/RecordTestDips", `dips record P6 --against p2 --file ` + dipsFileName + ` --fibre wool --mordant "alum 12 %" --by bench-1 --at "today 9:30" --note "same day" --set`,
			`parcel_code: "P6" reference_parcel_code: "p2" fibre: "wool" mordant: "alum 12 %" by: "bench-1" note: "same day" set: true happened_at { seconds: 1778743800 }
			 ground { first_nm: 400 step_nm: 20 reflectance: [0.61, 0.63, 0.65, 0.67] }` +
				dip("dips", "1", "P6 1%", "0.3, 0.33, 0.37, 0.42") + dip("dips", "2.5", "P6 2,5 % again", "0.2, 0.23, 0.27, 0.32") +
				dip("reference_dips", "1", "P2 1%", "0.29, 0.32, 0.36, 0.41") + dip("reference_dips", "2.5", "p2 2.5%", "0.19, 0.22, 0.26, 0.31")},
		{"DepthService/RecordTestDips", `dips record P6 --against "jar 3" --dip "3%=` + dipsFileName + `:gold" --reference-dip 4=` + dipsFileName + `:undyed --undyed-of wool-strip --fibre wool`,
			`parcel_code: "P6" reference: "jar 3" fibre: "wool" ground_item_code: "wool-strip"` + dip("dips", "3", "gold", "0.19, 0.22, 0.26, 0.31") + dip("reference_dips", "4", "undyed", "0.6, 0.62, 0.64, 0.66")},
		{"DepthService/GetTestDips", `dips show D1`, `code: "D1"`},
		{"DepthService/ListTestDips", `dips list P6`, `parcel_code: "P6"`},
		{"DepthService/ListTestDips", `dips list`, ``},
		{"DepthService/ProposeDose", `recipe dose gold --plant weld --part leaf --fibre wool --mordant alum,copperas --parcel P6 --undyed-of wool-strip --why`,
			`standard_code: "gold" plant: "weld" part: "leaf" fibre: "wool" mordants: "alum" mordants: "copperas" parcel_code: "P6" ground_item_code: "wool-strip"`},
		{"DepthService/ProposeDose", `recipe dose --ks 4.5 --nm 420 --item weld --fibre wool`, `target_ks: 4.5 wavelength_nm: 420 item_code: "weld" fibre: "wool"`},
		{"DepthService/ProposeDose", `recipe dose --lot L1 --item weld --fibre wool --mordant none`, `lot_code: "L1" item_code: "weld" fibre: "wool" mordants: "none"`},
	}...)
}

func noDips(asked) (proto.Message, error) { return nil, nil }

// What a file holds and no dip is named after is said, where messages go.
func TestWhatADipsFileHoldsBesidesIsSaid(t *testing.T) {
	t.Parallel()
	got := at(open(t, noDips)).run(t, "dips", "record", "P6", "--against", "P2", "--file", dipsFileName, "--fibre", "wool")
	if got.code != 0 || !strings.Contains(got.err, `left aside in dips.csv: "gold"`) || strings.Contains(got.out, "left aside") {
		t.Errorf("%d\n%s\n%s", got.code, got.out, got.err)
	}
}

// Wrong files and wrong words are refused by their flag, before anything is
// sent.
func TestDipsThatCannotBeReadAreRefusedByTheirFlag(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	write := func(name, text string) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	bright := write("bright.csv", "sample,400,420,440,460\nP6 1%,0.3,0.4,0.5,1.04\n")
	labs := write("labs.csv", "sample,L,a,b\nP6 1%,60,1,30\nundyed,90,0,10\n")
	odd := write("odd.csv", "sample,400,420,440,460\ngold,0.3,0.4,0.5,0.6\n")
	for _, c := range []struct {
		words string
		says  string
	}{
		{"--file " + filepath.Join(dir, "none.csv"), "none.csv: no such file or directory"},
		{"--file " + bright, "bright.csv: line 2: "},
		{"--file " + labs, "--file: line 2: \"P6 1%\" is a colour alone"},
		{"--file " + odd, "no dips are named"},
		{"", "no dips are named: --file, whose samples are named like \"P6 2%\""},
		{"--dip 2%", "--dip: \"2%\" is not a dose and a file"},
		{"--dip some=" + odd, "--dip: "},
		{"--dip 2%=" + odd + ":silver", "--dip: odd.csv has no sample \"silver\", only \"gold\""},
		{"--dip 2%=" + dipsFileName, "--dip: dips.csv has several: write " + dipsFileName + ":SAMPLE"},
		{"--dip 2%=" + odd + " --undyed " + labs + ":undyed", "--undyed: \"undyed\" of labs.csv is a colour alone"},
	} {
		service := open(t, noDips)
		got := at(service).run(t, append([]string{"dips", "record", "P6", "--against", "P2", "--fibre", "wool"}, strings.Fields(c.words)...)...)
		if got.code != 2 || !strings.Contains(strings.Join(strings.Fields(got.err), " "), c.says) || slices.ContainsFunc(service.seen(), func(a asked) bool { return a.method == "DepthService/RecordTestDips" }) {
			t.Errorf("%s: %d %s, want %q", c.words, got.code, got.err, c.says)
		}
	}
	for words, says := range map[string]string{
		"--plant weld --fibre wool":           "which depth? Name a STANDARD, --lot or --ks",
		"--ks 0 --plant weld --fibre wool":    "--ks: 0 is no depth",
		"--ks deep --plant weld --fibre wool": `--ks: "deep" is no number such as 4.5`,
	} {
		got := at(open(t, noDips)).run(t, append([]string{"recipe", "dose"}, strings.Fields(words)...)...)
		if got.code != 2 || !strings.Contains(got.err, says) {
			t.Errorf("%s: %d %s", words, got.code, got.err)
		}
	}
}

// The proposal is one line, and the method stands behind --why.
func TestTheMethodStandsBehindWhy(t *testing.T) {
	t.Parallel()
	service := open(t, func(a asked) (proto.Message, error) {
		if a.method != "DepthService/ProposeDose" {
			return nil, nil
		}
		return &dyelotv1.ProposeDoseResponse{Text: "weld 52 % WOF (44 to 61), from 6 swatches at 20 to 80 %", Fibre: "wool", Mordant: "potassium alum", Target: "standard gold",
			Warnings: []*dyelotv1.Warning{{Key: "depth-only", Text: "dye a swatch"}}, Curves: []*dyelotv1.DepthCurve{{Form: "line", Equation: "K/S = 1.00 + 0.100 · w", Chosen: true}}}, nil
	})
	short := at(service).run(t, "recipe", "dose", "gold", "--plant", "weld", "--fibre", "wool")
	if short.out != "weld 52 % WOF (44 to 61), from 6 swatches at 20 to 80 %\n" {
		t.Errorf("%q", short.out)
	}
	long := at(service).run(t, "recipe", "dose", "gold", "--plant", "weld", "--fibre", "wool", "--why")
	if !strings.HasPrefix(long.out, short.out) || !strings.Contains(long.out, "K/S = 1.00 + 0.100 · w") || !strings.Contains(long.out, "dye a swatch") {
		t.Errorf("%s", long.out)
	}
}
