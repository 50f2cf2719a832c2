package paper

import dyelotv1 "dyelot/proto/dyelot/v1"

// choirsCommission is the choir's set as a commission: ten tunics and a spare,
// 1.78 apart where 1.0 was agreed, and two shirts of the customer's own.
func choirsCommission(signed bool) *dyelotv1.Commission {
	c := &dyelotv1.Commission{Code: "W1", Reference: "choir-7", ColourwayCode: "olive-silk", SetTolerance: "1", View: "D65/10°", DueOn: "2026-07-10", Spares: 1, State: "unsigned", Note: "they stand in two rows",
		Pieces: []*dyelotv1.CommissionPieces{{ItemCode: "tunic-silk-m", Count: 10, MightNotTake: "old wax at two of the hems, which scouring may not lift"}, {ItemCode: "shirt-cotton-l", Count: 1}}}
	if signed {
		c.State = "in-work"
		c.SignOffs = []*dyelotv1.SignOff{{StandardCode: "choir-olive", SignedOn: "2026-05-02", ByRole: "conductor", Note: "seen by the north window"}, {ReadingCode: "C4", SignedOn: "2026-05-09", ByRole: "conductor"}}
	}
	return c
}

func commissionShown() *dyelotv1.GetCommissionResponse {
	return &dyelotv1.GetCommissionResponse{Commission: choirsCommission(true), Asked: 11, Passed: 5, Planned: 12,
		Lots: []*dyelotv1.CommissionLot{{LotCode: "L1", RunCode: "R1", State: "passed", Pieces: 5, Passed: 5}, {LotCode: "L2", RunCode: "R1", State: "held", Pieces: 5},
			{LotCode: "L3", RunCode: "R2", State: "planned", Pieces: 2}},
		CustomersOwn: []*dyelotv1.CustomersOwn{{ParcelCode: "P14", ItemCode: "shirt-cotton-l", MightNotTake: "rust at one cuff", Held: am("1", "pc"), InLots: 1, GivenBack: 1}},
		Dyestuffs:    []*dyelotv1.CommissionDyestuff{{ItemCode: "weld", ParcelCodes: []string{"P2"}}},
		SetText:      "set 1.78 (CIEDE2000, D65/10°, L1 to L2), asked 1: failed 1.78",
		HeldBack:     "no piece of W1 (choir-7) leaves: a set passes as a set or not at all, and lot L2 is held; lot L3 is planned; of tunic-silk-m 5 of the 10 asked for have passed"}
}

func commissionsListed() *dyelotv1.ListCommissionsResponse {
	second := choirsCommission(true)
	second.Code, second.Reference, second.DueOn, second.State = "W2", "market-play-3", "", "judged"
	return &dyelotv1.ListCommissionsResponse{Commissions: []*dyelotv1.Commission{choirsCommission(false), second}}
}

func broughtByTheCustomer() *dyelotv1.ReceiveCustomersResponse {
	return &dyelotv1.ReceiveCustomersResponse{
		Parcel: &dyelotv1.Parcel{Code: "P14", ItemCode: "shirt-cotton-l", ItemName: "cotton shirt", ItemKind: "blank", Origin: "customer", CustomersCommissionCode: "W1",
			ArrivedAt: at("2026-05-14T07:30:00Z"), OnHand: am("2", "pc"), Promised: am("0", "pc"), Free: am("2", "pc"), PieceMass: g("240")},
		Movement: &dyelotv1.Movement{Code: "M31"},
		Warnings: []*dyelotv1.Warning{{Text: "look for polyester thread and labels, which stay white", Source: "common practice [CP]"}}}
}

func givenBackToTheCustomer() *dyelotv1.GiveBackResponse {
	return &dyelotv1.GiveBackResponse{Tags: []string{"1000Q", "1001R"}, Warnings: []*dyelotv1.Warning{{Text: "1001R goes back though it is imperfect: say so to the customer's side", Source: "verdict on lot L3"}},
		Movement: &dyelotv1.Movement{Code: "M40", Legs: []*dyelotv1.Leg{{ParcelCode: "P14", From: "shelf", To: "customer", Amount: am("1", "pc")}}}}
}

func blendSampled() *dyelotv1.SampleParcelResponse {
	return &dyelotv1.SampleParcelResponse{Parcel: &dyelotv1.Parcel{Code: "P9", ItemName: "weld"}, SampledOn: "2026-05-02", By: "dyer-1", Evidence: "lot L4, reading C9, swatch book p. 31"}
}

// arrivalSeen is a delivery that was looked at twice, and then rejected or not.
func arrivalSeen(verdict string) *dyelotv1.Arrival {
	drop := int32(30)
	size := func(length, width string) *dyelotv1.ClothSize {
		return &dyelotv1.ClothSize{LengthCm: length, WidthCm: width}
	}
	first := &dyelotv1.ArrivalCheck{SizeBefore: size("62", "48"), DropSeconds: &drop, Brightener: "no", By: "bench-1", HappenedAt: at("2026-05-14T07:40:00Z")}
	second := &dyelotv1.ArrivalCheck{SizeAfter: size("60", "47"), Thread: "polyester", Buttons: "shell", CutOff: "dyed first: took even", Verdict: verdict, By: "dyer-1", HappenedAt: at("2026-05-15T09:00:00Z"), Note: "the seams will stay white"}
	a := &dyelotv1.Arrival{ParcelCode: "P5", ItemName: "silk tunic", Checks: []*dyelotv1.ArrivalCheck{first, second}, ShrinkageLengthPercent: "3.2258", ShrinkageWidthPercent: "2.0833", ToSendBack: verdict == "reject",
		Now: &dyelotv1.ArrivalCheck{SizeBefore: first.SizeBefore, SizeAfter: second.SizeAfter, DropSeconds: &drop, Brightener: "no", Thread: "polyester", Buttons: "shell", CutOff: second.CutOff, Verdict: verdict, By: "dyer-1", HappenedAt: second.HappenedAt, Note: second.Note},
		Warnings: []*dyelotv1.Warning{{Text: "a drop of water stood 30 s on P5: wax or a finish is in it, and the dye takes in patches; scour it again", Source: "common practice [CP]"},
			{Text: "P5 is sewn with polyester: its seams stay another colour", Source: "common practice [CP]"}}}
	return a
}

func init() {
	for name, write := range map[string]func(*Sheet){
		"commission-added": func(s *Sheet) {
			s.CommissionAdded(&dyelotv1.CreateCommissionResponse{Commission: choirsCommission(false)})
		},
		"commission-signed": func(s *Sheet) {
			s.CommissionSigned(&dyelotv1.SignCommissionResponse{Commission: choirsCommission(true)})
		},
		"commission": func(s *Sheet) { s.Commission(commissionShown()) },
		"commission-whole": func(s *Sheet) {
			s.Commission(&dyelotv1.GetCommissionResponse{Commission: choirsCommission(true)})
		},
		"commission-gone": func(s *Sheet) {
			gone := choirsCommission(true)
			gone.State = "handed-over"
			s.Commission(&dyelotv1.GetCommissionResponse{Commission: gone})
		},
		"commissions":        func(s *Sheet) { s.Commissions(commissionsListed()) },
		"customers-received": func(s *Sheet) { s.CustomersReceived(broughtByTheCustomer()) },
		"given-back":         func(s *Sheet) { s.GivenBack(givenBackToTheCustomer()) },
		"sampled":            func(s *Sheet) { s.Sampled(blendSampled()) },
		"arrival":            func(s *Sheet) { s.Arrival(&dyelotv1.GetArrivalResponse{Arrival: arrivalSeen("accept")}) },
		"arrival-rejected":   func(s *Sheet) { s.ArrivalChecked(&dyelotv1.CheckArrivalResponse{Arrival: arrivalSeen("reject")}) },
		"arrival-open": func(s *Sheet) {
			s.Arrival(&dyelotv1.GetArrivalResponse{Arrival: &dyelotv1.Arrival{ParcelCode: "P5", ItemName: "silk tunic"}})
		},
	} {
		sheets[name] = write
	}
}
