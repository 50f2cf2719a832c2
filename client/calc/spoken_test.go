package calc_test

import (
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/charmbracelet/x/ansi"
)

// spoken is one question a file: what a dyer is told, word for word. Each was
// read aloud before it was kept.
var spoken = []struct{ file, name, document string }{
	{"dose-dry", "dose", `{"dry_mass_g":1080,"wof_percent":15}`},
	{"dose-weak-harvest", "dose", `{"dry_mass_g":1080,"wof_percent":60,"strength_percent":90}`},
	{"dose-stock", "dose", `{"dry_mass_g":1080,"wof_percent":1,"stock_g_per_l":200}`},
	{"dose-thin-stock", "dose", `{"dry_mass_g":0.0001,"wof_percent":1,"stock_g_per_l":0.0001}`},
	{"mordant-alum", "mordant", `{"from":"potassium alum","to":"Al2(SO4)3*18H2O","wof_percent":15}`},
	{"mordant-iron", "mordant", `{"from":"copperas","to":"FeSO4.H2O","wof_percent":2}`},
	{"mordant-unlisted", "mordant", `{"from":"CuSO4.5H2O","to":"Cu(OAc)2.H2O","wof_percent":1}`},
	{"difference-yellow", "difference", `{"standard":[62,-2,38],"sample":[60.8,-1.4,36.6]}`},
	{"difference-red", "difference", `{"standard":[50,30,20],"sample":[52,28,23],"cmc":[1,1]}`},
	{"difference-none", "difference", `{"standard":[62,-2,38],"sample":[62,-2,38]}`},
	{"difference-grey", "difference", `{"standard":[40,0,0],"sample":[40,-3,-4]}`},
	{"spectrum-ramp", "spectrum", `{"wavelengths_nm":[400,420,440,460,480],"reflectance":[0.1,0.2,0.3,0.4,0.5],"illuminant":"D65","observer":10}`},
	{"spectrum-undyed", "spectrum", `{"wavelengths_nm":[400,420,440,460,480,500,520,540,560,580,600,620,640,660,680,700],"reflectance":[0.02,0.02,0.02,0.02,0.02,0.02,0.02,0.9,0.9,0.9,0.9,0.9,0.9,0.9,0.9,0.9],"illuminant":"D65","observer":2,"undyed":[0.9,0.9,0.9,0.9,0.9,0.9,0.9,0.9,0.9,0.9,0.9,0.9,0.9,0.9,0.9,0.9]}`},
	{"metamerism", "metamerism", `{"wavelengths_nm":[400,420,440,460,480],"standard":[0.1,0.2,0.3,0.4,0.5],"sample":[0.1,0.22,0.28,0.41,0.5],"reference":"D65","test":"F11","observer":10}`},
	{"fade-window", "fade", `{"blue_wool":3,"lux":400,"hours_per_day":10,"days":375,"uv":true}`},
	{"fade-filtered", "fade", `{"blue_wool":8,"lux":50,"hours_per_day":8,"days":365,"uv":false}`},
	{"reorder", "reorder", `{"demand_per_day":30,"demand_sd":5,"lead_days":10,"lead_sd":2,"service":0.95}`},
	{"reorder-half", "reorder", `{"demand_per_day":30,"demand_sd":5,"lead_days":10,"service":0.4}`},
	{"lotsize", "lotsize", `{"demand":[90,120,80,70],"order_cost":500,"holding_cost":2}`},
	{"lotsize-nothing", "lotsize", `{"demand":[0,0],"order_cost":[5,6],"holding_cost":2}`},
	{"netting-late", "netting", `{"on_hand":23,"gross":[77,42,38,21,26,112,45,14,76,38],"scheduled":[12,0,6,9],"lead":2}`},
	{"netting-packs", "netting", `{"on_hand":10.5,"safety":5,"gross":[20,20,60.5],"scheduled":[],"lead":1,"multiple":12,"minimum":50}`},
	{"netting-covered", "netting", `{"on_hand":100,"gross":[20],"scheduled":[0],"lead":4}`},
	{"newsvendor", "newsvendor", `{"mean":50,"sd":8,"over":0.18,"under":0.7}`},
	{"newsvendor-none", "newsvendor", `{"mean":5,"sd":80,"over":7,"under":0.1}`},
	{"pots-choir", "pots", `{"pots":[{"id":"pot-40","mass_g":800},{"id":"pot-30","mass_g":600}],"sets":[{"id":"first","mass_g":541},{"id":"second","mass_g":539}]}`},
	{"pots-one", "pots", `{"pots":[{"id":1,"mass_g":800.5}],"sets":[{"id":"first","mass_g":541},{"id":"second","mass_g":200.25}]}`},
	{"schedule-three", "schedule", `{"machines":2,"jobs":[[{"machine":0,"duration":1},{"machine":1,"duration":3}],[{"machine":1,"duration":2},{"machine":0,"duration":1.5}],[{"machine":0,"duration":2}]]}`},
	{"line-harvest", "line", `{"x":[0,3,6,9,12],"y":[100,96,95,90,88],"at":15}`},
	{"line-flat", "line", `{"x":[0,3,6],"y":[7,7,7]}`},
	{"suspect-tea", "suspect", `{"garments":8,"returned":4,"exposed":4,"exposed_returned":4}`},
	{"suspect-nothing", "suspect", `{"garments":1000,"returned":10,"exposed":100,"exposed_returned":1}`},
	{"tag-write", "tag", `{"serial":1234}`},
	{"tag-read", "tag", `{"serial":"i6-jd"}`},
	{"tag-wrong", "tag", `{"serial":"61JD"}`},
}

func TestWhatADyerIsTold(t *testing.T) {
	t.Parallel()
	told := map[string]bool{}
	for _, c := range spoken {
		out, err := run(c.document, c.name, "--in", "-")
		if err != nil {
			t.Errorf("%s: %v", c.file, err)
			continue
		}
		golden(t, c.file+".txt", out)
		told[c.name] = true
		for _, line := range strings.Split(out, "\n") {
			if n := utf8.RuneCountInString(line); n > 80 || strings.HasSuffix(line, " ") || strings.Contains(line, "\u00a0") {
				t.Errorf("%s: %d columns or stray blanks in %q", c.file, n, line)
			}
		}
	}
	for name := range sound {
		if !told[name] {
			t.Errorf("nobody has read what %s says", name)
		}
	}
}

// On a terminal of 24-bit colour the same is told, with blocks of colour and
// what their marks mean.
func TestADyerSeesColours(t *testing.T) {
	t.Parallel()
	for _, q := range spoken {
		if q.name != "difference" && q.name != "spectrum" {
			continue
		}
		seen, err := onScreen(true, q.document, q.name, "--in", "-")
		if err != nil {
			t.Fatal(err)
		}
		golden(t, q.file+"-swatches.txt", seen)
		want := map[string]int{"difference": 2, "spectrum": 1}[q.name]
		if n := strings.Count(seen, "\x1b[38;2;"); n != want {
			t.Errorf("%s: %d blocks, want %d", q.file, n, want)
		}
		for _, l := range strings.Split(seen, "\n") {
			if n := ansi.StringWidth(l); n > 80 {
				t.Errorf("%s: %d columns: %q", q.file, n, l)
			}
		}
	}
}
