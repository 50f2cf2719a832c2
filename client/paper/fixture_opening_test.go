package paper

import dyelotv1 "dyelot/proto/dyelot/v1"

func init() {
	sheets["opening-dry-run"] = func(s *Sheet) { s.Opening(openingDryRun()) }
	sheets["opening-off"] = func(s *Sheet) { s.Opening(openingOff()) }
	sheets["opening"] = func(s *Sheet) { s.Opening(openingDone()) }
	sheets["opening-columns"] = func(s *Sheet) { s.OpeningColumns(openingColumns()) }
}

func openingRead() []*dyelotv1.OpeningRead {
	return []*dyelotv1.OpeningRead{
		{Sheet: "parcels", Name: "shelf.csv", Separator: "semicolon", Rows: 2, Columns: []string{"ref", "item", "amount"}},
		{Sheet: "lots", Name: "lots.csv", Separator: "semicolon", Rows: 1},
	}
}

func openingDryRun() *dyelotv1.ImportOpeningResponse {
	return &dyelotv1.ImportOpeningResponse{
		DryRun: true, Read: openingRead(), Parcels: 2, Lots: 1, Garments: 6, WarningCount: 1,
		Warnings: []*dyelotv1.OpeningNote{{Sheet: "parcels", Line: 3, Column: "supplier_lot", Text: "alum of Northern Salts, lot NS-118, is in the books already as P1: another bag of it, or the same?"}},
		Understood: []*dyelotv1.OpeningNote{
			{Sheet: "parcels", Line: 2, Text: "3 pieces of cap-wool on the shelf, came 2023-02-01 from Island Mill, lot IM-2; 9 pieces came in, 6 pieces went into these lots, 0 pieces before"},
			{Sheet: "lots", Line: 2, Text: "6 pieces, 507 g air-dry, dyed 2023-07-04 in pot-40 by dyer-1 with weld-wool version 1, passed by owner; 5 sold for market-3"},
		},
		Sums: openingSums(),
	}
}

func openingSums() []*dyelotv1.OpeningSum {
	return []*dyelotv1.OpeningSum{
		{ItemCode: "alum", Parcels: 1, OnHand: &dyelotv1.Amount{Value: "226.796185", Unit: "g"}, Used: &dyelotv1.Amount{Value: "60.8", Unit: "g"}},
		{ItemCode: "cap-wool", Parcels: 1, OnHand: &dyelotv1.Amount{Value: "3", Unit: "pc"}, Used: &dyelotv1.Amount{Value: "6", Unit: "pc"}},
	}
}

func openingOff() *dyelotv1.ImportOpeningResponse {
	return &dyelotv1.ImportOpeningResponse{
		DryRun: true, Read: openingRead(), Parcels: 1, FindingCount: 2,
		Findings: []*dyelotv1.OpeningNote{
			{Sheet: "parcels", Line: 12, Column: "amount", Text: `"1,234 g" may be a thousand times less or more: say which is the decimal mark, comma or point`},
			{Sheet: "lots", Text: "is empty: its first line names the columns"},
		},
	}
}

func openingDone() *dyelotv1.ImportOpeningResponse {
	return &dyelotv1.ImportOpeningResponse{
		Read: openingRead(), Parcels: 2, Lots: 1, Garments: 6, Sums: openingSums(),
		OpenedParcels: []*dyelotv1.OpenedParcel{
			{Line: 2, Ref: "caps", Code: "P1", ItemCode: "cap-wool", OnHand: &dyelotv1.Amount{Value: "3", Unit: "pc"}},
			{Line: 3, Code: "P2", ItemCode: "alum", OnHand: &dyelotv1.Amount{Value: "226.796185", Unit: "g"}},
		},
		OpenedLots: []*dyelotv1.OpenedLot{{Line: 2, Ref: "2023-17", LotCode: "L1", RunCode: "R1", State: "passed", Tags: []string{"1000Q", "1001R", "1002S", "1003T", "1004V", "1005W"}}},
	}
}

func openingColumns() *dyelotv1.ListOpeningColumnsResponse {
	return &dyelotv1.ListOpeningColumnsResponse{Columns: []*dyelotv1.OpeningColumn{
		{Sheet: "items", Name: "item", Needed: true, What: "short code for typing: small letters, digits, hyphens", Example: "alum"},
		{Sheet: "items", Name: "piece_mass", What: "blanks: air-dry mass of one piece; its header may hold the unit", Example: "105 g"},
		{Sheet: "lots", Name: "used", What: "what went in: parcels by ref or code with amounts, with | between", Example: "alum-2023=60.8 g | weld-2023=304 g"},
	}}
}
