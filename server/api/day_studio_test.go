package api_test

import (
	"fmt"
	"math/big"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"google.golang.org/protobuf/types/known/timestamppb"
	"pgregory.net/rapid"

	"dyelot/inventory/fastness"
	pb "dyelot/proto/dyelot/v1"
	"dyelot/server/api/apitest"
)

// day is a studio in which everything may happen, and the codes of what did.
type day struct {
	*apitest.House
	opening pb.OpeningServiceClient
	cloth   pb.ClothServiceClient
	r       *rapid.T
	dice    *rand.Rand // even ones, seeded by rapid
	told    tally
	since   int // acts since the books were looked at
	count   int // of names that must differ

	bags                                                                        []bag
	movements, promises, runs, tags, records, entries, evidence, agreed, blends []string
}

type bag struct{ code, item string }

// unitOf what each item is counted in.
var unitOf = map[string]string{"alum": "g", "weld": "g", "copperas": "g", "woad": "g", "tunic": "pc", "theirs": "pc", "strip": "g", "liquor": "mL"}

func openDay(t *testing.T, told tally) *day {
	t.Helper()
	h := apitest.New(t)
	d := &day{House: h, told: told, opening: pb.NewOpeningServiceClient(h.Conn), cloth: pb.NewClothServiceClient(h.Conn)}
	if err := h.Store.SeedHouse(t.Context(), fastness.Seed()); err != nil {
		t.Fatal(err)
	}
	for _, key := range []string{"own-wash-change", "own-wash-staining", "own-rubbing-dry", "own-rubbing-wet"} {
		fine(h.Judge.SetHouseRow(h.Ctx, &pb.SetHouseRowRequest{RequestId: h.ID(), Key: key}))(h)
	}
	silk := []*pb.FibrePart{{Fibre: "silk", Percent: "100"}}
	for _, it := range []*pb.Item{
		{Code: "alum", Kind: "mordant", Substance: "alum"}, {Code: "weld", Kind: "dyestuff", Plant: "weld"}, {Code: "copperas", Kind: "mordant", Substance: "copperas"},
		{Code: "woad", Kind: "dyestuff", Plant: "woad"}, {Code: "tunic", Kind: "blank", PieceMass: h.Amount("108g"), Fibres: silk},
		{Code: "strip", Kind: "witness-cloth", Fibres: silk}, {Code: "liquor", Kind: "solution", Substance: "copperas"},
	} {
		h.Item(it)
	}
	for code, uses := range map[string][]string{"pot-40": {"dye"}, "pot-30": {"dye"}, "tub-60": {"mordant", "brew"}, "iron-30": {"iron"}, "vat-50": {"vat"}} {
		fine(h.Studio.AddVessel(h.Ctx, &pb.AddVesselRequest{RequestId: h.ID(), Vessel: &pb.Vessel{Code: code, Volume: h.Amount(code[len(code)-2:] + "L"), Uses: uses}}))(h)
	}
	fine(h.Recipes.CreateShadeStandard(h.Ctx, &pb.CreateShadeStandardRequest{RequestId: h.ID(), Standard: olive()}))(h)
	of := func(item, percent string) []*pb.Dose {
		return []*pb.Dose{{ItemCode: item, Basis: "percent_wof", Value: percent}}
	}
	d.recipe("gold", &pb.RecipeStage{Kind: "mordant", Shared: true, Doses: of("alum", "15")}, &pb.RecipeStage{Kind: "brew", Shared: true, Doses: of("weld", "60")},
		&pb.RecipeStage{Kind: "dye", Minutes: 60}, &pb.RecipeStage{Kind: "after-dip", Doses: of("liquor", "0.5")}, &pb.RecipeStage{Kind: "dry"})
	d.recipe("blue", &pb.RecipeStage{Kind: "vat-dip"}, &pb.RecipeStage{Kind: "dry"})
	d.recipe("pale", &pb.RecipeStage{Kind: "mordant", Doses: of("alum", "10")}, &pb.RecipeStage{Kind: "dye", Doses: of("weld", "20")})
	for _, b := range [][2]string{{"alum", "2kg"}, {"weld", "6kg"}, {"copperas", "400g"}, {"woad", "300g"}, {"tunic", "30pc"}, {"strip", "400g"}} {
		d.bags = append(d.bags, bag{h.Receive(b[0], b[1]), b[0]})
	}
	return d
}

func (d *day) recipe(code string, stages ...*pb.RecipeStage) {
	fine(write(d.House, &pb.Recipe{Code: code, Fibre: "silk", LiquorRatio: "40", Stages: stages}))(d.House)
	fine(d.Recipes.CreateColourway(d.Ctx, &pb.CreateColourwayRequest{RequestId: d.ID(), Colourway: &pb.Colourway{Code: code, StandardCode: "choir-olive", RecipeCode: code}}))(d.House)
}

// one draws one of some; where there is none the act has nothing to do.
func one[E any](d *day, of []E) E {
	of = newest(of)
	if len(of) == 0 {
		panic(nothing{})
	}
	return of[d.dice.IntN(len(of))]
}

func newest[E any](of []E) []E { return of[max(0, len(of)-actsNewest):] }

func (d *day) upTo(n int) int { return rapid.IntRange(1, n).Draw(d.r, "how many") }

func (d *day) maybe() bool { return rapid.Bool().Draw(d.r, "whether") }

// lately is now, or a moment ago: what is written down later than what came after
// it.
func (d *day) lately() *timestamppb.Timestamp {
	if d.upTo(4) > 1 {
		return nil
	}
	return ago(time.Duration(d.dice.IntN(1000)) * time.Millisecond)
}

// name is a new one.
func (d *day) name(what string) string {
	d.count++
	return fmt.Sprintf("%s-%d", what, d.count)
}

// bag draws a parcel of some items, or of any.
func (d *day) bag(items ...string) bag {
	return one(d, slices.DeleteFunc(slices.Clone(d.bags), func(b bag) bool { return len(items) > 0 && !slices.Contains(items, b.item) }))
}

// some draws an amount of an item, up to n tenths, or whole pieces.
func (d *day) some(item string, n int) *pb.Amount {
	if unitOf[item] == "pc" {
		return d.Amount(fmt.Sprintf("%dpc", d.upTo(4)))
	}
	k := d.upTo(n)
	return d.Amount(fmt.Sprintf("%d.%d%s", k/10, k%10, unitOf[item]))
}

func (d *day) taken(n int, items ...string) *pb.Taken {
	b := d.bag(items...)
	return &pb.Taken{ParcelCode: b.code, Amount: d.some(b.item, n)}
}

// keep notes what came of an act, to be drawn from by later ones.
func keep(into *[]string, codes ...string) {
	for _, c := range codes {
		if c != "" && !slices.Contains(*into, c) {
			*into = append(*into, c)
		}
	}
}

// lot draws a lot in one of some states, and looks at it.
func (d *day) lot(states ...string) *pb.GetLotResponse {
	var all []*pb.Lot
	for _, s := range states {
		all = append(all, d.lotsIn(s)...)
	}
	return ok(d.Runs.GetLot(d.Ctx, &pb.GetLotRequest{Code: one(d, all).GetCode()}))
}

func (d *day) lotsIn(state string) []*pb.Lot {
	return ok(d.Runs.ListLots(d.Ctx, &pb.ListLotsRequest{State: state, PageSize: 200})).GetLots()
}

// garments are those in some places.
func (d *day) garments(places ...string) (all []*pb.Garment) {
	for _, p := range places {
		all = append(all, ok(d.Garment.ListGarments(d.Ctx, &pb.ListGarmentsRequest{Place: p, PageSize: 200})).GetGarments()...)
	}
	return all
}

// own draws a parcel of the studio's own that has some free; seldom any.
func (d *day) own(item string, atLeast int64) string {
	if d.upTo(9) == 9 {
		return d.bag().code
	}
	var all []string
	for _, p := range ok(d.Stock.ListParcels(d.Ctx, &pb.ListParcelsRequest{ItemCode: item, PageSize: 1000})).GetParcels() {
		if p.GetCustomersCommissionCode() == "" && p.GetBlockedReason() == "" && d.number(p.GetFree()).Cmp(big.NewRat(atLeast, 1)) >= 0 {
			all = append(all, p.GetCode())
		}
	}
	return one(d, all)
}
