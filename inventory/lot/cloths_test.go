package lot_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
)

func samples(names ...string) (all []lot.Sample) {
	for i, n := range names {
		all = append(all, lot.Sample{Name: n, Line: i + 10})
	}
	return all
}

func TestSamplesAreSpotsOfTheClothTheyName(t *testing.T) {
	t.Parallel()
	known := []string{"16JD", "16KF", "L1", "L12"}
	got, err := lot.Cloths("file", samples("16JD", "16JD 2", "L1/3", "16jd-3", "16-JD left cuff", "l12#1", "16KF (hem)", "i6kf_2", "L01 1"), known)
	want := []lot.Cloth{{Code: "16JD", Samples: []int{0, 1, 3, 4}}, {Code: "L1", Samples: []int{2, 8}}, {Code: "L12", Samples: []int{5}}, {Code: "16KF", Samples: []int{6, 7}}}
	if diff := cmp.Diff(want, got); diff != "" || err != nil {
		t.Errorf("%v\n%s", err, diff)
	}
	_, err = lot.Cloths("file", samples("16JD", "16JX 2", "swatch", "16JDQ", "", "L2", "L3", "L4"), known)
	wantFault(t, err, fault.Invalid, "INVALID_FIELD", `line 11: "16JX 2", line 12: "swatch", line 13: "16JDQ", line 14: "", line 15: "L2", and 2 more`)
}

// A file of one cloth may call its spots what it likes, but not half of them.
func TestSamplesOfOneCloth(t *testing.T) {
	t.Parallel()
	known := []string{"L1", "16JD", "16KF"}
	got, err := lot.OneCloth("file", "L1", samples("1", "2", "hem"), known)
	if diff := cmp.Diff([]lot.Cloth{{Code: "L1", Samples: []int{0, 1, 2}}}, got); diff != "" || err != nil {
		t.Errorf("%v\n%s", err, diff)
	}
	got, err = lot.OneCloth("file", "L1", samples("L1 1", "16JD", "16KF", "16JD 2"), known)
	if diff := cmp.Diff([]lot.Cloth{{Code: "L1", Samples: []int{0}}, {Code: "16JD", Samples: []int{1, 3}}, {Code: "16KF", Samples: []int{2}}}, got); diff != "" || err != nil {
		t.Errorf("%v\n%s", err, diff)
	}
	_, err = lot.OneCloth("file", "L1", samples("1", "2", "16JD"), known)
	wantFault(t, err, fault.Invalid, "INVALID_FIELD", `line 10: "1", line 11: "2"`)
}

// Every sample is a spot of exactly one cloth, or the file is refused.
func TestEverySampleIsOfOneCloth(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		names := rapid.SliceOfN(rapid.SampledFrom([]string{"16JD", "16JD 2", "L1/3", "L1", "16KF-1"}), 1, 20).Draw(t, "names")
		cloths, err := lot.Cloths("file", samples(names...), []string{"16JD", "16KF", "L1"})
		if err != nil {
			t.Fatal(err)
		}
		seen := map[int]bool{}
		for _, c := range cloths {
			for _, i := range c.Samples {
				if seen[i] || names[i][:2] != c.Code[:2] {
					t.Fatalf("%v of %v", cloths, names)
				}
				seen[i] = true
			}
		}
		if len(seen) != len(names) {
			t.Fatalf("%v of %v", cloths, names)
		}
	})
}
