package calc_test

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// The documents of the contract that each refusal below is made from.
var sound = map[string]string{
	"dose":       `{"dry_mass_g":1080,"wof_percent":1,"stock_g_per_l":200,"strength_percent":90}`,
	"mordant":    `{"from":"potassium alum","to":"Al2(SO4)3·18H2O","wof_percent":15}`,
	"difference": `{"standard":[50,30,20],"sample":[52,28,23],"cmc":[2,1]}`,
	"spectrum":   `{"wavelengths_nm":[400,420,440,460],"reflectance":[0.1,0.2,0.3,0.4],"illuminant":"D65","observer":10,"undyed":[0.8,0.8,0.8,0.8]}`,
	"metamerism": `{"wavelengths_nm":[400,420,440,460],"standard":[0.1,0.2,0.3,0.4],"sample":[0.1,0.2,0.3,0.5],"reference":"D65","test":"A","observer":10}`,
	"fade":       `{"blue_wool":3,"lux":400,"hours_per_day":10,"days":100,"uv":true}`,
	"reorder":    `{"demand_per_day":30,"demand_sd":5,"lead_days":10,"lead_sd":1,"service":0.95}`,
	"lotsize":    `{"demand":[90,120,80,70],"order_cost":500,"holding_cost":2}`,
	"netting":    `{"on_hand":23,"safety":5,"gross":[77,42,38,21],"scheduled":[12,0,6,9],"lead":2,"multiple":10,"minimum":20}`,
	"newsvendor": `{"mean":50,"sd":8,"over":0.18,"under":0.7}`,
	"pots":       `{"pots":[{"id":"pot-40","mass_g":800},{"id":7,"mass_g":600}],"sets":[{"id":"first","mass_g":541},{"id":"second","mass_g":539.5}]}`,
	"schedule":   `{"machines":2,"jobs":[[{"machine":0,"duration":1},{"machine":1,"duration":3}],[{"machine":1,"duration":2.5}]]}`,
	"line":       `{"x":[1,2,3,4],"y":[2,4,7,8],"at":5,"confidence":0.9}`,
	"suspect":    `{"garments":8,"returned":4,"exposed":4,"exposed_returned":3}`,
	"tag":        `{"serial":1234}`,
}

// optional fields of the contract, marked ? there.
var optional = map[string][]string{
	"dose": {"stock_g_per_l", "strength_percent"}, "difference": {"cmc"}, "spectrum": {"undyed"}, "reorder": {"lead_sd"},
	"netting": {"safety", "multiple", "minimum"}, "line": {"at", "confidence"},
}

// Every calculation, every field: missing, of every wrong kind, twice, unknown.
func TestEveryFieldIsHeldToItsKind(t *testing.T) {
	t.Parallel()
	for name, document := range sound {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			ask(t, name, document)
			fields := fieldsOf(t, document)
			for field, value := range fields {
				without := documentOf(fields, field, "")
				if out, err := run(without, name, "--in", "-", "--json"); isOptional(name, field) {
					if err != nil {
						t.Errorf("%s may be left out: %v", field, err)
					}
				} else {
					refuses(t, field, "missing", out, err)
				}
				for _, wrong := range wrongFor(name, field, value) {
					out, err := run(documentOf(fields, field, wrong), name, "--in", "-", "--json")
					refuses(t, field, "", out, err)
				}
				for _, nan := range []string{"NaN", "Infinity", "-Infinity"} {
					out, err := run(documentOf(fields, field, nan), name, "--in", "-", "--json")
					refuses(t, field, nan+" is not a number", out, err)
				}
				out, err := run(strings.TrimSuffix(document, "}")+`,"`+field+`":`+value+`}`, name, "--in", "-", "--json")
				refuses(t, field, "twice", out, err)
			}
			out, err := run(strings.TrimSuffix(document, "}")+`,"shade":1}`, name, "--in", "-", "--json")
			refuses(t, "shade", "no such field", out, err)
			out, err = run(strings.TrimSuffix(document, "}")+`,"Serial":1}`, name, "--in", "-", "--json")
			refuses(t, "Serial", "no such field", out, err)
		})
	}
}

func isOptional(name, field string) bool {
	for _, f := range optional[name] {
		if f == field {
			return true
		}
	}
	return false
}

// wrongFor lists values of a wrong kind for a field, by the kind of a right one.
func wrongFor(name, field, right string) []string {
	wrong := []string{"null", `{"value":1}`}
	switch {
	case strings.HasPrefix(right, "["):
		wrong = append(wrong, `"1,2"`, "true")
		if name+"."+field != "lotsize.order_cost" {
			wrong = append(wrong, "1")
		}
		if name+"."+field != "netting.scheduled" {
			wrong = append(wrong, "[]")
		}
	case right == "true":
		wrong = append(wrong, "1", `"true"`, "[true]")
	case strings.HasPrefix(right, `"`):
		wrong = append(wrong, "1", "true", `""`, `" "`, `["a"]`)
	default:
		wrong = append(wrong, "true", "1e999999999", "-1e999999999", "1e-999999999", "1"+strings.Repeat("0", 400), "0."+strings.Repeat("3", 400))
		if name != "tag" {
			wrong = append(wrong, `"1"`)
		}
		if name+"."+field != "lotsize.order_cost" {
			wrong = append(wrong, "[1]")
		}
	}
	return wrong
}

// Impossible values, one by one; the field is the name in the contract.
func TestImpossibleValuesAreRefused(t *testing.T) {
	t.Parallel()
	const curve = `"wavelengths_nm":[400,420,440,460],`
	for _, c := range []struct{ name, document, field, says string }{
		{"dose", `{"dry_mass_g":0,"wof_percent":15}`, "dry_mass_g", "more than 0"},
		{"dose", `{"dry_mass_g":-1,"wof_percent":15}`, "dry_mass_g", "more than 0"},
		{"dose", `{"dry_mass_g":1e10,"wof_percent":15}`, "dry_mass_g", "at most"},
		{"dose", `{"dry_mass_g":1e-5000,"wof_percent":15}`, "dry_mass_g", "more digits"},
		{"dose", `{"dry_mass_g":1e5000,"wof_percent":15}`, "dry_mass_g", "more digits"},
		{"dose", `{"dry_mass_g":100,"wof_percent":0}`, "wof_percent", ""},
		{"dose", `{"dry_mass_g":100,"wof_percent":-15}`, "wof_percent", ""},
		{"dose", `{"dry_mass_g":100,"wof_percent":15,"stock_g_per_l":0}`, "stock_g_per_l", ""},
		{"dose", `{"dry_mass_g":100,"wof_percent":15,"stock_g_per_l":-200}`, "stock_g_per_l", ""},
		{"dose", `{"dry_mass_g":100,"wof_percent":15,"strength_percent":0}`, "strength_percent", ""},
		{"dose", `{"dry_mass_g":100,"wof_percent":15,"strength_percent":-90}`, "strength_percent", ""},

		{"mordant", `{"from":"potassium alum","to":"copperas","wof_percent":15}`, "to", "only salts of one metal"},
		{"mordant", `{"from":"moonshine","to":"copperas","wof_percent":15}`, "from", "neither a substance"},
		{"mordant", `{"from":"potassium alum","to":"Al2(SO4","wof_percent":15}`, "to", "formula"},
		{"mordant", `{"from":"potassium alum","to":"Xx2SO4","wof_percent":15}`, "to", ""},
		{"mordant", `{"from":"potassium alum","to":"aluminium acetate","wof_percent":15}`, "to", "more than one salt"},
		{"mordant", `{"from":"dibasic aluminium acetate","to":"potassium alum","wof_percent":15}`, "from", "both ways"},
		{"mordant", `{"from":"Na2CO3","to":"potassium alum","wof_percent":15}`, "from", "no mordant metal"},
		{"mordant", `{"from":"vinegar iron","to":"copperas","wof_percent":15}`, "from", "no formula"},
		{"mordant", `{"from":"potassium alum","to":"KAl(SO4)2·12H2O","wof_percent":0}`, "wof_percent", ""},
		{"mordant", `{"from":"potassium alum","to":"KAl(SO4)2·12H2O","wof_percent":-1}`, "wof_percent", ""},
		{"mordant", `{"from":"potassium alum","to":"KAl(SO4)2·12H2O","wof_percent":1e90}`, "wof_percent", ""},

		{"difference", `{"standard":[101,0,0],"sample":[50,0,0]}`, "standard[0]", "L*"},
		{"difference", `{"standard":[50,0,0],"sample":[-1,0,0]}`, "sample[0]", "L*"},
		{"difference", `{"standard":[50,301,0],"sample":[50,0,0]}`, "standard[1]", "a*"},
		{"difference", `{"standard":[50,0,0],"sample":[50,0,-1e9]}`, "sample[2]", "b*"},
		{"difference", `{"standard":[50,250,0],"sample":[50,0,0]}`, "standard", "a*"},
		{"difference", `{"standard":[50,0],"sample":[50,0,0]}`, "standard", "3 numbers"},
		{"difference", `{"standard":[50,0,0],"sample":[50,0,0,0]}`, "sample", "3 numbers"},
		{"difference", `{"standard":[50,"0",0],"sample":[50,0,0]}`, "standard[1]", "a number is needed"},
		{"difference", `{"standard":[50,0,null],"sample":[50,0,0]}`, "standard[2]", "null"},
		{"difference", `{"standard":[50,0,0],"sample":[50,0,0],"cmc":[0,1]}`, "cmc[0]", "above 0"},
		{"difference", `{"standard":[50,0,0],"sample":[50,0,0],"cmc":[2,-1]}`, "cmc[1]", "above 0"},
		{"difference", `{"standard":[50,0,0],"sample":[50,0,0],"cmc":[2,1,1]}`, "cmc", "2 numbers"},

		{"spectrum", `{` + curve + `"reflectance":[0.1,0,0.3,0.4],"illuminant":"D65","observer":10}`, "reflectance", "is 0"},
		{"spectrum", `{` + curve + `"reflectance":[0.1,-0.2,0.3,0.4],"illuminant":"D65","observer":10}`, "reflectance", "-0.2"},
		{"spectrum", `{` + curve + `"reflectance":[0.1,1.02,0.3,0.4],"illuminant":"D65","observer":10}`, "reflectance", "brightener"},
		{"spectrum", `{` + curve + `"reflectance":[0.1,0.2,0.3],"illuminant":"D65","observer":10}`, "reflectance", "3 reflectances for 4"},
		{"spectrum", `{` + curve + `"reflectance":[0.1,0.2,0.3,0.4],"illuminant":"D55","observer":10}`, "illuminant", "D50"},
		{"spectrum", `{` + curve + `"reflectance":[0.1,0.2,0.3,0.4],"illuminant":"D65","observer":4}`, "observer", "2 or 10"},
		{"spectrum", `{` + curve + `"reflectance":[0.1,0.2,0.3,0.4],"illuminant":"D65","observer":4294967298}`, "observer", "2 or 10"},
		{"spectrum", `{` + curve + `"reflectance":[0.1,0.2,0.3,0.4],"illuminant":"D65","observer":10.5}`, "observer", "whole"},
		{"spectrum", `{` + curve + `"reflectance":[0.1,0.2,0.3,0.4],"illuminant":"D65","observer":10,"undyed":[0.8,0.8,0.8]}`, "undyed", "3 reflectances"},
		{"spectrum", `{` + curve + `"reflectance":[0.1,0.2,0.3,0.4],"illuminant":"D65","observer":10,"undyed":[0.8,0.8,0,0.8]}`, "undyed", "is 0"},
		{"spectrum", `{` + curve + `"reflectance":[0.1,0.2,0.3,0.4],"illuminant":"D65","observer":10,"undyed":[0.8,0.8,1.1,0.8]}`, "undyed", "brightener"},
		{"spectrum", `{` + curve + `"reflectance":[0.1,0.2,1e-290,5e-290],"illuminant":"D65","observer":10}`, "", ""}, // finite still
		{"spectrum", `{"wavelengths_nm":[400,410,430,440],"reflectance":[0.1,0.2,0.3,0.4],"illuminant":"D65","observer":10}`, "wavelengths_nm", "equal steps"},
		{"spectrum", `{"wavelengths_nm":[400,415,430,445],"reflectance":[0.1,0.2,0.3,0.4],"illuminant":"D65","observer":10}`, "wavelengths_nm", "5, 10 or 20"},
		{"spectrum", `{"wavelengths_nm":[440,430,420,410],"reflectance":[0.1,0.2,0.3,0.4],"illuminant":"D65","observer":10}`, "wavelengths_nm", "rise"},
		{"spectrum", `{"wavelengths_nm":[400,410,420],"reflectance":[0.1,0.2,0.3],"illuminant":"D65","observer":10}`, "wavelengths_nm", "at least 4"},
		{"spectrum", `{"wavelengths_nm":[800,810,820,830],"reflectance":[0.1,0.2,0.3,0.4],"illuminant":"D65","observer":10}`, "wavelengths_nm", "at least 4"},

		{"metamerism", `{` + curve + `"standard":[0.1,0.2,0.3,1.4],"sample":[0.1,0.2,0.3,0.4],"reference":"D65","test":"A","observer":10}`, "standard", "brightener"},
		{"metamerism", `{` + curve + `"standard":[0.1,0.2,0.3,0.4],"sample":[0.1,-0.2,0.3,0.4],"reference":"D65","test":"A","observer":10}`, "sample", ""},
		{"metamerism", `{` + curve + `"standard":[0.1,0.2,0.3,0.4],"sample":[0,0,0,0],"reference":"D65","test":"A","observer":10}`, "sample", "too little"},
		{"metamerism", `{` + curve + `"standard":[0.1,0.2,0.3,0.4],"sample":[0.1,0.2,0.3,0.4],"reference":"D75","test":"A","observer":10}`, "reference", ""},
		{"metamerism", `{` + curve + `"standard":[0.1,0.2,0.3,0.4],"sample":[0.1,0.2,0.3,0.4],"reference":"D65","test":"B","observer":10}`, "test", ""},
		{"metamerism", `{` + curve + `"standard":[0.1,0.2,0.3,0.4],"sample":[0.1,0.2,0.3,0.4],"reference":"D65","test":"A","observer":3}`, "observer", ""},

		{"fade", `{"blue_wool":0,"lux":400,"hours_per_day":10,"days":1,"uv":true}`, "blue_wool", "1 to 8"},
		{"fade", `{"blue_wool":9,"lux":400,"hours_per_day":10,"days":1,"uv":true}`, "blue_wool", "1 to 8"},
		{"fade", `{"blue_wool":2.5,"lux":400,"hours_per_day":10,"days":1,"uv":true}`, "blue_wool", "whole"},
		{"fade", `{"blue_wool":4294967299,"lux":400,"hours_per_day":10,"days":1,"uv":true}`, "blue_wool", ""},
		{"fade", `{"blue_wool":3,"lux":0,"hours_per_day":10,"days":1,"uv":true}`, "lux", ""},
		{"fade", `{"blue_wool":3,"lux":-400,"hours_per_day":10,"days":1,"uv":true}`, "lux", ""},
		{"fade", `{"blue_wool":3,"lux":1e-300,"hours_per_day":1e-300,"days":1,"uv":true}`, "lux", "no light"},
		{"fade", `{"blue_wool":3,"lux":400,"hours_per_day":25,"days":1,"uv":true}`, "hours_per_day", ""},
		{"fade", `{"blue_wool":3,"lux":400,"hours_per_day":0,"days":1,"uv":true}`, "hours_per_day", ""},
		{"fade", `{"blue_wool":3,"lux":400,"hours_per_day":10,"days":-1,"uv":true}`, "days", ""},

		{"reorder", `{"demand_per_day":-30,"demand_sd":5,"lead_days":10,"service":0.95}`, "demand_per_day", "below zero"},
		{"reorder", `{"demand_per_day":30,"demand_sd":-5,"lead_days":10,"service":0.95}`, "demand_sd", "below zero"},
		{"reorder", `{"demand_per_day":30,"demand_sd":5,"lead_days":-10,"service":0.95}`, "lead_days", "below zero"},
		{"reorder", `{"demand_per_day":30,"demand_sd":5,"lead_days":10,"lead_sd":-1,"service":0.95}`, "lead_sd", "below zero"},
		{"reorder", `{"demand_per_day":30,"demand_sd":5,"lead_days":10,"service":1}`, "service", "between 0 and 1"},
		{"reorder", `{"demand_per_day":30,"demand_sd":5,"lead_days":10,"service":0}`, "service", "between 0 and 1"},
		{"reorder", `{"demand_per_day":30,"demand_sd":5,"lead_days":10,"service":95}`, "service", "between 0 and 1"},
		{"reorder", `{"demand_per_day":1e101,"demand_sd":5,"lead_days":10,"service":0.95}`, "demand_per_day", "1e100"},

		{"lotsize", `{"demand":[90,-120],"order_cost":500,"holding_cost":2}`, "demand[1]", "below zero"},
		{"lotsize", `{"demand":[90,120,"80"],"order_cost":500,"holding_cost":2}`, "demand[2]", "a number is needed"},
		{"lotsize", `{"demand":[90,120,NaN],"order_cost":500,"holding_cost":2}`, "demand[2]", "NaN is not a number"},
		{"lotsize", `{"demand":[90,[120]],"order_cost":500,"holding_cost":2}`, "demand[1]", "a number is needed"},
		{"lotsize", `{"demand":[90,120],"order_cost":-500,"holding_cost":2}`, "order_cost", "below zero"},
		{"lotsize", `{"demand":[90,120],"order_cost":[500,-1],"holding_cost":2}`, "order_cost[1]", "below zero"},
		{"lotsize", `{"demand":[90,120],"order_cost":[500],"holding_cost":2}`, "order_cost", "do not fit"},
		{"lotsize", `{"demand":[90,120],"order_cost":[],"holding_cost":2}`, "order_cost", "empty"},
		{"lotsize", `{"demand":[90,120],"order_cost":500,"holding_cost":-2}`, "holding_cost", "below zero"},
		{"lotsize", `{"demand":[90,1e101],"order_cost":500,"holding_cost":2}`, "demand[1]", "1e100"},

		{"netting", `{"on_hand":-1,"gross":[7],"scheduled":[],"lead":0}`, "on_hand", "below zero"},
		{"netting", `{"on_hand":1,"safety":-1,"gross":[7],"scheduled":[],"lead":0}`, "safety", "below zero"},
		{"netting", `{"on_hand":1,"gross":[7,-7],"scheduled":[],"lead":0}`, "gross[1]", "below zero"},
		{"netting", `{"on_hand":1,"gross":[7],"scheduled":[-1],"lead":0}`, "scheduled[0]", "below zero"},
		{"netting", `{"on_hand":1,"gross":[7],"scheduled":[1,2],"lead":0}`, "scheduled", "do not fit"},
		{"netting", `{"on_hand":1,"gross":[7],"scheduled":[1],"lead":-1}`, "lead", "below zero"},
		{"netting", `{"on_hand":1,"gross":[7],"scheduled":[1],"lead":1.5}`, "lead", "whole"},
		{"netting", `{"on_hand":1,"gross":[7],"scheduled":[1],"lead":0,"multiple":0}`, "multiple", ""},
		{"netting", `{"on_hand":1,"gross":[7],"scheduled":[1],"lead":0,"multiple":-5}`, "multiple", "below zero"},
		{"netting", `{"on_hand":1,"gross":[7],"scheduled":[1],"lead":0,"minimum":-5}`, "minimum", "below zero"},

		{"newsvendor", `{"mean":-50,"sd":8,"over":0.18,"under":0.7}`, "mean", "below zero"},
		{"newsvendor", `{"mean":50,"sd":-8,"over":0.18,"under":0.7}`, "sd", "below zero"},
		{"newsvendor", `{"mean":50,"sd":8,"over":0,"under":0.7}`, "over", "above zero"},
		{"newsvendor", `{"mean":50,"sd":8,"over":0.18,"under":-0.7}`, "under", "above zero"},

		{"pots", `{"pots":[{"id":"a","mass_g":0}],"sets":[{"id":"x","mass_g":1}]}`, "pots[0].mass_g", "more than 0"},
		{"pots", `{"pots":[{"id":"a","mass_g":10}],"sets":[{"id":"x","mass_g":-1}]}`, "sets[0].mass_g", "more than 0"},
		{"pots", `{"pots":[{"id":"a","mass_g":10}],"sets":[{"id":"x","mass_g":1},{"id":"y","mass_g":10.5}]}`, "sets[1].mass_g", "fits no pot"},
		{"pots", `{"pots":[{"id":"a","mass_g":1e90}],"sets":[{"id":"x","mass_g":1}]}`, "pots[0].mass_g", ""},
		{"pots", `{"pots":[{"id":"a","mass_g":10},{"id":"a","mass_g":11}],"sets":[{"id":"x","mass_g":1}]}`, "pots[1].id", "pots[0]"},
		{"pots", `{"pots":[{"id":"a","mass_g":10}],"sets":[{"id":1,"mass_g":1},{"id":"1","mass_g":1}]}`, "sets[1].id", "sets[0]"},
		{"pots", `{"pots":[{"id":"a","mass_g":10}],"sets":[{"id":"","mass_g":1}]}`, "sets[0].id", "empty"},
		{"pots", `{"pots":[{"id":"a","mass_g":10}],"sets":[{"id":1.5,"mass_g":1}]}`, "sets[0].id", "whole"},
		{"pots", `{"pots":[{"id":"a","mass_g":10}],"sets":[{"id":true,"mass_g":1}]}`, "sets[0].id", "a text is needed"},
		{"pots", `{"pots":[{"id":"a","mass_g":10}],"sets":[{"id":"x"}]}`, "sets[0].mass_g", "missing"},
		{"pots", `{"pots":[{"id":"a","mass_g":10}],"sets":[{"id":"x","mass_g":"1"}]}`, "sets[0].mass_g", "a number is needed"},
		{"pots", `{"pots":[{"id":"a","mass_g":10}],"sets":[{"id":"x","mass_g":NaN}]}`, "sets[0].mass_g", "NaN"},
		{"pots", `{"pots":[{"id":"a","mass_g":10,"volume_l":40}],"sets":[{"id":"x","mass_g":1}]}`, "pots[0].volume_l", "no such field"},
		{"pots", `{"pots":[{"id":"a","mass_g":10}],"sets":[5]}`, "sets[0]", "an object is needed"},
		{"pots", `{"pots":[{"id":"a","mass_g":10}],"sets":[` + strings.Repeat(`{"id":"x","mass_g":1},`, 3) + `{"id":"y","mass_g":1}]}`, "sets[1].id", "sets[0]"},

		{"schedule", `{"machines":0,"jobs":[[{"machine":0,"duration":1}]]}`, "machines", "at least 1"},
		{"schedule", `{"machines":-3,"jobs":[[{"machine":0,"duration":1}]]}`, "machines", "at least 1"},
		{"schedule", `{"machines":1.5,"jobs":[[{"machine":0,"duration":1}]]}`, "machines", "whole"},
		{"schedule", `{"machines":2,"jobs":[[{"machine":0,"duration":1},{"machine":2,"duration":1}]]}`, "jobs[0][1].machine", "from 0 to 1"},
		{"schedule", `{"machines":2,"jobs":[[{"machine":-1,"duration":1}]]}`, "jobs[0][0].machine", "from 0"},
		{"schedule", `{"machines":2,"jobs":[[{"machine":4294967296,"duration":1}]]}`, "jobs[0][0].machine", "from 0 to 1"},
		{"schedule", `{"machines":2,"jobs":[[{"machine":0.5,"duration":1}]]}`, "jobs[0][0].machine", "whole"},
		{"schedule", `{"machines":2,"jobs":[[{"machine":0,"duration":1}],[{"machine":0,"duration":-1.5}]]}`, "jobs[1][0].duration", "-1.5 is below zero"},
		{"schedule", `{"machines":2,"jobs":[[{"machine":0}]]}`, "jobs[0][0].duration", "missing"},
		{"schedule", `{"machines":2,"jobs":[[{"machine":0,"duration":1,"setup":2}]]}`, "jobs[0][0].setup", "no such field"},
		{"schedule", `{"machines":2,"jobs":[[]]}`, "jobs[0]", "empty"},
		{"schedule", `{"machines":2,"jobs":[{"machine":0,"duration":1}]}`, "jobs[0]", "a list is needed"},
		{"schedule", `{"machines":2,"jobs":[[[0,1]]]}`, "jobs[0][0]", "an object is needed"},
		{"schedule", `{"machines":2,"jobs":[[` + strings.Repeat(`{"machine":0,"duration":1},`, 5000) + `{"machine":0,"duration":1}]]}`, "jobs", "at most"},

		{"line", `{"x":[1,2],"y":[1,2]}`, "x", "at least 3"},
		{"line", `{"x":[1,2,3],"y":[1,2]}`, "y", "do not fit"},
		{"line", `{"x":[2,2,2],"y":[1,2,3]}`, "x", "all values are 2"},
		{"line", `{"x":[1,2,3],"y":[1,2,3],"at":4,"confidence":1}`, "confidence", "between 0 and 1"},
		{"line", `{"x":[1,2,3],"y":[1,2,3],"confidence":95}`, "confidence", "between 0 and 1"},
		{"line", `{"x":[1,2,1e200],"y":[1,2,3]}`, "x[2]", "1e100"},
		{"line", `{"x":[1,1,1.` + strings.Repeat("0", 99) + `1],"y":[0,1e100,1],"at":1e100,"confidence":0.9999999999999999}`, "confidence", "no interval"},

		{"suspect", `{"garments":0,"returned":0,"exposed":0,"exposed_returned":0}`, "garments", ""},
		{"suspect", `{"garments":8,"returned":9,"exposed":4,"exposed_returned":4}`, "returned", ""},
		{"suspect", `{"garments":8,"returned":4,"exposed":-4,"exposed_returned":4}`, "exposed", ""},
		{"suspect", `{"garments":8,"returned":4,"exposed":4,"exposed_returned":5}`, "exposed_returned", ""},
		{"suspect", `{"garments":8,"returned":7,"exposed":7,"exposed_returned":5}`, "exposed_returned", ""},
		{"suspect", `{"garments":8,"returned":4,"exposed":4,"exposed_returned":2.5}`, "exposed_returned", "whole"},
		{"suspect", `{"garments":1e30,"returned":4,"exposed":4,"exposed_returned":2}`, "garments", "largest whole number"},

		{"tag", `{"serial":0}`, "serial", "below 1"},
		{"tag", `{"serial":-5}`, "serial", "below 1"},
		{"tag", `{"serial":12.5}`, "serial", "whole"},
		{"tag", `{"serial":1e19}`, "serial", "largest whole number"},
		{"tag", `{"serial":32}`, "serial", "never issued"}, // 32 mod 37 is *
		{"tag", `{"serial":33}`, "serial", "~"},
		{"tag", `{"serial":34}`, "serial", "$"},
		{"tag", `{"serial":35}`, "serial", "="},
		{"tag", `{"serial":36}`, "serial", "U"},
		{"tag", `{"serial":true}`, "serial", "number or a text"},
	} {
		out, err := run(c.document, c.name, "--in", "-", "--json")
		if c.field == "" {
			if err != nil {
				t.Errorf("%s %s: %v", c.name, c.document, err)
			}
			continue
		}
		refuses(t, c.field, c.says, out, err)
	}
}

// What is no document, and what is too much of one, is refused fast.
func TestDocumentsThatAreNone(t *testing.T) {
	t.Parallel()
	big := strings.Repeat("1,", 100_000)
	for _, c := range []struct{ document, field, says string }{
		{"", "in", "empty"},
		{" \n\t", "in", "empty"},
		{"[1,2]", "in", "a list is no question"},
		{`"serial"`, "in", "the text \"serial\" is no question"},
		{"12", "in", "the number 12 is no question"},
		{"null", "in", "null is no question"},
		{"serial: 12", "in", "not JSON"},
		{`{"serial":12`, "serial", "ends too early"},
		{`{"serial":`, "serial", "ends too early"},
		{`{"serial" 12}`, "serial", "not JSON"},
		{`{"serial":012}`, "serial", ""},
		{`{"serial":0x12}`, "serial", ""},
		{`{"serial":+12}`, "serial", "not JSON"},
		{`{"serial":.5}`, "serial", "not JSON"},
		{`{"serial":nan}`, "serial", "nan is not a number"},
		{`{serial:12}`, "in", "not JSON"},
		{`{"serial":12,}`, "serial", "not JSON"},
		{`{"serial":12} {"serial":13}`, "in", "something follows"},
		{`{"serial":12}]`, "in", "something follows"},
		{`{"serial":12} NaN`, "in", "something follows"},
		{"{\"serial\":\"\xff\"}", "in", "UTF-8"},
		{`{"serial":"` + strings.Repeat("A", 201) + `"}`, "serial", "at most 200"},
		{`{"serial":"A\u001b[2J"}`, "serial", "cannot be printed"},
		{`{"serial":[` + strings.Repeat("[", 20) + strings.Repeat("]", 20) + `]}`, "serial[0][0][0][0][0][0][0]", "deep"},
		{strings.Repeat("[", 1_000_000), "", "deep"},
		{`{"serial":[` + big + big[:len(big)-1] + `]}`, "serial", "longer than 100000"},
		{`{"` + strings.Repeat("x", 300) + `":1}`, "\"" + strings.Repeat("x", 40) + "…\"", "no such field"},
		{`{"a b":1}`, `"a b"`, "no such field"},
		{`{"":1}`, `""`, "no such field"},
		{strings.Repeat(" ", 16<<20) + `{"serial":12}`, "in", "larger than 16 MiB"},
	} {
		start := time.Now()
		out, err := run(c.document, "tag", "--in", "-", "--json")
		if c.field == "" {
			c.field = strings.Repeat("[0]", 8)
		}
		refuses(t, c.field, c.says, out, err)
		if took := time.Since(start); took > 5*time.Second {
			t.Errorf("%.40s took %v", c.document, took)
		}
	}
}

// A million values are read, and not one more.
func TestADocumentOfTooManyValues(t *testing.T) {
	t.Parallel()
	list := "[" + strings.Repeat("1,", 99_999) + "1]"
	out, err := run(`{"jobs":[`+strings.Repeat(list+",", 10)+list+`]}`, "lotsize", "--in", "-")
	refuses(t, "jobs[9][99988]", "more than 1000000 values", out, err)
}

// Tens of thousands of periods whose numbers have hundreds of digits between
// them would take a minute, and are refused at once; twenty thousand plain
// ones are answered.
func TestListsBeyondReach(t *testing.T) {
	t.Parallel()
	long := strings.TrimSuffix(strings.Repeat("1e290,1e-290,", 17_500), ",")
	for name, c := range map[string]struct{ field, document string }{
		"lotsize": {"demand", `{"demand":[%s],"order_cost":500.1,"holding_cost":0.02}`},
		"netting": {"gross", `{"on_hand":0,"gross":[%s],"scheduled":[],"lead":1}`},
		"line":    {"x", `{"x":[%[1]s],"y":[%[1]s]}`},
	} {
		out, err := run(fmt.Sprintf(c.document, long), name, "--in", "-", "--json")
		refuses(t, c.field, "so many digits", out, err)
	}
	plain := strings.TrimSuffix(strings.Repeat("12.5,0,", 10_000), ",")
	start := time.Now()
	if _, err := run(`{"demand":[`+plain+`],"order_cost":500.1,"holding_cost":0.02}`, "lotsize", "--in", "-", "--json"); err != nil {
		t.Error(err)
	}
	if took := time.Since(start); took > 30*time.Second {
		t.Errorf("it took %v", took)
	}
}

func TestTheFileOfADocument(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	path := filepath.Join(dir, "question.json")
	if err := os.WriteFile(path, []byte(`{"serial":1234}`), 0o600); err != nil {
		t.Fatal(err)
	}
	if out, err := run("", "tag", "--in", path, "--json"); err != nil || out != "{\"tag\":\"16JD\",\"valid\":true}\n" {
		t.Errorf("%q, %v", out, err)
	}
	for _, c := range []struct {
		args        []string
		field, says string
	}{
		{[]string{"tag", "--in", filepath.Join(dir, "none.json")}, "in", "cannot be read"},
		{[]string{"tag", "--in", dir}, "in", "cannot be read"},
		{[]string{"tag", "--in", ""}, "in", "cannot be read"},
		{[]string{"tag", "--in", path, "--serial", "5"}, "in", "both given"},
		{[]string{"tag", "--serial", "5", "--tag", "16JD"}, "serial", "two flags"},
		{[]string{"tag"}, "serial", "missing"},
		{[]string{"tag", "1234"}, "", "no flag"},
		{[]string{"frobnicate"}, "", "use one of dose, mordant"},
	} {
		out, err := run("", c.args...)
		refuses(t, c.field, c.says, out, err)
	}
}

// Flags are read as strictly as a document.
func TestFlagsThatSayNothing(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ command, field, says string }{
		{"dose --dry-mass-g 1,5 --wof-percent 15", "dry_mass_g", "not a number"},
		{"dose --dry-mass-g 1080g --wof-percent 15", "dry_mass_g", "not a number"},
		{"dose --dry-mass-g NaN --wof-percent 15", "dry_mass_g", "not a number"},
		{"dose --dry-mass-g +Inf --wof-percent 15", "dry_mass_g", "not a number"},
		{"dose --dry-mass-g 0x10 --wof-percent 15", "dry_mass_g", "not a number"},
		{"dose --dry-mass-g 1_000 --wof-percent 15", "dry_mass_g", "not a number"},
		{"dose --dry-mass-g 1e999999999 --wof-percent 15", "dry_mass_g", "more digits"},
		{"dose --dry-mass-g 1080", "wof_percent", "missing"},
		{"dose --dry-mass-g= --wof-percent 15", "dry_mass_g", "not a number"},
		{"lotsize --demand 90,,80 --order-cost 5 --holding-cost 1", "demand[1]", "not a number"},
		{"lotsize --demand 90 --order-cost 5,x --holding-cost 1", "order_cost[1]", "not a number"},
		{"lotsize --demand= --order-cost 5 --holding-cost 1", "demand[0]", "not a number"},
		{"difference --standard 1,2 --sample 1,2,3", "standard", "3 numbers"},
		{"fade --blue-wool 2-3 --lux 400 --hours-per-day 10 --days 1 --uv true", "blue_wool", "not a number"},
		{"fade --blue-wool 3 --lux 400 --hours-per-day 10 --days 1 --uv maybe", "uv", "true or false"},
		{"fade --blue-wool 3 --lux 400 --hours-per-day 10 --days 1", "uv", "missing"},
		{"tag --serial 16JD", "serial", "not a number"},
		{"pots --pots a:10 --sets x:ten", "sets[0].mass_g", "not a number"},
		{"pots --pots a:10 --sets x:1,x:2", "sets[1].id", "sets[0]"},
		{"pots --pots a: --sets x:1", "pots[0].mass_g", "not a number"},
		{"schedule --machines 2 --jobs 0:1,1", "jobs[0][1]", "not a step"},
		{"schedule --machines 2 --jobs 0:1 --jobs x:1", "jobs[1][0].machine", "not a number"},
		{"spectrum --wavelengths-nm 400,420,440,460 --reflectance .1,.2,.3,.4 --illuminant D65 --observer 10", "reflectance[0]", "not a number"},
	} {
		out, err := run("", strings.Fields(c.command)...)
		refuses(t, c.field, c.says, out, err)
	}
}

// fieldsOf takes a flat document apart, as it is written.
func fieldsOf(t testing.TB, document string) map[string]string {
	t.Helper()
	fields := map[string]string{}
	rest := strings.TrimSuffix(strings.TrimPrefix(document, "{"), "}")
	for rest != "" {
		name, after, ok := strings.Cut(strings.TrimPrefix(rest, `"`), `":`)
		if !ok {
			t.Fatalf("cannot take %s apart", document)
		}
		end := strings.Index(after, `,"`)
		for end >= 0 && strings.Count(after[:end], "[") != strings.Count(after[:end], "]") {
			next := strings.Index(after[end+1:], `,"`)
			if next < 0 {
				end = -1
				break
			}
			end += 1 + next
		}
		if end < 0 {
			fields[name], rest = after, ""
			continue
		}
		fields[name], rest = after[:end], after[end+1:]
	}
	return fields
}

// documentOf puts it together again with one field changed, or left out.
func documentOf(fields map[string]string, changed, value string) string {
	var parts []string
	for name, v := range fields {
		if name == changed {
			v = value
		}
		if v != "" {
			parts = append(parts, fmt.Sprintf("%q:%s", name, v))
		}
	}
	return "{" + strings.Join(parts, ",") + "}"
}
