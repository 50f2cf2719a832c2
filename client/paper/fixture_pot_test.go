package paper

import dyelotv1 "dyelot/proto/dyelot/v1"

// Lot A looked too pale: 72 g of weld more on 541 g are 13.3087 % (72 / 541).
func addedWeld() *dyelotv1.StageRecord {
	return &dyelotv1.StageRecord{Code: "S5", Kind: "dye", Position: 4, LotCodes: []string{"L1"}, BathCode: "B4", BathUse: 1, VesselCode: "pot-40", By: "dyer-1", HappenedAt: at("2026-05-15T09:40:00Z"),
		AdditionTo: "S4", LookBefore: "too pale on a dried corner", LookAfter: "there", Minutes: 20,
		Used: []*dyelotv1.Used{{ParcelCode: "P2", ItemCode: "weld", ItemName: "weld", Amount: g("72"), WofPercent: "13.3087"}}}
}

func added() *dyelotv1.AddToBathResponse {
	w := weldParcel()
	w.OnHand, w.Promised = g("1908"), g("0")
	return &dyelotv1.AddToBathResponse{Record: addedWeld(), Parcels: []*dyelotv1.Parcel{w}}
}

func brewed() *dyelotv1.StageRecord {
	return &dyelotv1.StageRecord{Code: "S3", Kind: "brew", Position: 3, LotCodes: []string{"L1", "L2"}, BathCode: "B3", BathUse: 1, VesselCode: "brew-60", By: "dyer-1", HappenedAt: at("2026-05-14T14:00:00Z"),
		Used:       []*dyelotv1.Used{{ParcelCode: "P2", ItemCode: "weld", ItemName: "weld", Amount: g("720"), WofPercent: "60"}},
		Shares:     []*dyelotv1.LotShare{share("L1", "weld", g("361")), share("L2", "weld", g("359"))},
		BathVolume: ml("20000"), LiquorShares: []*dyelotv1.LotShare{share("L1", "", ml("9020")), share("L2", "", ml("8980"))}, LeftOver: ml("2000"), LeftWent: "kept, E3"}
}

func lotAdded() *dyelotv1.GetLotResponse {
	stages := planned(nil, nil)
	brew, dye := stages[1], stages[2]
	brew.Record = brewed()
	dye.Record = &dyelotv1.StageRecord{Code: "S4", Kind: "dye", Position: 4, LotCodes: []string{"L1"}, BathCode: "B4", BathUse: 1, VesselCode: "pot-40", By: "dyer-1", HappenedAt: at("2026-05-15T09:00:00Z"), Minutes: 60}
	dye.Additions = []*dyelotv1.StageRecord{addedWeld()}
	next := &dyelotv1.PlannedStage{Position: 5, Kind: "dye", KindName: "dye", LotCodes: []string{"L1"}, VesselCode: "pot-40", Brewed: []*dyelotv1.LotShare{share("L1", "weld", g("361"))},
		BrewedLiquor: []*dyelotv1.LotShare{share("L1", "", ml("9020"))}}
	return &dyelotv1.GetLotResponse{Lot: lotOf("L1", "in-work"), Stages: []*dyelotv1.PlannedStage{brew, dye, next}}
}

func proposed() *dyelotv1.ProposeRecipeResponse {
	dose := func(item, percent string) []*dyelotv1.Dose {
		return []*dyelotv1.Dose{{ItemCode: item, Basis: "percent_wof", Value: percent}}
	}
	return &dyelotv1.ProposeRecipeResponse{Recipe: &dyelotv1.Recipe{Code: "gold-on-silk", Name: "gold on silk", Fibre: "silk", LiquorRatio: "40",
		Note: "from lot L1, against version 2: 4 dye: weld 13.31 % WOF is new, of it added 72 g (S5); 4 dye: 80 min, was 60 min",
		Stages: []*dyelotv1.RecipeStage{{Position: 1, Kind: "mordant", Shared: true, Celsius: 55, Minutes: 60, Doses: dose("alum", "15")},
			{Position: 2, Kind: "brew", Shared: true, Celsius: 90, Minutes: 60, Doses: dose("weld", "60"), Note: "strain it twice through cloth, and let it stand until what is left has settled"},
			{Position: 3, Kind: "dye", Celsius: 60, Minutes: 80, Doses: dose("weld", "13.31")}}}}
}

func keptTub() *dyelotv1.Bath {
	return &dyelotv1.Bath{Code: "B2", Kind: "mordant", KindName: "mordant", VesselCode: "tub-60", State: "kept", OpenedAt: at("2026-05-14T10:00:00Z"), AgeDays: 16, Uses: 2, Litres: ml("42000"),
		LotCodes: []string{"L1", "L2", "L3"}}
}

func woadVat() *dyelotv1.Bath {
	return &dyelotv1.Bath{Code: "B7", Kind: "vat-dip", KindName: "vat dip", VesselCode: "vat-50", State: "kept", OpenedAt: at("2026-05-20T07:00:00Z"), AgeDays: 3, Uses: 1, Litres: ml("38000"), Ph: "9.8", Celsius: 28,
		Fibre: "wool", LotCodes: []string{"L5"}}
}

func baths() *dyelotv1.ListBathsResponse {
	return &dyelotv1.ListBathsResponse{Baths: []*dyelotv1.Bath{keptTub(), {Code: "B4", Kind: "dye", KindName: "dye", VesselCode: "pot-40", State: "kept", AgeDays: 1, Uses: 1, LotCodes: []string{"L1"}}, woadVat()}}
}

func keptEntry() *dyelotv1.BathEntry {
	return &dyelotv1.BathEntry{Code: "E1", BathCode: "B2", Kind: "kept", AfterUse: 1, HappenedAt: at("2026-05-14T12:00:00Z"), By: "dyer-1", Litres: ml("40000")}
}

func topUp() *dyelotv1.BathEntry {
	return &dyelotv1.BathEntry{Code: "E2", BathCode: "B2", Kind: "top-up", AfterUse: 1, HappenedAt: at("2026-05-16T07:00:00Z"), By: "dyer-1", Litres: ml("2000"),
		Used: []*dyelotv1.Used{{ParcelCode: "P9", ItemCode: "alum", ItemName: "alum", Amount: g("20")}}}
}

var spentCautions = []*dyelotv1.Caution{{Text: "Log litres, pH and route.", Source: usual}, {Text: "Pour to a foul sewer where the utility allows. Never to a stream.", Source: usual}}

func tub() *dyelotv1.GetBathResponse {
	again := mordanted()
	again.Code, again.LotCodes, again.BathUse, again.Shares, again.HappenedAt, again.BathVolume = "S9", []string{"L3"}, 2, nil, at("2026-05-17T10:00:00Z"), nil
	again.Used = nil
	first := mordanted()
	first.BathUse = 1
	return &dyelotv1.GetBathResponse{Bath: keptTub(), Records: []*dyelotv1.StageRecord{first, again}, Entries: []*dyelotv1.BathEntry{keptEntry(), topUp()}, Cautions: spentCautions}
}

func spentTub() *dyelotv1.LogBathResponse {
	b := keptTub()
	b.State, b.Litres, b.Ph = "spent", ml("0"), "6.5"
	return &dyelotv1.LogBathResponse{Bath: b, Cautions: spentCautions,
		Entry: &dyelotv1.BathEntry{Code: "E3", BathCode: "B2", Kind: "spent", AfterUse: 2, HappenedAt: at("2026-05-30T12:00:00Z"), By: "dyer-1", Litres: ml("41000"), Ph: "6.5", Route: "foul sewer"}}
}

func entryUndone() *dyelotv1.UndoBathEntryResponse {
	e := topUp()
	e.Undone, e.UndoneReason = true, "that was another tub"
	return &dyelotv1.UndoBathEntryResponse{Bath: keptTub(), Entry: e, Movement: &dyelotv1.Movement{Code: "M20", Kind: "reversal", Legs: []*dyelotv1.Leg{{ParcelCode: "P9", From: "process", To: "shelf", Amount: g("20")}}}}
}

func vatEntry() *dyelotv1.BathEntry {
	return &dyelotv1.BathEntry{Code: "E5", BathCode: "B7", Kind: "set", HappenedAt: at("2026-05-20T07:00:00Z"), By: "dyer-1", Litres: ml("38000"), Ph: "9.3", Celsius: 50,
		Used: []*dyelotv1.Used{{ParcelCode: "P12", ItemCode: "woad", ItemName: "woad", Amount: g("50")}}}
}

func vatSet() *dyelotv1.SetVatResponse {
	b := woadVat()
	b.Uses, b.AgeDays, b.LotCodes, b.Ph, b.Celsius = 0, 0, nil, "9.3", 50
	return &dyelotv1.SetVatResponse{Bath: b, Entry: vatEntry(), Cautions: []*dyelotv1.Caution{{Text: "Work outdoors or well ventilated.", Source: usual}}}
}

func vat() *dyelotv1.GetBathResponse {
	note := &dyelotv1.BathEntry{Code: "E6", BathCode: "B7", Kind: "note", HappenedAt: at("2026-05-21T07:00:00Z"), By: "dyer-1", Ph: "9.8", Celsius: 28, Note: "coppery flower, green beneath"}
	wrong := &dyelotv1.BathEntry{Code: "E7", BathCode: "B7", Kind: "note", HappenedAt: at("2026-05-21T08:00:00Z"), By: "dyer-1", Ph: "4", Undone: true, UndoneReason: "the meter was dry"}
	return &dyelotv1.GetBathResponse{Bath: woadVat(), Entries: []*dyelotv1.BathEntry{vatEntry(), note, wrong}, Records: []*dyelotv1.StageRecord{dipped()}}
}

func dipped() *dyelotv1.StageRecord {
	return &dyelotv1.StageRecord{Code: "S11", Kind: "vat-dip", Position: 1, LotCodes: []string{"L5"}, BathCode: "B7", BathUse: 1, VesselCode: "vat-50", By: "dyer-1", HappenedAt: at("2026-05-21T09:00:00Z"),
		Dips: []*dyelotv1.Dips{{Tags: []string{"1000X", "10013"}, Dips: 4, Airings: 4}, {Tags: []string{"10025"}, Dips: 1, Airings: 1}}}
}

func recordedAgain() *dyelotv1.RecordStageResponse {
	r := dipped()
	r.BathUse = 2
	return &dyelotv1.RecordStageResponse{Record: r, Warnings: []*dyelotv1.Warning{{Key: "bath-used-before", Source: usual, Text: "B7, use 2: how much is left in it of what went in before is not known, so no % WOF is said of it"}},
		Next: "stage 2, neutralise"}
}
