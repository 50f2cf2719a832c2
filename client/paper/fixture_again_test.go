package paper

import dyelotv1 "dyelot/proto/dyelot/v1"

// The linen shirt of stories.md, before its third bath of iron and after it; and
// a stack of part-done cloth.
const shirtTag = "1000X"

func shirt(lot, place string) *dyelotv1.Garment {
	return &dyelotv1.Garment{Tag: shirtTag, LotCode: lot, ItemCode: "shirt-linen", Style: "shirt", Size: "L", DryMass: g("240"), ParcelCode: "P1", Place: place}
}

func shirtLot(code, state string) *dyelotv1.Lot {
	return &dyelotv1.Lot{Code: code, RunCode: "R" + code[1:], VesselCode: "pot-30", State: state, GarmentMass: g("240"), WitnessMass: g("0"), FibreMass: g("240"), BathVolume: ml("9600"), Issued: true,
		ColourwayCode: "mill-black", Fibre: "linen", RecipeCode: "alder-deeper", RecipeVersion: 1, Garments: []*dyelotv1.Garment{shirt(code, "in-work")}}
}

func shirtIron(offered, grams, iron, metal string, unknown bool) *dyelotv1.OfferedIron {
	return &dyelotv1.OfferedIron{Tags: []string{shirtTag}, Offered: offered, Unknown: unknown, Copperas: g(grams), Iron: g(iron), IronPercent: metal}
}

func cardAgain() *dyelotv1.GetBenchCardResponse {
	l := shirtLot("L2", "in-work")
	l.Earlier = []*dyelotv1.Earlier{
		{Tags: []string{shirtTag}, LotCode: "L1", RecordCode: "S2", Kind: "dye", Text: "dye S2 of L1, 2026-04-03"},
		{Tags: []string{shirtTag}, LotCode: "L1", RecordCode: "S3", Kind: "after-dip", Text: "after-dip S3 of L1, 2026-04-03: 4.8 g of copperas, 2 % WOF"},
	}
	dip := &dyelotv1.PlannedStage{Position: 3, Kind: "after-dip", KindName: "after-dip", LotCodes: []string{"L2"}, FibreMass: g("240"), BathVolume: ml("9600"), Celsius: 45, Minutes: 15,
		Doses: []*dyelotv1.PlannedDose{{ItemCode: "copperas", ItemName: "copperas", Asked: "1.5 % WOF", Amount: g("3.6"), WofPercent: "1.5", Picks: []*dyelotv1.Taken{{ParcelCode: "P3", Amount: g("3.6")}}}}}
	return &dyelotv1.GetBenchCardResponse{Lot: l, ColourwayName: "mill black", Run: &dyelotv1.Run{Code: "R2"}, NextPosition: 3,
		Iron: []*dyelotv1.OfferedIron{shirtIron("2 %", "4.8", "0.964224", "0.4018", false)},
		Stages: []*dyelotv1.CardStage{{Stage: dip, Warnings: []*dyelotv1.Warning{{Key: "iron-over", Source: "from memory",
			Text: "copperas offered to 1000X so far is 3.5 % (8.4 g, holding 1.687 g or 0.703 % of iron), above 2 % on linen: iron with tannin rots cellulose; go on only with a named override"}}}}}
}

func traceShirt() *dyelotv1.TraceGarmentResponse {
	iron := shirtIron("at least 3.5 % + unknown", "8.4", "1.687392", "0.7031", true)
	iron.Baths = []*dyelotv1.IronBath{
		{RecordCode: "S3", LotCode: "L1", HappenedAt: at("2026-04-03T09:00:00Z"), Offered: "2 %"},
		{RecordCode: "S6", LotCode: "L2", HappenedAt: at("2026-06-08T09:00:00Z"), Offered: "1.5 %", OverrideBy: "owner", OverrideReason: "the wearer was told that it may tear sooner"},
		{RecordCode: "S7", LotCode: "L2", HappenedAt: at("2026-08-04T09:00:00Z"), Offered: "unknown", OverrideBy: "owner", OverrideReason: "a swatch looked sound"},
	}
	sister := shirt("L1", "sold")
	sister.Tag, sister.OrderRef = "10013", "market-2"
	return &dyelotv1.TraceGarmentResponse{Garment: shirt("L2", "in-work"), Lot: shirtLot("L2", "waiting-for-tests"), ColourwayName: "mill black", LotCodes: []string{"L1", "L2"}, Iron: iron,
		Events: []*dyelotv1.GarmentEvent{
			{HappenedAt: at("2026-06-01T09:00:00Z"), Kind: "returned", By: "shop-1", LotCode: "L1", OrderRef: "market-2", Text: "too pale after all"},
			{HappenedAt: at("2026-06-03T09:00:00Z"), Kind: "mended", By: "bench-1", LotCode: "L1", Text: "a seam at the cuff sewn again"},
			{HappenedAt: at("2026-06-07T09:00:00Z"), Kind: "over-dyed", By: "owner", LotCode: "L1", Text: "goes into lot L2"},
			{HappenedAt: at("2026-06-07T09:00:00Z"), Kind: "issued", By: "owner", LotCode: "L2", Text: "from lot L1"},
		},
		FormerLots: []*dyelotv1.FormerLot{{Lot: shirtLot("L1", "imperfect"), ColourwayName: "mill grey", Judgement: judgement(true), Sisters: []*dyelotv1.Relative{{Garment: sister}}}}}
}

func lotMovedOn() *dyelotv1.GetLotResponse {
	l := shirtLot("L1", "imperfect")
	waiting := shirt("L1", "returned")
	waiting.Tag, waiting.NextLotCode = "10013", "L5"
	l.Garments, l.MovedOn = []*dyelotv1.Garment{waiting}, []*dyelotv1.Garment{shirt("L2", "in-work")}
	return &dyelotv1.GetLotResponse{Lot: l}
}

func cloth() *dyelotv1.ListClothResponse {
	gs := tunics("L1", "part-done", "", "105", "104", "106", "103", "105")
	gs[4].NextLotCode = "L4"
	return &dyelotv1.ListClothResponse{Cloth: []*dyelotv1.Cloth{
		{LotCode: "L1", Shade: "reds", Note: "damp, in the cellar", HappenedAt: at("2026-05-15T09:00:00Z"), By: "dyer-1", Fibre: "silk", Garments: gs, DryMass: g("523"),
			Earlier: []*dyelotv1.Earlier{{LotCode: "L1", RecordCode: "S1", Text: "scour S1 of L1, 2026-05-13"}, {LotCode: "L1", RecordCode: "S2", Text: "mordant S2 of L1, 2026-05-14: 78.5 g of alum, 15.01 % WOF"}}},
		{LotCode: "L2", Shade: "yellows", HappenedAt: at("2026-05-01T09:00:00Z"), By: "dyer-1", Fibre: "wool", DryMass: g("0")},
	}}
}

func leavesOut() *dyelotv1.PlanRunResponse {
	l := shirtLot("L4", "planned")
	l.Earlier = []*dyelotv1.Earlier{{Tags: []string{shirtTag}, LotCode: "L3", Text: "mordant S2 of L3, 2026-05-14: 36 g of alum, 15 % WOF"}}
	l.LeftOut = []*dyelotv1.LeftOutStage{{Position: 2, Kind: "mordant", KindName: "mordant", Reason: "mordant S2 of L3, 2026-05-14: 36 g of alum, 15 % WOF"}}
	return &dyelotv1.PlanRunResponse{Run: &dyelotv1.Run{Code: "R4", ColourwayCode: "madder-red", RecipeCode: "madder-on-linen", RecipeVersion: 1, StandardCode: "madder-red", State: "planned", Lots: []*dyelotv1.Lot{l}}}
}
