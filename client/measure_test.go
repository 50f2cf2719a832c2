package client

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// What the commands of the table send of testdata's two files; the hashes are
// sha256sum's.
const (
	spotsFile = `file { name: "spots.csv" sha256: "7b9cbb100487a26f2e61b582a29e1385dbeff3a943821dd33356da2f4f1f322e" }`
	curveFile = `file { name: "curve.csv" sha256: "6ef01d55d91b2b18c488d3ac1f6766ac6989e9536894b356c43e5558d3e19a34" }`
	redCurve  = `spectrum { first_nm: 400 step_nm: 20 specular: "excluded" reflectance: [0.04, 0.04, 0.05, 0.06, 0.07, 0.5] }`
)

func fileOf(t *testing.T, text string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "tuesday.csv")
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// Nothing is asked of the service but which cloths there are.
func TestADryRunShowsWhichSpotIsOfWhichCloth(t *testing.T) {
	t.Parallel()
	service := open(t, shelf)
	got := at(service).run(t, "reading", "import", "r1", "testdata/spots.csv", "--dry-run", "--rested", "--leave-out", "16JD 3=rust stain")
	want := `Nothing is recorded yet: 4 spots of 2 cloths, from spots.csv
cloth  spots  read            samples
16JD       3  dry and rested  16JD, 16JD 2, 16JD 3 (left out: rust stain)
L2         1  dry and rested  L2/1
SHA-256 of the file:
7b9cbb100487a26f2e61b582a29e1385dbeff3a943821dd33356da2f4f1f322e
`
	if got.code != 0 || got.out != want {
		t.Errorf("exit code %d\n%s%s", got.code, got.out, got.err)
	}
	for _, call := range service.seen() {
		if strings.HasPrefix(call.method, "MeasureService/") {
			t.Errorf("%s was asked", call.method)
		}
	}
}

// A second sample of one name is told apart, so that it can be left out.
func TestSamplesOfOneNameAreNumbered(t *testing.T) {
	t.Parallel()
	file := fileOf(t, "name,L*,a*,b*,illuminant,observer\n16JD,62,-2,38,D65,10\n16JD,61,-2,38,D65,10\n")
	got := at(open(t, shelf)).run(t, "reading", "import", "R1", file, "--dry-run", "--leave-out", "16jd (2)=slipped")
	if got.code != 0 || !strings.Contains(got.out, "16JD, 16JD (2) (left out: slipped)") {
		t.Errorf("exit code %d\n%s%s", got.code, got.out, got.err)
	}
}

func TestFilesThatAreRefused(t *testing.T) {
	t.Parallel()
	const head = "name,L*,a*,b*,illuminant,observer\n"
	glossy := "name,specular,400,420,440,460\nred,included,0.1,0.2,0.3,0.4\nred,excluded,0.1,0.2,0.3,0.4\n"
	for name, c := range map[string]struct {
		line []string
		text string
		says []string
	}{
		"unknown names":    {[]string{"R1", "FILE"}, head + "16JD,62,-2,38,D65,10\n16JX 2,62,-2,38,D65,10\nhem,62,-2,38,D65,10\n", []string{`line 3: "16JX 2", line 4: "hem"`, "no lot and no garment of what was named"}},
		"half named":       {[]string{"L2", "FILE"}, head + "1,62,-2,38,D65,10\nL2 2,62,-2,38,D65,10\n", []string{`line 2: "1"`}},
		"no light":         {[]string{"16JD", "FILE"}, "name,L*,a*,b*\nx,62,-2,38\n", []string{"--illuminant and --observer"}},
		"two lights":       {[]string{"16JD", "FILE"}, head + "1,62,-2,38,D65,10\n2,62,-2,38,A,10\n", []string{"do not compare"}},
		"both glosses":     {[]string{"16JD", "FILE"}, glossy, []string{"--specular", "included and excluded"}},
		"a leave-out":      {[]string{"16JD", "FILE", "--leave-out", "hem=stain"}, head + "1,62,-2,38,D65,10\n", []string{"--leave-out", `no sample called "hem"; it holds "1"`}},
		"half a leave-out": {[]string{"16JD", "FILE", "--leave-out", "hem"}, head, []string{"--leave-out", "not a spot and a reason"}},
		"a brightener":     {[]string{"16JD", "FILE"}, "name,400,420,440,460\nwhite,0.9,1.2,1.3,0.9\n", []string{"line 2", "brightener"}},
		"no gloss word":    {[]string{"16JD", "FILE", "--specular", "shiny"}, head + "1,62,-2,38,D65,10\n", []string{"--specular", "neither included nor excluded"}},
		"wet and rested":   {[]string{"16JD", "FILE", "--wet", "--rested"}, head + "1,62,-2,38,D65,10\n", []string{"--rested: wet cloth has not rested"}},
		"not there":        {[]string{"16JD", "nowhere.csv"}, "", []string{"nowhere.csv", "no such file"}},
	} {
		file := fileOf(t, c.text)
		line := []string{"reading", "import"}
		for _, word := range c.line {
			line = append(line, strings.Replace(word, "FILE", file, 1))
		}
		got := at(open(t, shelf)).run(t, line...)
		for _, says := range c.says {
			if got.code != 2 || !strings.Contains(strings.Join(strings.Fields(got.err), " "), says) {
				t.Errorf("%s: exit code %d: %s: want %q", name, got.code, got.err, says)
			}
		}
	}
}

func TestOneGlossIsChosen(t *testing.T) {
	t.Parallel()
	file := fileOf(t, "name,specular,400,420,440,460\n16JD,included,0.2,0.2,0.2,0.2\n16JD,excluded,0.1,0.1,0.1,0.1\n")
	got := at(open(t, shelf)).run(t, "reading", "import", "R1", file, "--dry-run", "--specular", "excluded", "--json")
	if got.code != 0 || strings.Contains(got.out, "0.2") || !strings.Contains(got.out, `"specular":"excluded"`) {
		t.Errorf("exit code %d\n%s%s", got.code, got.out, got.err)
	}
}

// A ground or a standard of several samples is their mean.
func TestAGroundIsTheMeanOfItsSamples(t *testing.T) {
	t.Parallel()
	service := open(t, shelf)
	got := at(service).run(t, "reading", "ground", "silk-strip", fileOf(t, "name,400,420,440,460\na,0.2,0.4,0.6,0.5\nb,0.4,0.6,0.8,0.5\n"))
	if got.code != 0 {
		t.Fatal(got.err)
	}
	calls := service.seen()
	g := calls[len(calls)-1].request.(*dyelotv1.RecordGroundRequest).GetGround()
	for i, want := range []float64{0.3, 0.5, 0.7, 0.5} {
		if r := g.GetSpectrum().GetReflectance()[i]; math.Abs(r-want) > 1e-12 || g.GetFile().GetSample() != "mean of 2 samples" {
			t.Errorf("%v: want %v", g, want)
		}
	}
	got = at(service).run(t, "reading", "ground", "silk-strip", "testdata/spots.csv")
	if got.code != 2 || !strings.Contains(got.err, "K/S cannot be counted from L*a*b*") {
		t.Errorf("exit code %d: %s", got.code, got.err)
	}
}
