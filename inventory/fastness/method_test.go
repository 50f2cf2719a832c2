package fastness_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"dyelot/inventory/fastness"
)

var day = time.Date(2026, 7, 2, 9, 0, 0, 0, time.UTC)

// The methods a result can name, with their components counted: the cloth and six
// strips, and for sweat those seven twice. Standards by number; C06's variants run
// from A1S to E2S, AATCC 61's from 1A to 5A, B02's methods from 1 to 5.
func TestMethodTable(t *testing.T) {
	t.Parallel()
	want := []string{
		"iso-105-c06 wash 7 A1S A1M A2S B1S B1M B2S C1S C1M C2S D1S D1M D2S D3S D3M E1S E2S",
		"iso-105-c10 wash 7 A B C D E",
		"aatcc-61 wash 7 1A 2A 3A 4A 5A",
		"iso-105-b02 light 1 1 2 3 4 5",
		"aatcc-16-3 light 1",
		"iso-105-x12 rubbing 2",
		"iso-105-e04 perspiration 14",
		"iso-105-e01 water 7",
		"studio-window light 1",
		"studio-home-wash wash 7",
	}
	var got []string
	for _, m := range fastness.Methods() {
		line := fmt.Sprintf("%s %s %d", m.Key, m.Family, len(m.Components))
		for _, v := range m.Variants {
			line += " " + v.Key
		}
		got = append(got, line)
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	wantStrips := []string{"acetate", "cotton", "polyamide", "polyester", "acrylic", "wool"}
	if diff := cmp.Diff(wantStrips, fastness.Strips()); diff != "" {
		t.Error(diff)
	}
}

// Sweep: every row of the method table is whole, and every kind can be answered.
func TestEveryMethodIsWhole(t *testing.T) {
	t.Parallel()
	keys, answered := map[string]bool{}, map[string]bool{}
	for _, m := range fastness.Methods() {
		if keys[m.Key] || m.Title == "" || m.StudioOwn != (m.Standard == "") || len(m.Components) == 0 {
			t.Errorf("%s: a second row, or not whole: %+v", m.Key, m)
		}
		if m.StudioOwn && !strings.Contains(m.Title, "the studio's own") {
			t.Errorf("%s: the title does not say whose test it is", m.Key)
		}
		keys[m.Key] = true
		components, scaleOf := map[string]bool{}, map[string]fastness.Scale{}
		for _, c := range m.Components {
			k, err := fastness.KindOf(c.Kind)
			if err != nil || k.Family != m.Family || !slices.Contains(k.Scales, c.Scale) || !slices.Contains(k.Parts, c.Part) || c.Title == "" {
				t.Errorf("%s %s does not fit its kind: %+v, %v", m.Key, c.Key, c, err)
			}
			if components[c.Key] {
				t.Errorf("%s: component %s stands twice", m.Key, c.Key)
			}
			if s, ok := scaleOf[c.Kind]; ok && s != c.Scale {
				t.Errorf("%s: %s is graded on two scales", m.Key, c.Kind)
			}
			components[c.Key], scaleOf[c.Kind], answered[c.Kind] = true, c.Scale, true
		}
		for _, k := range fastness.Kinds() {
			if _, has := scaleOf[k.Key]; !has {
				continue
			}
			for _, part := range k.Parts {
				if !slices.ContainsFunc(m.Components, func(c fastness.Component) bool { return c.Kind == k.Key && c.Part == part }) {
					t.Errorf("%s grades %s but not its part %q", m.Key, k.Key, part)
				}
			}
		}
	}
	for _, k := range fastness.Kinds() {
		if !answered[k.Key] || k.Title == "" {
			t.Errorf("no method answers %s", k.Key)
		}
	}
}

// The tables are copies: a caller who scribbles on them changes nothing.
func TestTablesAreCopies(t *testing.T) {
	t.Parallel()
	m := fastness.Methods()[0]
	m.Components[0].Scale, m.Variants[0].Key = "scribble", "scribble"
	fastness.Kinds()[0].Parts[0] = "scribble"
	fastness.Strips()[0] = "scribble"
	fastness.ChangeScale()[0].DeltaE = 99
	again, err := fastness.MethodOf(m.Key)
	if err != nil || again.Components[0].Scale == "scribble" || again.Variants[0].Key == "scribble" ||
		fastness.Kinds()[0].Parts[0] == "scribble" || fastness.Strips()[0] == "scribble" || fastness.ChangeScale()[0].DeltaE == 99 {
		t.Error("a table was changed from outside")
	}
}

func washTest() fastness.Test {
	return fastness.Test{
		ID: "T1", Method: "iso-105-c06", Edition: "2010", Variant: "A1S",
		Subject: fastness.Subject{Scope: fastness.EachLot, Code: "L7"},
		Grades:  map[string]fastness.Grade{"change": fastness.Half(3), "stain-wool": fastness.Whole(4)},
		Date:    day,
	}
}

func TestResultsThatCanBeRecorded(t *testing.T) {
	t.Parallel()
	for name, edit := range map[string]func(*fastness.Test){
		"as it is":       func(*fastness.Test) {},
		"with direction": func(r *fastness.Test) { r.Directions = []string{"redder", "weaker"} },
		"rubbing":        func(r *fastness.Test) { r.Method, r.Variant, r.Grades = "iso-105-x12", "", grades("wet", 6) },
		"AATCC light":    func(r *fastness.Test) { r.Method, r.Variant, r.Grades = "aatcc-16-3", "", grades("light", 18) },
		"blue wool 8":    func(r *fastness.Test) { r.Method, r.Variant, r.Grades = "iso-105-b02", "2", grades("light", 16) },
		"studio's own":   func(r *fastness.Test) { r.Method, r.Edition, r.Variant = "studio-home-wash", "", "" },
		"bleached":       func(r *fastness.Test) { r.Method, r.Variant, r.Grades = "aatcc-61", "4A", grades("change", 6) },
	} {
		r := washTest()
		edit(&r)
		if err := r.Validate(); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	for _, m := range fastness.Methods() { // every component of every variant, at both ends of its scale
		for _, v := range append(m.Variants, fastness.Variant{})[:max(1, len(m.Variants))] {
			for _, c := range m.Components {
				for _, g := range []fastness.Grade{c.Scale.Worst(), c.Scale.Best()} {
					r := washTest()
					r.Method, r.Variant, r.Grades = m.Key, v.Key, map[string]fastness.Grade{c.Key: g}
					if err := r.Validate(); (err == nil) == slices.Contains(v.Ungraded, c.Kind) {
						t.Errorf("%s %s %s %v: %v", m.Key, v.Key, c.Key, g, err)
					}
				}
			}
		}
	}
}

func grades(component string, g int) map[string]fastness.Grade {
	return map[string]fastness.Grade{component: fastness.Grade(g)}
}

func TestResultsThatNobodyCouldHaveMade(t *testing.T) {
	t.Parallel()
	for field, edits := range map[string][]func(*fastness.Test){
		"method":  {func(r *fastness.Test) { r.Method = "iso-105-c99" }, func(r *fastness.Test) { r.Method = "" }},
		"edition": {func(r *fastness.Test) { r.Edition = " " }},
		"variant": {
			func(r *fastness.Test) { r.Variant = "" },
			func(r *fastness.Test) { r.Variant = "F1S" },
			func(r *fastness.Test) { r.Method, r.Variant, r.Grades = "iso-105-x12", "A1S", grades("dry", 6) },
		},
		"grades":        {func(r *fastness.Test) { r.Grades = nil }},
		"grades.light":  {func(r *fastness.Test) { r.Grades = grades("light", 6) }},
		"grades.change": {func(r *fastness.Test) { r.Grades = grades("change", 11) }, func(r *fastness.Test) { r.Grades = grades("change", 0) }},
		// AATCC 61: staining is not graded where the liquor is bleached (tests 4A, 5A).
		"grades.stain-wool": {func(r *fastness.Test) { r.Method, r.Variant = "aatcc-61", "5A" }},
		"subject.scope":     {func(r *fastness.Test) { r.Subject.Scope = "swatch" }, func(r *fastness.Test) { r.Subject.Scope = "table" }},
		"subject.code":      {func(r *fastness.Test) { r.Subject.Code = "" }},
		"directions":        {func(r *fastness.Test) { r.Directions = []string{"nicer"} }},
		"date":              {func(r *fastness.Test) { r.Date = time.Time{} }},
	} {
		for _, edit := range edits {
			r := washTest()
			edit(&r)
			wantField(t, r.Validate(), field)
		}
	}
	// An unknown key is refused with the list of known ones.
	r := washTest()
	r.Method = "iso-105-c99"
	for _, m := range fastness.Methods() {
		if !strings.Contains(r.Validate().Error(), m.Key) {
			t.Errorf("the refusal does not list %s", m.Key)
		}
	}
}
