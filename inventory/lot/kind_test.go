package lot_test

import (
	"regexp"
	"testing"

	"dyelot/inventory/caution"
	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
)

// Every row of the table is whole: what is brewed or dyed has a liquor, only a
// liquor is dosed and needs a vessel, and the bench has a caution to show.
func TestEveryKindOfStageIsWhole(t *testing.T) {
	t.Parallel()
	key, seen := regexp.MustCompile(`^[a-z]+(-[a-z]+)*$`), map[string]bool{}
	for _, k := range lot.Kinds() {
		if seen[k.Key] || !key.MatchString(k.Key) || k.Name == "" || k.What == "" {
			t.Errorf("%+v", k)
		}
		seen[k.Key] = true
		if (k.Doses || k.Brews || k.Dyes) && !k.Bath || k.Brews && k.Dyes || k.Bath != (k.Uses != "") {
			t.Errorf("%s: %+v", k.Key, k)
		}
		if got, err := lot.KindOf(k.Key); err != nil || got != k {
			t.Errorf("%s: %+v, %v", k.Key, got, err)
		}
		if len(caution.ForStage(k.Key, nil, false)) == 0 {
			t.Errorf("%s has no caution", k.Key)
		}
	}
	lot.Kinds()[0].Key = "boil"
	if lot.Kinds()[0].Key != "scour" {
		t.Error("the table can be written to")
	}
	_, err := lot.KindOf("boil")
	wantFault(t, err, fault.Invalid, "INVALID_FIELD", `kind: "boil" is not a stage: use one of scour, tannin, mordant, chalk-bath, wet-out, brew, dye, vat-dip, after-dip, neutralise, rinse, dry, cure, press, look-over`)
}
