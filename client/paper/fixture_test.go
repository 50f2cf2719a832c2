package paper

import (
	"regexp"
	"time"

	"google.golang.org/protobuf/types/known/timestamppb"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// The choir's ten silk tunics and the linen shirt of the studio's two days: the
// figures are worked by hand there (162.0 g of alum, 720 g of weld for a
// strength of 90 %, 54.0 mL of liquor, 27 and 30 mL poured …).

var escape = regexp.MustCompile("\x1b\\[[0-9;]*m")

func uncoloured(text string) string { return escape.ReplaceAllString(text, "") }

func am(value, unit string) *dyelotv1.Amount { return &dyelotv1.Amount{Value: value, Unit: unit} }
func g(value string) *dyelotv1.Amount        { return am(value, "g") }
func ml(value string) *dyelotv1.Amount       { return am(value, "mL") }

func at(text string) *timestamppb.Timestamp {
	when, err := time.Parse(time.RFC3339, text)
	if err != nil {
		panic(err)
	}
	return timestamppb.New(when)
}

func oldAlum() *dyelotv1.Parcel {
	return &dyelotv1.Parcel{Code: "P1", ItemCode: "alum", ItemName: "alum", ItemKind: "mordant", Origin: "delivery", Supplier: "salt works", SupplierLot: "A-9",
		ArrivedAt: at("2025-09-02T10:00:00Z"), OnHand: g("155"), Promised: g("20"), Free: g("135")}
}

func newAlum(onHand string) *dyelotv1.Parcel {
	return &dyelotv1.Parcel{Code: "P9", ItemCode: "alum", ItemName: "alum", ItemKind: "mordant", Origin: "delivery", Supplier: "salt works", SupplierLot: "A-17",
		Cost: &dyelotv1.Money{Value: "12.40", Currency: "NOK"}, ArrivedAt: at("2026-05-14T07:30:00Z"), OnHand: g(onHand), Promised: g("0"), Free: g(onHand)}
}

func weldParcel() *dyelotv1.Parcel {
	return &dyelotv1.Parcel{Code: "P2", ItemCode: "weld", ItemName: "weld", ItemKind: "dyestuff", Origin: "harvest", StrengthPercent: "90",
		Harvest: &dyelotv1.Harvest{Part: "flowering top", Place: "lane behind the boathouse", Ripeness: "in flower", PickedOn: "2025-07-02", Permission: "the farmer",
			FreshMass: g("14600"), DryMass: g("2700"), FreshToDry: "5.41"},
		ArrivedAt: at("2025-07-20T10:00:00Z"), OnHand: g("2700"), Promised: g("720"), Free: g("1980"), UsableUntil: "2027-07-01"}
}

func liquor(left string) *dyelotv1.Parcel {
	return &dyelotv1.Parcel{Code: "P10", ItemCode: "iron-liquor", ItemName: "iron liquor", ItemKind: "solution", Origin: "making",
		MadeFrom: []*dyelotv1.Taken{{ParcelCode: "P6", Amount: g("100")}}, GramsPerLitre: "200", ArrivedAt: at("2026-05-10T08:00:00Z"),
		OnHand: ml(left), Promised: ml("0"), Free: ml(left)}
}

func vinegar() *dyelotv1.Parcel {
	return &dyelotv1.Parcel{Code: "P11", ItemCode: "old-iron", ItemName: "vinegar iron", ItemKind: "solution", Origin: "making", StrengthUnknown: true,
		ArrivedAt: at("2026-03-01T08:00:00Z"), OnHand: ml("960"), Promised: ml("0"), Free: ml("960"), Note: "strained, capped once still"}
}

func shelf() *dyelotv1.ListParcelsResponse {
	blocked := &dyelotv1.Parcel{Code: "P12", ItemCode: "walnut-hull", ItemName: "walnut hull", BlockedReason: "smells of mould: wait for the swatch", OnHand: g("1250.5"), Promised: g("0"), Free: g("1250.5")}
	damp := &dyelotv1.Parcel{Code: "P13", ItemCode: "alder-bark", ItemName: "alder bark", Damp: true, Harvest: &dyelotv1.Harvest{FreshMass: am("8200", "g")}, OnHand: g("0"), Promised: g("0"), Free: g("0")}
	tunics := &dyelotv1.Parcel{Code: "P3", ItemCode: "tunic-silk-m", ItemName: "silk tunic M", OnHand: am("10", "pc"), Promised: am("10", "pc"), Free: am("0", "pc")}
	return &dyelotv1.ListParcelsResponse{Parcels: []*dyelotv1.Parcel{oldAlum(), weldParcel(), tunics, newAlum("500"), liquor("500"), vinegar(), blocked, damp}}
}

func items() *dyelotv1.ListItemsResponse {
	return &dyelotv1.ListItemsResponse{Items: []*dyelotv1.Item{
		{Code: "alum", Name: "potassium alum, fine crystals", Kind: "mordant", OnHand: g("655"), Promised: g("182"), Free: g("473")},
		{Code: "tunic-silk-m", Name: "silk tunic", Kind: "blank", OnHand: am("10", "pc"), Promised: am("10", "pc"), Free: am("0", "pc")},
		{Code: "weld", Name: "weld", Kind: "dyestuff", OnHand: g("12700"), Promised: g("720"), Free: g("11980")},
	}}
}

func weld() *dyelotv1.GetParcelResponse {
	return &dyelotv1.GetParcelResponse{Parcel: weldParcel(),
		Movements: []*dyelotv1.Movement{
			{Code: "M2", Kind: "harvest", HappenedAt: at("2025-07-20T10:00:00Z"), By: "owner", Legs: []*dyelotv1.Leg{{ParcelCode: "P2", From: "field", To: "shelf", Amount: g("2700")}}},
			{Code: "M31", Kind: "use", HappenedAt: at("2026-05-15T06:10:00Z"), By: "dyer-1", UsedBy: "S3", Legs: []*dyelotv1.Leg{{ParcelCode: "P2", From: "shelf", To: "process", Amount: g("720")}}, ReversedBy: "M32"},
			{Code: "M32", Kind: "reversal", HappenedAt: at("2026-05-15T06:20:00Z"), By: "dyer-1", Reason: "that was the madder", Reverses: "M31",
				Legs: []*dyelotv1.Leg{{ParcelCode: "P2", From: "process", To: "shelf", Amount: g("720")}}},
		},
		Promises: []*dyelotv1.PromiseNote{{Code: "L1", ParcelCode: "P2", Amount: g("361"), Purpose: "lot L1"}, {Code: "H3", ParcelCode: "P2", Amount: g("359"), Purpose: "samples for the autumn swatches"}}}
}

func delivery() *dyelotv1.ReceiveDeliveryResponse {
	return &dyelotv1.ReceiveDeliveryResponse{Parcel: newAlum("500"), Movement: &dyelotv1.Movement{Code: "M21", Kind: "delivery"}}
}

func liquorMade() *dyelotv1.MakeParcelResponse {
	return &dyelotv1.MakeParcelResponse{Parcel: liquor("500"), Movement: &dyelotv1.Movement{Code: "M20", Kind: "making"}, Warnings: []*dyelotv1.Warning{
		{Key: "iron-swallow", Text: "5 mL of a 200 g/L liquor holds 20 mg/kg of iron for a 10 kg child: tight child-resistant cap, never a drink bottle, locked and high", Source: "McGuigan 1996; Bateman 2003"},
	}}
}

func count() *dyelotv1.CountParcelResponse {
	p := oldAlum()
	p.OnHand, p.Promised, p.Free = g("12"), g("12"), g("0")
	return &dyelotv1.CountParcelResponse{Parcel: p, Movement: &dyelotv1.Movement{Code: "M40"}, Difference: g("-143"),
		Shortages: []*dyelotv1.Shortage{{Of: "H3", ItemCode: "alum", ParcelCode: "P1", Short: g("8"), Text: "8 g of alum was promised from P1 and is gone: pick again from another parcel"}}}
}

func reorder() *dyelotv1.GetReorderListResponse {
	return &dyelotv1.GetReorderListResponse{Today: "2026-05-12", Lines: []*dyelotv1.ReorderLine{
		{ItemCode: "alum", ItemName: "alum", OnHand: g("155"), Promised: g("20"), Free: g("135"), Needed: g("27"), Minimum: g("100"), Order: g("500"), Supplier: "salt works", LeadDays: 7,
			OrderBy: "2026-05-10", Late: true, Why: "135 g are free and run R1 needs 162 g: 27 g are short, and 100 g are kept",
			Otherwise: "lots L1 and L2 cannot be mordanted on 2026-05-17; 135 g would be 12.5 % WOF, which is another shade"},
		{ItemCode: "weld", ItemName: "weld", OnHand: g("2700"), Promised: g("720"), Free: g("1980"), Needed: g("0"), Minimum: g("500"), Order: g("0")},
	}}
}

func standards() *dyelotv1.ListShadeStandardsResponse {
	return &dyelotv1.ListShadeStandardsResponse{Standards: []*dyelotv1.ShadeStandard{
		{Code: "harbour-gold", Name: "harbour gold", Colour: &dyelotv1.Lab{L: 62, A: -2, B: 38}, Tolerance: "1.5", SetTolerance: "1.0", DatedOn: "2026-03-01", RenewOn: "2028-03-01", Note: "sealed master in the dark drawer"},
		{Code: "slate", Name: "slate", Colour: &dyelotv1.Lab{L: 41.25, A: -1.5, B: -6, Illuminant: "D50", Observer: 2}, Tolerance: "2", DatedOn: "2026-03-01"},
	}}
}

func goldRecipe() *dyelotv1.Recipe {
	return &dyelotv1.Recipe{Code: "gold-on-silk", Name: "gold on silk", Version: 2, Fibre: "silk", LiquorRatio: "40", WrittenAt: at("2026-03-03T09:00:00Z"), WrittenBy: "owner", Note: "iron down from 1.5 to 1 %",
		Stages: []*dyelotv1.RecipeStage{
			{Position: 1, Kind: "scour", Celsius: 45, Minutes: 30, Doses: []*dyelotv1.Dose{{ItemCode: "soap", Basis: "grams_per_litre", Value: "1"}}},
			{Position: 2, Kind: "mordant", Shared: true, Celsius: 55, Minutes: 60, Doses: []*dyelotv1.Dose{{ItemCode: "alum", Basis: "percent_wof", Value: "15"}}, Note: "silk never above 60 °C; lid on, keep the bath or log it spent"},
			{Position: 3, Kind: "brew", Shared: true, Celsius: 90, Minutes: 60, Doses: []*dyelotv1.Dose{{ItemCode: "weld", Basis: "percent_wof", Value: "60"}}},
			{Position: 4, Kind: "dye", Celsius: 60, Minutes: 60, PhLow: "7", PhHigh: "8"},
			{Position: 5, Kind: "after-dip", Celsius: 45, Minutes: 15, Doses: []*dyelotv1.Dose{{ItemCode: "iron-liquor", Basis: "percent_wof", Value: "1"}}},
		}}
}

func gold() *dyelotv1.GetRecipeResponse {
	return &dyelotv1.GetRecipeResponse{Recipe: goldRecipe(), Warnings: []*dyelotv1.Warning{{Key: "soap", Text: "soap on silk: neutral soap only, no soda", Source: "common practice [CP]"}}}
}
