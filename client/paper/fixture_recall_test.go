package paper

import (
	"bytes"
	"encoding/csv"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// A bag of alum that was lumpy: scarves of two lots, sold at a market and to a
// shop, on the shelf, back, and one that came downstream later.
func lumpyBag() []*dyelotv1.RecallGarment {
	place := func(tag, lot, place, order, since string) *dyelotv1.RecallGarment {
		return &dyelotv1.RecallGarment{Tag: tag, LotCode: lot, ItemCode: "scarf-wool", Style: "scarf", Size: "one", Place: place, OrderRef: order, Since: at(since)}
	}
	rows := []*dyelotv1.RecallGarment{
		place("10082", "L3", "in-work", "", "2026-09-02T08:00:00Z"), place("1000Q", "L1", "shelf", "", "2026-08-20T08:00:00Z"), place("1001R", "L1", "shelf", "", "2026-08-20T08:00:00Z"),
		place("10071", "L2", "given-back", "", "2026-08-24T08:00:00Z"),
	}
	rows[3].CustomersCommissionCode = "W1"
	for _, tag := range []string{"1002S", "1003T", "1004V", "1005W"} {
		rows = append(rows, place(tag, "L1", "sold", "market-12", "2026-08-22T08:00:00Z"))
	}
	return append(rows, place("10060", "L2", "sold", "=shop-3", "2026-08-23T08:00:00Z"))
}

const lumpyTitle = "parcel P4, potassium alum, from Northern Salts, lot NS-118"

func lumpyRecall(closed bool) *dyelotv1.Recall {
	k := &dyelotv1.Recall{Code: "K1", Title: lumpyTitle, Reason: "patches after a wash", By: "owner", OpenedAt: at("2026-09-01T07:30:00Z"), Found: 8, SinceThen: 1, ToTell: 6, Told: 4, ToldPercent: 66,
		Accounted: 3, AccountedPercent: 33, Held: 3, StillOut: 3, LastToldAt: at("2026-09-02T09:00:00Z"), LastAccountedAt: at("2026-09-13T09:00:00Z"), Node: &dyelotv1.RecallNode{Code: "P4"},
		Places: []*dyelotv1.RecallPlace{{Place: "in-work", Garments: 1, Open: 1}, {Place: "shelf", Garments: 1, Open: 1}, {Place: "sold", Garments: 4, Open: 2}, {Place: "returned", Garments: 1}, {Place: "given-back", Garments: 1, Open: 1}, {Place: "scrapped", Garments: 1}},
		Hows:   []*dyelotv1.RecallHow{{How: "returned", Garments: 1}, {How: "destroyed", Garments: 1}, {How: "cannot-be-reached", Garments: 1}}}
	if closed {
		k.ClosedAt, k.ClosedBy, k.CloseReason = at("2026-10-01T09:00:00Z"), "owner", "all answered but two"
	}
	return k
}

func lumpyMarked() []*dyelotv1.RecallGarment {
	rows := lumpyBag()
	rows[0].SinceThen = true
	told := func(g *dyelotv1.RecallGarment) {
		g.ToldAt, g.ToldHow, g.ToldBy = at("2026-09-02T09:00:00Z"), "by letter", "shop-1"
	}
	account := func(g *dyelotv1.RecallGarment, how, note string) {
		g.Accounted, g.AccountedAt, g.AccountedBy, g.AccountedNote = how, at("2026-09-13T09:00:00Z"), "shop-1", note
	}
	rows[2].Place = "scrapped"
	account(rows[2], "destroyed", "cut up for swatches")
	for _, g := range rows[4:8] {
		told(g)
		g.FoundPlace, g.FoundOrderRef = "sold", "market-12"
	}
	rows[4].Place, rows[4].OrderRef = "returned", ""
	account(rows[4], "returned", "")
	account(rows[5], "cannot-be-reached", "")
	rows[7].OverrideBy, rows[7].OverrideReason = "owner", "the choir knows"
	return rows
}

func lumpyLoss() *dyelotv1.GetLossResponse {
	return &dyelotv1.GetLossResponse{Pieces: 1, DryMass: g("92"), WithoutCost: []string{"P6"}, Costs: []*dyelotv1.Money{{Value: "13.26064", Currency: "EUR"}}, Parcels: []*dyelotv1.LostParcel{
		{ParcelCode: "P4", ItemName: "potassium alum", Amount: g("11.04"), Cost: &dyelotv1.Money{Value: "0.17884", Currency: "EUR"}},
		{ParcelCode: "P3", ItemName: "wool scarf", Amount: am("1", "pc"), Cost: &dyelotv1.Money{Value: "13", Currency: "EUR"}},
		{ParcelCode: "P6", ItemName: "birch leaf", Amount: g("73.6")}, {ParcelCode: "P9", ItemName: "copperas"}}}
}

func init() {
	rows, marked := lumpyBag(), lumpyMarked()
	for name, write := range map[string]func(*Sheet){
		"recall-preview": func(s *Sheet) { s.RecallPreview(lumpyTitle, "P4", rows) },
		"recall-nothing": func(s *Sheet) { s.RecallPreview(lumpyTitle, "P4", nil) },
		"recall-opened":  func(s *Sheet) { s.RecallOpened(&dyelotv1.OpenRecallResponse{Recall: lumpyRecall(false)}) },
		"recall-told": func(s *Sheet) {
			s.RecallTold(&dyelotv1.MarkToldResponse{Recall: lumpyRecall(false), Tags: []string{"1002S", "1003T"}})
		},
		"recall-accounted": func(s *Sheet) {
			s.RecallAccounted(&dyelotv1.MarkAccountedResponse{Recall: lumpyRecall(false), Tags: []string{"1002S", "1001R"}, TakenBack: []string{"1002S"}, Scrapped: []string{"1001R"}})
		},
		"recall":        func(s *Sheet) { s.Recall(lumpyRecall(false), marked) },
		"recall-closed": func(s *Sheet) { s.RecallClosed(&dyelotv1.CloseRecallResponse{Recall: lumpyRecall(true)}) },
		"recalls": func(s *Sheet) {
			s.Recalls(&dyelotv1.ListRecallsResponse{Recalls: []*dyelotv1.Recall{lumpyRecall(false), lumpyRecall(true)}})
		},
		"recalls-none":     func(s *Sheet) { s.Recalls(&dyelotv1.ListRecallsResponse{}) },
		"recall-loss":      func(s *Sheet) { s.Loss(lumpyLoss()) },
		"recall-loss-none": func(s *Sheet) { s.Loss(&dyelotv1.GetLossResponse{}) },
		"trace-recalled": func(s *Sheet) {
			r := traceB()
			r.Recalls = []*dyelotv1.GarmentRecall{{RecallCode: "K2", Title: lumpyTitle, Reason: "patches after a wash", Told: true, Accounted: "returned"}, {RecallCode: "K1", Title: "lot L2, harbour olive", Reason: "a loose dye", Closed: true, OverrideBy: "owner", OverrideReason: "the choir knows"}}
			s.TracedGarment(r)
		},
	} {
		sheets[name] = write
	}
}

// The list to act on is read by any spreadsheet, and starts no formula in it.
func TestRecallCSVIsATableWithoutFormulas(t *testing.T) {
	t.Parallel()
	var out bytes.Buffer
	if err := RecallCSV(&out, lumpyMarked()); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&out).ReadAll()
	if err != nil || len(rows) != 10 {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
	cell := func(row []string, column string) string { return row[slices.Index(recallColumns, column)] }
	if d := cmp.Diff(recallColumns, rows[0]); d != "" {
		t.Error(d)
	}
	if got := cell(rows[9], "order_ref"); got != "'=shop-3" {
		t.Errorf("an order that starts a formula: %q", got)
	}
	if r := rows[1]; cell(r, "since_then") != "yes" || cell(r, "told_at") != "" || cell(r, "since") != "2026-09-02T08:00:00Z" {
		t.Errorf("%q", r)
	}
	if r := rows[5]; cell(r, "found_order_ref") != "market-12" || cell(r, "place") != "returned" || cell(r, "told_how") != "by letter" || cell(r, "accounted") != "returned" || cell(r, "accounted_at") != "2026-09-13T09:00:00Z" {
		t.Errorf("%q", r)
	}
}
