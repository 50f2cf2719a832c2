package paper

import (
	"fmt"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// judgement of lot B: 1.23 to the standard passes, 1.78 to lot A does not, and
// light 2-3 is below 3; overridden on 9 July.
func judgement(overridden bool) *dyelotv1.Judgement {
	j := &dyelotv1.Judgement{LotCode: "L2", State: "held", MatchedSet: true, Blocking: []string{"light", "set"},
		Rows: []*dyelotv1.JudgedRow{
			{Key: "colour", Title: "colour to the standard", State: "passed", Asked: "1.5", Found: "1.23", Evidence: "C2"},
			{Key: "light", Title: "light", State: "failed", Asked: "3", Found: "2-3", Evidence: "F2"},
			{Key: "wash-change", Title: "washing, change of colour", State: "passed", Asked: "3-4", Found: "4", Evidence: "F3"},
			{Key: "rub-wet", Title: "rubbing, wet", State: "not-tested", Asked: "3"},
		},
		Set:   &dyelotv1.JudgedRow{Key: "set", Title: "lots of the set among each other", State: "failed", Asked: "1.0", Found: "1.78"},
		Pairs: []*dyelotv1.SetPair{{LotCode: "L1", OtherLotCode: "L2", Difference: "1.78"}},
		Readings: []*dyelotv1.Reading{{Code: "C2", LotCode: "L2", Colour: &dyelotv1.Lab{L: 60.8, A: -1.4, B: 36.6}, Condition: "dry", Rested: true, By: "bench-1", Instrument: "spectro-1",
			HappenedAt: at("2026-05-20T08:00:00Z"), ToStandard: "1.23"}},
		Tests: []*dyelotv1.FastnessTest{
			{Code: "F2", LotCode: "L2", Scope: "lot", Method: "iso-105-b02", Variant: "2", Grades: []*dyelotv1.ComponentGrade{{Component: "light", Grade: "2-3"}}, Direction: "weaker", Assessor: "owner", TestedOn: "2026-07-02", Evidence: "window book p. 12"},
			{Code: "F3", LotCode: "L2", Scope: "lot", Method: "iso-105-c06", Variant: "A1S", Grades: []*dyelotv1.ComponentGrade{{Component: "change", Grade: "4"}, {Component: "cotton", Grade: "4-5"}, {Component: "wool", Grade: "4"}}, Assessor: "bench-1", TestedOn: "2026-06-20"},
		},
		Verdicts: []*dyelotv1.Verdict{{LotCode: "L2", Outcome: "held", Reason: "light 2-3", By: "owner", HappenedAt: at("2026-07-03T08:00:00Z")}}}
	if overridden {
		j.State, j.MayPass, j.Blocking = "passed", true, nil
		j.Rows = j.Rows[:3]
		for row, why := range map[*dyelotv1.JudgedRow]string{j.Rows[1]: "worn indoors, the choir was told", j.Set: "they stand two rows apart"} {
			row.State, row.OverrideBy, row.OverrideReason, row.OverriddenAt = "overridden", "owner", why, at("2026-07-09T12:00:00Z")
		}
		j.Verdicts = append(j.Verdicts, &dyelotv1.Verdict{LotCode: "L2", Outcome: "passed", By: "owner", HappenedAt: at("2026-07-09T12:05:00Z")})
	}
	return j
}

func judgedB(overridden bool) *dyelotv1.GetJudgementResponse {
	return &dyelotv1.GetJudgementResponse{Judgement: judgement(overridden)}
}

func house() *dyelotv1.ListHouseStandardResponse {
	return &dyelotv1.ListHouseStandardResponse{Rows: []*dyelotv1.HouseRow{
		{Key: "light", Title: "light", Minimum: "3", Scope: "lot", Source: "the studio's own", Active: true},
		{Key: "gots-wash-change", Title: "washing, change of colour", Minimum: "3-4", Scope: "recipe", Source: "GOTS", Edition: "7.0", Note: "check the edition in force"},
	}}
}

func methods() *dyelotv1.ListMethodsResponse {
	return &dyelotv1.ListMethodsResponse{Methods: []*dyelotv1.Method{
		{Key: "iso-105-c06", Title: "household and commercial laundering, with steel balls to rub", Variants: []string{"A1S", "A1M", "A2S", "B1S", "B1M", "B2S", "C1S", "C1M", "C2S", "D1S"},
			Components: []string{"change", "acetate", "cotton", "polyamide", "polyester", "acrylic", "wool"}},
		{Key: "window", Title: "half in a south window, half in the dark", Components: []string{"light"}, Own: true},
	}}
}

func traceB() *dyelotv1.TraceGarmentResponse {
	gs := tunics("L2", "sold", "choir-7", "104", "105", "103", "106", "103")
	back := gs[2]
	back.Place, back.OrderRef = "returned", ""
	r := &dyelotv1.TraceGarmentResponse{Garment: back, Lot: lotOf("L2", "passed"), ColourwayName: "harbour gold", Judgement: judgement(true),
		Events: []*dyelotv1.GarmentEvent{
			{HappenedAt: at("2026-05-14T06:00:00Z"), Kind: "issued", By: "bench-1", LotCode: "L2"},
			{HappenedAt: at("2026-07-09T12:05:00Z"), Kind: "passed", By: "owner"},
			{HappenedAt: at("2026-07-10T09:00:00Z"), Kind: "sold", By: "shop-1", OrderRef: "choir-7"},
			{HappenedAt: at("2026-09-02T09:00:00Z"), Kind: "returned", By: "shop-1", Text: "shoulders faded"},
		},
		Records: []*dyelotv1.StageRecord{mordanted(), saddened()},
		Parcels: []*dyelotv1.TracedParcel{
			{Parcel: newAlum("338"), Through: []string{"S2"}, Share: g("80.8")},
			{Parcel: weldParcel(), Through: []string{"S3"}, Share: g("359")},
			{Parcel: liquor("443"), Through: []string{"S7"}, Share: ml("30")},
			{Parcel: &dyelotv1.Parcel{Code: "P6", ItemCode: "copperas", Origin: "delivery", Supplier: "salt works", SupplierLot: "F-2"}, Through: []string{"S7"}, Share: g("6"), Depth: 1},
			{Parcel: &dyelotv1.Parcel{Code: "P3", ItemCode: "tunic-silk-m", Origin: "delivery", Supplier: "weaver by the lake"}, Through: []string{"L2"}, Share: am("5", "pc")},
		}}
	r.CousinCount = 212
	r.LotCodes = []string{"L2"}
	for i, g := range gs {
		if i != 2 {
			r.Sisters = append(r.Sisters, &dyelotv1.Relative{Garment: g})
		}
	}
	for _, g := range tunics("L1", "sold", "choir-7", "105", "104", "106", "103", "105") {
		r.Cousins = append(r.Cousins, &dyelotv1.Relative{Garment: g, Shared: []string{"mordant bath S2", "brew S3", "iron-liquor P10"}, Apart: []string{"dye S5/S4", "after-dip S7/S6"}})
	}
	return r
}

func traceLiquor() *dyelotv1.TraceParcelResponse {
	r := &dyelotv1.TraceParcelResponse{Parcel: liquor("443"), LotCodes: []string{"L1", "L2"},
		Account: &dyelotv1.ParcelAccount{Received: ml("500"), Found: ml("0"), Used: ml("57"), Lost: ml("0"), SentBack: ml("0"), OnHand: ml("443")}, Garments: tunics("L1", "sold", "choir-7", "105", "104", "106", "103", "105")}
	for i := range 30 {
		r.Garments = append(r.Garments, &dyelotv1.Garment{Tag: fmt.Sprintf("2%03dX", i), LotCode: "L9", Place: "shelf"})
	}
	return r
}

func today() *dyelotv1.GetTodayResponse {
	return &dyelotv1.GetTodayResponse{Today: "2026-05-14", Tasks: []*dyelotv1.Task{
		{Key: "stage-next", Subject: "L1", Text: "2 mordant comes next, one bath with L2", DueOn: "2026-05-14"},
		{Key: "test-open", Subject: "L0", Text: "light is not tested yet, and the witness swatch has been in the window for six weeks"},
		{Key: "reorder", Subject: "alum", Text: "order 500 g from salt works", DueOn: "2026-05-10", Late: true},
	}}
}

func studio() *dyelotv1.GetStudioResponse {
	return &dyelotv1.GetStudioResponse{Studio: &dyelotv1.Studio{Name: "Boathouse", TimeZone: "Europe/Oslo", Currency: "NOK", Today: "2026-05-14", ServerVersion: "0.1.0", SchemaVersion: 5},
		Principal: "tablet by the sink", Roles: []dyelotv1.Role{dyelotv1.Role_ROLE_BENCH, dyelotv1.Role_ROLE_VIEWER}}
}

func vessels() *dyelotv1.ListVesselsResponse {
	return &dyelotv1.ListVesselsResponse{Vessels: []*dyelotv1.Vessel{
		{Code: "pot-40", Name: "the big steel pot", Volume: ml("40000"), FillPercent: "80", Uses: []string{"dye"}},
		{Code: "tub-60", Name: "blue tub", Volume: ml("60000"), FillPercent: "80", Uses: []string{"mordant", "rinse"}, Note: "lid is cracked, mind the steam"},
	}}
}

func tokens() *dyelotv1.ListTokensResponse {
	return &dyelotv1.ListTokensResponse{Tokens: []*dyelotv1.Token{
		{Name: "owner", Roles: []dyelotv1.Role{dyelotv1.Role_ROLE_OWNER}, CreatedAt: at("2026-01-01T23:30:00Z")},
		{Name: "tablet by the sink", Roles: []dyelotv1.Role{dyelotv1.Role_ROLE_BENCH, dyelotv1.Role_ROLE_VIEWER}, CreatedAt: at("2026-02-01T08:00:00Z"), ExpiresAt: at("2027-01-01T00:00:00Z"), RevokedAt: at("2026-03-01T08:00:00Z")},
	}}
}

func notWhole() *dyelotv1.VerifyBooksResponse {
	return &dyelotv1.VerifyBooksResponse{Findings: []*dyelotv1.Finding{{Check: "balance-rebuild", Subject: "P9", Text: "the book says 338 g, the movements sum to 320 g"}},
		Counts: map[string]int64{"movement": 41, "parcel": 13, "stage record": 12}, BalancesSha256: "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08"}
}

func audit() *dyelotv1.ListAuditEntriesResponse {
	return &dyelotv1.ListAuditEntriesResponse{Entries: []*dyelotv1.AuditEntry{{Id: 41, At: at("2026-05-14T10:00:00Z"), Principal: "dyer-1", Act: "/dyelot.v1.RunService/RecordStage", RequestId: "r-abc",
		Body: `{"request_id":"r-abc","lot_codes":["L1","L2"],"position":2,"used":[{"parcel_code":"P9","amount":{"value":"162","unit":"g"}}],"vessel_code":"tub-60","by":"dyer-1"}`}}}
}
