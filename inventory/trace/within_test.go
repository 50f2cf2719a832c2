package trace_test

import (
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// Law 4: what the look-up for many lots finds above a garment is what happened to
// it, in all its lots.
func TestLaw4AncestryIsWhatHappened(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := anyStudio(t)
		up := s.history().Ancestry()
		above := map[int64][]int64{} // by garment
		for _, m := range s.garments {
			above[m.Garment] = append(above[m.Garment], up.Lot(m.Lot)...)
			if s.issued(m.Lot, m.Parcel) {
				above[m.Garment] = append(above[m.Garment], up.Parcel(m.Parcel)...)
			}
		}
		for garment, found := range above {
			for _, p := range s.parcels {
				if got, went := slices.Contains(found, p.ID), s.went(p.ID, garment); got != went {
					t.Fatalf("%s in garment %d: found %t, and it happened: %t", p.Code(), garment, got, went)
				}
			}
		}
	})
}

// issued is true where a lot was given blanks of a parcel.
func (s *studio) issued(lot, parcel int64) bool {
	for _, c := range s.cloth {
		if c.Lot == lot && c.Parcel == parcel && c.Blanks {
			return true
		}
	}
	return false
}
