package paper

import dyelotv1 "dyelot/proto/dyelot/v1"

func tunics(lot, place, order string, masses ...string) []*dyelotv1.Garment {
	tags := map[string][]string{"L1": {"1000X", "10013", "10025", "10037", "10049"}, "L2": {"1005B", "1006D", "1007F", "1008H", "1009K"}}[lot]
	var gs []*dyelotv1.Garment
	for i, m := range masses {
		gs = append(gs, &dyelotv1.Garment{Tag: tags[i], LotCode: lot, ItemCode: "tunic-silk-m", Style: "tunic", Size: "M", DryMass: g(m), ParcelCode: "P3", Place: place, OrderRef: order})
	}
	return gs
}

func lotOf(code, state string) *dyelotv1.Lot {
	l := &dyelotv1.Lot{Code: code, RunCode: "R1", State: state, ColourwayCode: "harbour-gold", Fibre: "silk", RecipeCode: "gold-on-silk", RecipeVersion: 2, WitnessMass: g("18"), Issued: state != "planned"}
	if code == "L1" {
		l.VesselCode, l.GarmentMass, l.FibreMass, l.BathVolume = "pot-40", g("523"), g("541"), ml("21640")
		l.Garments = tunics("L1", "planned", "", "105", "104", "106", "103", "105")
	} else {
		l.VesselCode, l.GarmentMass, l.FibreMass, l.BathVolume = "pot-30", g("521"), g("539"), ml("21560")
		l.Garments = tunics("L2", "planned", "", "104", "105", "103", "106", "103")
	}
	return l
}

func share(lot, item string, a *dyelotv1.Amount) *dyelotv1.LotShare {
	return &dyelotv1.LotShare{LotCode: lot, ItemCode: item, Amount: a}
}

// planned are the run's baths; with no alum the mordant is short.
func planned(alum []*dyelotv1.Taken, short *dyelotv1.Amount) []*dyelotv1.PlannedStage {
	both := []string{"L1", "L2"}
	return []*dyelotv1.PlannedStage{
		{Position: 2, Kind: "mordant", KindName: "mordant", LotCodes: both, Shared: true, VesselCode: "tub-60", FibreMass: g("1080"), BathVolume: ml("43200"), Celsius: 55, Minutes: 60,
			Doses:  []*dyelotv1.PlannedDose{{ItemCode: "alum", ItemName: "alum", Asked: "15 % WOF", Amount: g("162"), WofPercent: "15", Picks: alum, Short: short}},
			Shares: []*dyelotv1.LotShare{share("L1", "alum", g("81.2")), share("L2", "alum", g("80.8"))}, Note: "silk never above 60 °C"},
		{Position: 3, Kind: "brew", KindName: "brew", LotCodes: both, Shared: true, VesselCode: "brew-60", FibreMass: g("1080"), BathVolume: ml("43200"), Celsius: 90, Minutes: 60,
			Doses: []*dyelotv1.PlannedDose{{ItemCode: "weld", ItemName: "weld", Asked: "60 % WOF", Amount: g("720"), WofPercent: "60", Picks: []*dyelotv1.Taken{{ParcelCode: "P2", Amount: g("720")}},
				Note: "strength 90 %: 648 g of the reference"}},
			Shares: []*dyelotv1.LotShare{share("L1", "weld", g("361")), share("L2", "weld", g("359"))}},
		{Position: 4, Kind: "dye", KindName: "dye", LotCodes: []string{"L1"}, VesselCode: "pot-40", FibreMass: g("541"), BathVolume: ml("21640"), Celsius: 60, Minutes: 60, PhLow: "7", PhHigh: "8",
			Brewed: []*dyelotv1.LotShare{share("L1", "weld", g("361"))}},
		{Position: 5, Kind: "after-dip", KindName: "after-dip", LotCodes: []string{"L1"}, FibreMass: g("541"), BathVolume: ml("21640"), Celsius: 45, Minutes: 15,
			Doses: []*dyelotv1.PlannedDose{{ItemCode: "iron-liquor", ItemName: "iron liquor", Asked: "1 % WOF", Amount: ml("27"), Solute: g("5.4"), WofPercent: "0.9982", Picks: []*dyelotv1.Taken{{ParcelCode: "P10", Amount: ml("27")}}}}},
	}
}

func plan() *dyelotv1.PlanRunResponse {
	return &dyelotv1.PlanRunResponse{Run: &dyelotv1.Run{Code: "R1", ColourwayCode: "harbour-gold", ColourwayName: "harbour gold", RecipeCode: "gold-on-silk", RecipeVersion: 2, StandardCode: "harbour-gold",
		MatchedSet: true, DueOn: "2026-07-10", State: "planned", Lots: []*dyelotv1.Lot{lotOf("L1", "planned"), lotOf("L2", "planned")},
		Stages: planned(nil, g("162")), Note: "ten tunics for the choir",
		Shortages: []*dyelotv1.Shortage{{Of: "L1", ItemCode: "alum", Short: g("27"), Text: "alum: 135 g are free in P1, 162 g are needed; 135 g would be 12.5 % WOF, which is never applied silently"}},
		Warnings:  []*dyelotv1.Warning{{Key: "iron-on-yellow", Text: "iron turns weld olive: stop paler than wanted", Source: "common practice"}}}}
}

func card() *dyelotv1.GetBenchCardResponse {
	stages := planned([]*dyelotv1.Taken{{ParcelCode: "P9", Amount: g("150")}, {ParcelCode: "P1", Amount: g("12")}}, nil)
	done := &dyelotv1.PlannedStage{Position: 1, Kind: "scour", KindName: "scour", LotCodes: []string{"L1"}, Record: scoured()}
	blind := &dyelotv1.PlannedStage{Position: 6, Kind: "after-dip", KindName: "after-dip", LotCodes: []string{"L1"}, FibreMass: g("541"), BathVolume: ml("21640"), Celsius: 40, Minutes: 10,
		Doses: []*dyelotv1.PlannedDose{{ItemCode: "old-iron", ItemName: "vinegar iron", Asked: "40 mL/kg", Amount: ml("22"), Short: ml("22")}}}
	cs := []*dyelotv1.CardStage{{Stage: done}}
	for _, st := range append(stages, blind) {
		cs = append(cs, &dyelotv1.CardStage{Stage: st, Cautions: cautions[st.GetKind()]})
	}
	cs[4].Warnings = []*dyelotv1.Warning{{Key: "iron-so-far", Text: "iron so far on these garments: 0 %; after this dip 1 % of copperas. The line on silk is 2 %", Source: "common practice"}}
	return &dyelotv1.GetBenchCardResponse{Lot: lotOf("L1", "in-work"), ColourwayName: "harbour gold",
		Run: &dyelotv1.Run{Code: "R1", DueOn: "2026-07-10", MatchedSet: true}, NextPosition: 2, Stages: cs,
		General: []*dyelotv1.Caution{{Text: "The supplier's safety data sheet comes first, then local codes and licensed advice."}, {Text: "Dye-only pots and spoons, nothing back to food. No eating here. Children and animals out."},
			{Text: "40 L is 40 kg of near-boiling liquor: bail, tap or cool it, two to lift. A burner is never left."}}}
}

var cautions = map[string][]*dyelotv1.Caution{
	"mordant":   {{Text: "Salt fully dissolved before the cloth goes in. Keep the bath or log it spent.", Source: "common practice [CP]"}},
	"brew":      {{Text: "Scald and steam. Strain before the cloth goes in."}},
	"dye":       {{Text: "Slow heat, slow cool; silk not above 80 °C."}},
	"after-dip": {{Text: "Own pot and spoon. Cloth out while the liquor goes in. Stop paler than wanted."}, {Text: "5 mL of a 200 g/L liquor holds 20 mg/kg for a 10 kg child.", Source: "McGuigan 1996; Bateman 2003"}},
}

func scoured() *dyelotv1.StageRecord {
	return &dyelotv1.StageRecord{Code: "S1", Kind: "scour", Position: 1, LotCodes: []string{"L1"}, VesselCode: "pot-40", By: "bench-1", HappenedAt: at("2026-05-13T07:00:00Z"),
		Used: []*dyelotv1.Used{{ParcelCode: "P8", ItemCode: "soap", ItemName: "neutral soap", Amount: g("21.6"), WofPercent: "3.9926"}}, Celsius: 45, Minutes: 35}
}

func mordanted() *dyelotv1.StageRecord {
	return &dyelotv1.StageRecord{Code: "S2", Kind: "mordant", Position: 2, LotCodes: []string{"L1", "L2"}, BathCode: "B2", VesselCode: "tub-60", By: "dyer-1", HappenedAt: at("2026-05-14T10:00:00Z"),
		Used:    []*dyelotv1.Used{{ParcelCode: "P9", ItemCode: "alum", ItemName: "alum", Amount: g("162"), WofPercent: "15"}},
		Shares:  []*dyelotv1.LotShare{share("L1", "alum", g("81.2")), share("L2", "alum", g("80.8"))},
		Celsius: 55, Minutes: 60, BathVolume: ml("43200")}
}

func saddened() *dyelotv1.StageRecord {
	return &dyelotv1.StageRecord{Code: "S7", Kind: "after-dip", Position: 5, LotCodes: []string{"L2"}, BathCode: "B7", VesselCode: "iron-25", By: "dyer-1", HappenedAt: at("2026-05-15T14:10:00Z"),
		Used:       []*dyelotv1.Used{{ParcelCode: "P10", ItemCode: "iron-liquor", ItemName: "iron liquor", Amount: ml("30"), WofPercent: "1.1132"}},
		Deviations: []*dyelotv1.Deviation{{Key: "dose", Planned: "27 mL", Actual: "30 mL", Text: "30 mL of iron liquor, 27 mL were planned: +3 mL", Reason: "the jug slipped"}}}
}

func recorded() *dyelotv1.RecordStageResponse {
	r := mordanted()
	r.Used[0].Found = g("18")
	return &dyelotv1.RecordStageResponse{Record: r, Parcels: []*dyelotv1.Parcel{newAlum("338")}, Next: "3 brew, one bath for L1, L2: dyelot lot card L1",
		Shortages: []*dyelotv1.Shortage{{Of: "L4", ItemCode: "alum", ParcelCode: "P9", Short: g("8"), Text: "8 g of alum was promised from P9 and is gone: pick again from another parcel"}}}
}

// linenOver is the shirt's third bath: 40 mL of unknown strength, no % WOF.
func linenOver() *dyelotv1.RecordStageResponse {
	return &dyelotv1.RecordStageResponse{
		Record: &dyelotv1.StageRecord{Code: "S12", Kind: "after-dip", Position: 2, LotCodes: []string{"L5"}, VesselCode: "iron-25", By: "dyer-1", HappenedAt: at("2026-08-04T09:00:00Z"),
			Used: []*dyelotv1.Used{{ParcelCode: "P11", ItemCode: "old-iron", ItemName: "vinegar iron", Amount: ml("40")}}, OverrideBy: "owner", OverrideReason: "the wearer knows that it may tear sooner"},
		Warnings: []*dyelotv1.Warning{{Key: "iron-over-limit", Text: "iron offered to this linen so far: at least 3.5 % + unknown of copperas; above 2 % it may rot", Source: "conservation studies, from memory"}},
		Parcels:  []*dyelotv1.Parcel{vinegar()}}
}

func lotB() *dyelotv1.GetLotResponse {
	stages := planned(nil, nil)
	mordant, dip := stages[0], stages[3]
	mordant.Record = mordanted()
	dip.LotCodes, dip.Record = []string{"L2"}, saddened()
	skipped := &dyelotv1.PlannedStage{Position: 6, Kind: "neutralise", KindName: "neutralise", Record: &dyelotv1.StageRecord{Code: "S8", Kind: "neutralise", Position: 6, LotCodes: []string{"L2"}, By: "dyer-1",
		HappenedAt: at("2026-05-15T15:00:00Z"), Skipped: true, Reason: "pH 7 after the rinse already"}}
	cure := &dyelotv1.PlannedStage{Position: 7, Kind: "cure", KindName: "cure", LotCodes: []string{"L2"}, Minutes: 1440, Note: "dark"}
	return &dyelotv1.GetLotResponse{Lot: lotOf("L2", "in-work"), Stages: []*dyelotv1.PlannedStage{mordant, dip, skipped, cure}}
}
