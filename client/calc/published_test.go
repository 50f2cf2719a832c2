package calc_test

import (
	"fmt"
	"math"
	"math/big"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// TestPublishedAnswers puts every published or twice-computed value that the
// calculator can answer to it, as a program would: JSON in, JSON out, whole.
func TestPublishedAnswers(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		source, name, document, want string
		within                       float64
	}{
		{"the contract's rule: volume is that of the corrected mass; common practice", "dose",
			`{"dry_mass_g":1080,"wof_percent":1,"stock_g_per_l":200}`, `{"mass_g":10.8,"volume_ml":54}`, 0},
		{"common practice: 450 g at 50 % madder", "dose", `{"dry_mass_g":450,"wof_percent":50}`, `{"mass_g":225}`, 0},
		{"common practice: 450 g at 6 % cochineal", "dose", `{"dry_mass_g":450,"wof_percent":6}`, `{"mass_g":27}`, 0},
		{"common practice: 1 kg at 2 % from 200 g/L", "dose", `{"dry_mass_g":1e3,"wof_percent":2,"stock_g_per_l":2E+2}`, `{"mass_g":20,"volume_ml":100}`, 0},
		{"the choir's ten tunics, worked by two people: alum", "dose", `{"dry_mass_g":1080,"wof_percent":15}`, `{"mass_g":162}`, 0},
		{"the choir's ten tunics: weld of strength 90 %", "dose", `{"dry_mass_g":1080,"wof_percent":60,"strength_percent":90}`, `{"mass_g":720}`, 0},
		{"one linen shirt, worked by hand: copperas", "dose", `{"dry_mass_g":240,"wof_percent":1.5}`, `{"mass_g":3.6}`, 0},

		{"Snyder & Shen, Fundamentals of Supply Chain Theory, 2nd ed., ex. 4.3", "newsvendor",
			`{"mean":50,"sd":8,"over":0.18,"under":0.70}`, `{"quantity":56.60395592743389,"critical_ratio":0.7954545454545454}`, 1e-9},
		{"Russell & Taylor, Operations Management, ch. 16, z 1.65; answers from memory", "reorder",
			`{"demand_per_day":30,"demand_sd":5,"lead_days":10,"service":0.9505285319663519}`, `{"safety_stock":26.0888,"reorder_point":326.0888}`, 1e-3},
		{"by hand: z 1.65, √(10·5² + 30²·2²) = √3850", "reorder",
			`{"demand_per_day":30,"demand_sd":5,"lead_days":10,"lead_sd":2,"service":0.9505285319663519}`, `{"safety_stock":102.3798,"reorder_point":402.3798}`, 1e-3},
		{"Snyder & Shen ex. 3.9, from memory", "lotsize",
			`{"demand":[90,120,80,70],"order_cost":500,"holding_cost":2}`, `{"orders":[210,0,150,0],"cost":1380}`, 0},
		{"Nahmias, Production and Operations Analysis, from memory", "lotsize",
			`{"demand":[10,40,30],"order_cost":[50,50,50],"holding_cost":1}`, `{"orders":[10,70,0],"cost":130}`, 0},
		{"by hand: a third of the year dear, decimals kept", "lotsize",
			`{"demand":[0.1,0.2],"order_cost":[0.3,5],"holding_cost":0.01}`, `{"orders":[0.3,0],"cost":0.302}`, 0},
		{"Nahmias ch. 8, from memory; lead of two periods by hand", "netting",
			`{"on_hand":23,"gross":[77,42,38,21,26,112,45,14,76,38],"scheduled":[12,0,6,9],"lead":2}`,
			`{"projected":[0,0,0,0,0,0,0,0,0,0],"net":[42,42,32,12,26,112,45,14,76,38],"receipts":[42,42,32,12,26,112,45,14,76,38],
			"releases":[32,12,26,112,45,14,76,38,0,0],"past_due":84}`, 0},
		{"the contract's rule by hand: up to the minimum 50, then to a multiple of 12; safety 5", "netting",
			`{"on_hand":10,"safety":5,"gross":[20,20,60.5],"scheduled":[],"lead":0,"multiple":12,"minimum":50}`,
			`{"projected":[50,30,29.5],"net":[15,0,35.5],"receipts":[60,0,60],"releases":[60,0,60],"past_due":0}`, 0},

		{"CIE 157:2004 and Michalski, from memory; the choir's tunic worked by hand", "fade",
			`{"blue_wool":3,"lux":400,"hours_per_day":10,"days":375,"uv":true}`, `{"megalux_hours":1.5,"just_noticeable_megalux_hours":1.5,"just_noticeable_after_days":375}`, 0},
		{"the same, blue wool 2", "fade",
			`{"blue_wool":2,"lux":400,"hours_per_day":10,"days":0,"uv":true}`, `{"megalux_hours":0,"just_noticeable_megalux_hours":0.6,"just_noticeable_after_days":150}`, 0},
		{"the same, ultraviolet filtered: 1100 Mlx·h", "fade",
			`{"blue_wool":8,"lux":50,"hours_per_day":8,"days":365,"uv":false}`, `{"megalux_hours":0.146,"just_noticeable_megalux_hours":1100,"just_noticeable_after_days":2750000}`, 0},

		{"Fisher, The Design of Experiments, 1935: the lady tasting tea", "suspect",
			`{"garments":8,"returned":4,"exposed":4,"exposed_returned":4}`, `{"p_value":0.014285714285714285,"expected":2}`, 1e-15},
		{"Fisher 1935: three of four", "suspect",
			`{"garments":8,"returned":4,"exposed":4,"exposed_returned":3}`, `{"p_value":0.24285714285714285,"expected":2}`, 1e-15},
		{"Crockford, Base 32", "tag", `{"serial":1234}`, `{"tag":"16JD","valid":true}`, 0},
		{"Crockford, Base 32: read as it was typed", "tag", `{"serial":"i6-jd"}`, `{"tag":"16JD","valid":true}`, 0},
		{"Crockford, Base 32: two neighbours swapped", "tag", `{"serial":"61JD"}`, `{"valid":false}`, 0},
		{"the contract: a check character never issued", "tag", `{"serial":"10*"}`, `{"valid":false}`, 0},
		{"a tag of digits alone is a text", "tag", `{"serial":"1111"}`, `{"valid":false}`, 0},

		{"by hand: y = 2x, no residual", "line", `{"x":[1,2,3],"y":[2,4,6],"at":4}`,
			`{"intercept":0,"slope":2,"intercept_se":0,"slope_se":0,"residual_sd":0,"r_squared":1,"predicted":8,"interval":[8,8]}`, 0},
		{"the contract: constant y", "line", `{"x":[1,2,3],"y":[5,5,5]}`,
			`{"intercept":5,"slope":0,"intercept_se":0,"slope_se":0,"residual_sd":0,"r_squared":null}`, 0},
	} {
		t.Run(c.name+"/"+c.source, func(t *testing.T) {
			t.Parallel()
			wants(t, c.name, c.document, c.want, c.within)
		})
	}
}

// The salts with the aluminium of 15 % potassium alum, computed from IUPAC
// abridged atomic weights for the trade's table; printed there to 0.01 % and
// 0.001 %.
func TestSaltsOfEqualMetal(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		to         string
		metal, wof float64
	}{
		{"potassium alum", 5.688, 15.00}, {"KAl(SO4)2·12H2O", 5.688, 15.00}, {"KAl(SO4)2*12H2O", 5.688, 15.00},
		{"NH4Al(SO4)2.12H2O", 5.952, 14.33}, {"ammonium alum", 5.952, 14.33},
		{"Al2(SO4)3·18H2O", 8.098, 10.54}, {"Al2(SO4)3.14H2O", 9.080, 9.40},
		{"aluminium triacetate", 13.219, 6.45}, {"Al(OH)(OAc)2", 16.648, 5.12}, {"Al(OH)2OAc", 22.478, 3.80},
		{"aluminium triformate", 16.652, 5.12}, {"aluminium triformate trihydrate", 12.487, 6.83}, {"aluminium lactate", 9.172, 9.30},
	} {
		a := ask(t, "mordant", fmt.Sprintf(`{"from":"potassium alum","to":%q,"wof_percent":15}`, c.to))
		caution := a["caution"].(string)
		delete(a, "caution")
		want := map[string]any{"from_metal_percent": 5.688, "to_metal_percent": c.metal, "wof_percent": c.wof}
		near := cmp.Comparer(func(x, y float64) bool { return math.Abs(x-y) <= 0.0051 })
		if diff := cmp.Diff(want, a, near); diff != "" || !strings.Contains(caution, "not equal shade") {
			t.Errorf("%s (-want +got): %s\n%q", c.to, diff, caution)
		}
	}
	iron := ask(t, "mordant", `{"from":"FeSO4·7H2O","to":"FeSO4·H2O","wof_percent":2}`)
	if math.Abs(iron["from_metal_percent"].(float64)-20.088) > 6e-4 || math.Abs(iron["to_metal_percent"].(float64)-32.866) > 6e-4 {
		t.Errorf("iron salts: %v", iron)
	}
}

// NIST Statistical Reference Datasets, linear regression, Norris: 36 points,
// certified to 15 digits. The prediction at the mean of x is the mean of y, and
// the interval there t(0.975, 34) · s · √(1 + 1/36), with t = 2.03224450931772
// (computed by a second program).
func TestLineOfNorris(t *testing.T) {
	t.Parallel()
	const x = "0.2,337.4,118.2,884.6,10.1,226.5,666.3,996.3,448.6,777.0,558.2,0.4,0.6,775.5,666.9,338.0,447.5,11.6," +
		"556.0,228.1,995.8,887.6,120.2,0.3,0.3,556.8,339.1,887.2,999.0,779.0,11.1,118.3,229.2,669.1,448.9,0.5"
	const y = "0.1,338.8,118.1,888.0,9.2,228.1,668.5,998.5,449.1,778.9,559.2,0.3,0.1,778.1,668.8,339.3,448.9,10.8," +
		"557.7,228.3,998.0,888.8,119.6,0.3,0.6,557.6,339.3,888.0,998.5,778.9,10.2,117.6,228.9,668.4,449.2,0.2"
	const certified = `"intercept":-0.262323073774029,"slope":1.00211681802045,"intercept_se":0.232818234301152,
		"slope_se":0.000429796848199937,"residual_sd":0.884796396144373,"r_squared":0.999993745883712`
	wants(t, "line", `{"x":[`+x+`],"y":[`+y+`]}`, `{`+certified+`}`, 1e-12)

	sum := func(list string) *big.Rat {
		total := new(big.Rat)
		for v := range strings.SplitSeq(list, ",") {
			r, _ := new(big.Rat).SetString(v)
			total.Add(total, r)
		}
		return total.Quo(total, big.NewRat(36, 1))
	}
	middle, _ := sum(y).Float64()
	half := 2.03224450931772 * 0.884796396144373 * math.Sqrt(1+1.0/36)
	at := sum(x) // 15303.7 / 36: as close as decimals come
	wants(t, "line", `{"x":[`+x+`],"y":[`+y+`],"at":`+at.FloatString(30)+`,"confidence":0.95}`,
		fmt.Sprintf(`{%s,"predicted":%v,"interval":[%v,%v]}`, certified, middle, middle-half, middle+half), 1e-9)
}
