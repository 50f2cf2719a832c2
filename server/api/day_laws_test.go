package api_test

import (
	"math/big"
	"slices"
	"time"

	pb "dyelot/proto/dyelot/v1"
	"dyelot/server/api/apitest"
)

// zeroSum is law 1, seen from outside: what a parcel's movements brought to the
// shelf, less what they took from it, lies there.
func (d *day) zeroSum(parcel string) {
	p := apitest.Must(d.House, first(d.Stock.GetParcel(d.Ctx, &pb.GetParcelRequest{Code: parcel})), nil)
	sum := new(big.Rat)
	for _, m := range p.GetMovements() {
		for _, l := range m.GetLegs() {
			if l.GetParcelCode() != parcel {
				continue
			}
			if l.GetTo() == "shelf" {
				sum.Add(sum, d.number(l.GetAmount()))
			}
			if l.GetFrom() == "shelf" {
				sum.Sub(sum, d.number(l.GetAmount()))
			}
		}
	}
	onHand, promised := d.number(p.GetParcel().GetOnHand()), d.number(p.GetParcel().GetPromised())
	if sum.Cmp(onHand) != 0 {
		d.wrong("law 1: the movements of %s sum to %s, and %s are on hand", parcel, sum.FloatString(6), onHand.FloatString(6))
	}
	if onHand.Sign() < 0 || promised.Cmp(onHand) > 0 {
		d.wrong("%s holds %s and promises %s", parcel, onHand.FloatString(6), promised.FloatString(6))
	}
}

func (d *day) number(a *pb.Amount) *big.Rat {
	n, fine := new(big.Rat).SetString(a.GetValue())
	if !fine {
		d.wrong("%v is no amount", a)
		return new(big.Rat)
	}
	return n
}

// dual is law 4, seen from outside: from some garments up and down again, and
// from some parcels down and up again. Half are drawn of all that ever were.
func (d *day) dual() {
	t := traced{d, map[string][]string{}, map[string][]string{}}
	for range 3 {
		tag := anyOf(d, d.tags)
		for _, parcel := range append(some(d, t.up(tag), 3), one(d, d.bags).code, anyOf(d, d.bags).code) {
			t.agree(tag, parcel)
		}
	}
	for range 4 {
		parcel := anyOf(d, d.bags).code
		for _, tag := range append(some(d, t.down(parcel), 2), one(d, d.tags)) {
			t.agree(tag, parcel)
		}
	}
}

func anyOf[E any](d *day, of []E) E { return of[d.dice.IntN(len(of))] }

// some are up to n of them, drawn one by one.
func some[E any](d *day, of []E, n int) (drawn []E) {
	for range min(n, len(of)) {
		drawn = append(drawn, anyOf(d, of))
	}
	return drawn
}

// traced is what the service answered about garments and about parcels.
type traced struct {
	d            *day
	above, below map[string][]string
}

func (t traced) up(tag string) []string {
	if _, asked := t.above[tag]; !asked {
		t.above[tag] = nil
		for _, p := range apitest.Must(t.d.House, first(t.d.Garment.TraceGarment(t.d.Ctx, &pb.TraceGarmentRequest{Tag: tag})), nil).GetParcels() {
			t.above[tag] = append(t.above[tag], p.GetParcel().GetCode())
		}
	}
	return t.above[tag]
}

func (t traced) down(parcel string) []string {
	if _, asked := t.below[parcel]; !asked {
		t.below[parcel] = tagsIn(apitest.Must(t.d.House, first(t.d.Garment.TraceParcel(t.d.Ctx, &pb.TraceParcelRequest{ParcelCode: parcel})), nil).GetGarments())
	}
	return t.below[parcel]
}

func (t traced) agree(tag, parcel string) {
	if up, down := slices.Contains(t.up(tag), parcel), slices.Contains(t.down(parcel), tag); up != down {
		t.d.wrong("law 4: from %s up to %s %t, from %s down to %s %t", tag, parcel, up, parcel, tag, down)
	}
}

// lookAround reads what people read all day: none of it may break, whatever
// went before.
func (d *day) lookAround() {
	ok(d.Studio.GetToday(d.Ctx, &pb.GetTodayRequest{}))
	ok(d.Stock.GetReorderList(d.Ctx, &pb.GetReorderListRequest{All: true}))
	ok(d.Logbook.GetYear(d.Ctx, &pb.GetYearRequest{From: "2023-01-01", To: today()}))
	ok(d.cloth.ListCloth(d.Ctx, &pb.ListClothRequest{IncludeGone: true}))
	ok(d.Orders.GetArrival(d.Ctx, &pb.GetArrivalRequest{ParcelCode: d.bag("tunic", "theirs").code}))
	ok(d.Orders.GetCommission(d.Ctx, &pb.GetCommissionRequest{Code: one(d, d.agreed)}))
	ok(d.Runs.GetRun(d.Ctx, &pb.GetRunRequest{Code: one(d, d.runs)}))
	ok(d.Pot.GetBath(d.Ctx, &pb.GetBathRequest{Code: one(d, d.baths("")).GetCode()}))
	lot := d.lot("in-work", "waiting-for-tests", "held", "passed", "imperfect", "re-dye", "part-done").GetLot().GetCode()
	ok(d.Runs.GetBenchCard(d.Ctx, &pb.GetBenchCardRequest{LotCode: lot}))
	ok(d.Judge.GetJudgement(d.Ctx, &pb.GetJudgementRequest{LotCode: lot}))
	ok(d.Pot.ProposeRecipe(d.Ctx, &pb.ProposeRecipeRequest{LotCode: lot}))
}

func today() string { return time.Now().Format(time.DateOnly) }
