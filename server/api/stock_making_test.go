package api_test

import (
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

func warned(ws []*dyelotv1.Warning) (keys []string) {
	for _, w := range ws {
		keys = append(keys, w.GetKey())
	}
	return keys
}

// 600 g at 90 % and 200 g at 100 % make a blend of 92.5 %, by mass; 618 g from a
// bag of 600 g are 18 g found, and what was promised of it is struck.
func TestABlendBringsItsStrengthAndTellsWhomItStrikes(t *testing.T) {
	t.Parallel()
	c := openStock(t)
	c.item(&dyelotv1.Item{Code: "weld", Kind: "dyestuff", Plant: "weld"})
	first, _ := c.bag("weld", "600", "g")
	second, _ := c.bag("weld", "400", "g")
	must[*dyelotv1.SetStrengthResponse](t)(c.SetStrength(c.ctx, &dyelotv1.SetStrengthRequest{RequestId: c.id(), ParcelCode: first, StrengthPercent: "90"}))
	blend := func(a, b, out string) *dyelotv1.MakeParcelResponse {
		return must[*dyelotv1.MakeParcelResponse](t)(c.MakeParcel(c.ctx, &dyelotv1.MakeParcelRequest{RequestId: c.id(), ItemCode: "weld", Amount: amountOf(out, "g"),
			From: []*dyelotv1.Taken{{ParcelCode: first, Amount: amountOf(a, "g")}, {ParcelCode: second, Amount: amountOf(b, "g")}}}))
	}
	made := blend("300", "100", "400")
	if got := c.parcel(made.GetParcel().GetCode()).GetParcel(); got.GetStrengthPercent() != "92.5" || got.GetOrigin() != "making" {
		t.Errorf("%v", got)
	}
	if diff := cmp.Diff([]string{"sample-the-blend"}, warned(made.GetWarnings())); diff != "" {
		t.Error(diff)
	}
	must[*dyelotv1.PromiseParcelResponse](t)(c.PromiseParcel(c.ctx, &dyelotv1.PromiseParcelRequest{RequestId: c.id(), ParcelCode: first, Amount: amountOf("50", "g")}))
	made = blend("318", "100", "418")
	if diff := cmp.Diff([]string{"found", "sample-the-blend", "promise-struck"}, warned(made.GetWarnings())); diff != "" {
		t.Error(diff)
	}
	found := slices.ContainsFunc(made.GetMovement().GetLegs(), func(l *dyelotv1.Leg) bool {
		return l.GetParcelCode() == first && l.GetFrom() == "difference" && l.GetTo() == "shelf" && l.GetAmount().GetValue() == "18"
	})
	if !found {
		t.Errorf("18 g were found: %v", made.GetMovement())
	}
	c.stands(first, "0", "0", "0")
	c.stands(second, "200", "0", "200")
	c.whole()
}

// Vinegar and scrap that nobody keeps: the liquor is booked, and nobody can say
// how strong it is.
func TestALiquorOfScrapHasNoStrength(t *testing.T) {
	t.Parallel()
	c := openStock(t)
	c.item(&dyelotv1.Item{Code: "rust-liquor", Kind: "solution", Substance: "vinegar iron"})
	made := must[*dyelotv1.MakeParcelResponse](t)(c.MakeParcel(c.ctx, &dyelotv1.MakeParcelRequest{RequestId: c.id(), ItemCode: "rust-liquor", Amount: amountOf("900", "mL"), StrengthUnknown: true}))
	if p := made.GetParcel(); !p.GetStrengthUnknown() || p.GetGramsPerLitre() != "" || p.GetOnHand().GetValue() != "900" {
		t.Errorf("%v", p)
	}
	for _, key := range []string{"strength-unknown", "sheet-first", "liquor-hydrogen", "liquor-cap", "iron-bottle"} {
		if !slices.Contains(warned(made.GetWarnings()), key) {
			t.Errorf("%s is not said: %v", key, warned(made.GetWarnings()))
		}
	}
	_, err := c.SetStrength(c.ctx, &dyelotv1.SetStrengthRequest{RequestId: c.id(), ParcelCode: made.GetParcel().GetCode(), StrengthPercent: "50"})
	refused(t, err, "NO_STRENGTH")
	_, err = c.ReceiveDelivery(c.ctx, &dyelotv1.ReceiveDeliveryRequest{RequestId: c.id(), ItemCode: "rust-liquor", Amount: amountOf("1", "L"), GramsPerLitre: "200"})
	off(t, err, "grams_per_litre")
	c.whole()
}
