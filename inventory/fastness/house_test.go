package fastness_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"dyelot/inventory/fastness"
)

// The house standard a studio starts with. The studio's own rows are its own
// choice. GOTS, OEKO-TEX 100 and EU Ecolabel 2014/350/EU are all from memory and
// must be switched off and say "check the edition in force".
func TestSeededHouseStandard(t *testing.T) {
	t.Parallel()
	want := []string{
		"own-wash-change 3-4 on", "own-wash-staining 3-4 on", "own-rubbing-dry 4 on", "own-rubbing-wet 3 on", "own-light 3 on",
		"gots-wash-change 3-4 off", "gots-wash-staining 3-4 off", "gots-light 3-4 off",
		"gots-perspiration-change 3-4 off", "gots-perspiration-staining 3-4 off", "gots-rubbing-dry 3-4 off", "gots-rubbing-wet 2 off",
		"oeko-tex-perspiration-staining 3-4 off", "oeko-tex-water-staining 3 off", "oeko-tex-rubbing-dry 4 off",
		"ecolabel-wash-change 3-4 off", "ecolabel-wash-staining 3-4 off", "ecolabel-perspiration-change 3-4 off",
		"ecolabel-perspiration-staining 3-4 off", "ecolabel-rubbing-wet 2-3 off", "ecolabel-rubbing-dry 4 off", "ecolabel-light 4 off",
	}
	var got []string
	for _, r := range fastness.Seed() {
		state := "off"
		if r.Active {
			state = "on"
		}
		got = append(got, fmt.Sprintf("%s %s %s", r.Key, r.Scale.Text(r.Minimum), state))
		if err := r.Validate(); err != nil {
			t.Errorf("%s: %v", r.Key, err)
		}
		if own := r.Source == fastness.StudioOwn; own != r.Active || own != strings.HasPrefix(r.Key, "own-") {
			t.Errorf("%s: source %q, active %v", r.Key, r.Source, r.Active)
		}
		if !r.Active && (!strings.Contains(r.Note, "from memory") || !strings.Contains(r.Note, "check the edition in force")) {
			t.Errorf("%s: the note does not warn: %q", r.Key, r.Note)
		}
		if !r.Active {
			r.Active = true
			wantField(t, r.Validate(), "edition")
			r.Edition = "7.0"
			if err := r.Validate(); err != nil {
				t.Errorf("%s, switched on with its edition: %v", r.Key, err)
			}
		}
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

func TestRowsThatCouldNeverBeJudged(t *testing.T) {
	t.Parallel()
	for field, edits := range map[string][]func(*fastness.Row){
		"key":  {func(r *fastness.Row) { r.Key = "" }, func(r *fastness.Row) { r.Key = "Wash Change" }},
		"kind": {func(r *fastness.Row) { r.Kind = "beauty" }},
		"scale": {
			func(r *fastness.Row) { r.Scale = fastness.BlueWool },
			func(r *fastness.Row) { r.Scale = fastness.GreyStaining },
			func(r *fastness.Row) { r.Scale = "" },
		},
		"minimum":   {func(r *fastness.Row) { r.Minimum = fastness.Half(5) }, func(r *fastness.Row) { r.Minimum = 0 }},
		"scope":     {func(r *fastness.Row) { r.Scope = "garment" }},
		"source":    {func(r *fastness.Row) { r.Source = "" }},
		"component": {func(r *fastness.Row) { r.Component = "stain-wool" }, func(r *fastness.Row) { r.Component = "light" }},
		"methods": {
			func(r *fastness.Row) { r.Methods = []string{"iso-105-x12"} },
			func(r *fastness.Row) { r.Methods = []string{"iso-105-c06", "no-such"} },
			func(r *fastness.Row) { r.Kind, r.Scale, r.Methods = "light", fastness.BlueWool, []string{"aatcc-16-3"} },
		},
	} {
		for _, edit := range edits {
			r := fastness.Seed()[0]
			edit(&r)
			wantField(t, r.Validate(), field)
		}
	}
	r := fastness.Seed()[1]
	r.Component = "stain-wool"
	if err := r.Validate(); err != nil {
		t.Errorf("staining of wool alone: %v", err)
	}
}
