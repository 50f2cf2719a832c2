package paper

import (
	"encoding/csv"
	"fmt"
	"io"
	"strings"
	"time"

	"google.golang.org/protobuf/types/known/timestamppb"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// RecallTold confirms that somebody was told.
func (s *Sheet) RecallTold(r *dyelotv1.MarkToldResponse) {
	s.hang(plain, "", "told of "+fewOf(r.GetTags()))
	s.recallHead(r.GetRecall())
}

// RecallAccounted confirms what became of some garments, and what was booked.
func (s *Sheet) RecallAccounted(r *dyelotv1.MarkAccountedResponse) {
	s.hang(plain, "", "accounted for "+fewOf(r.GetTags()))
	if len(r.GetTakenBack()) > 0 {
		s.hang(plain, "", "taken back: "+fewOf(r.GetTakenBack()))
	}
	if len(r.GetScrapped()) > 0 {
		s.hang(plain, "", "scrapped: "+fewOf(r.GetScrapped()))
	}
	s.recallHead(r.GetRecall())
	if len(r.GetScrapped()) > 0 {
		s.Line("what was lost: dyelot recall loss %s", r.GetRecall().GetCode())
	}
}

// RecallClosed confirms the end of a recall.
func (s *Sheet) RecallClosed(r *dyelotv1.CloseRecallResponse) { s.recallHead(r.GetRecall()) }

// Recalls lists recalls.
func (s *Sheet) Recalls(r *dyelotv1.ListRecallsResponse) {
	if len(r.GetRecalls()) == 0 {
		s.Line("No recall is open. See all with: dyelot recall list --all")
		return
	}
	for _, k := range r.GetRecalls() {
		state := fmt.Sprintf("open, %d still out, %d held", k.GetStillOut(), k.GetHeld())
		if k.GetClosedAt() != nil {
			state = "closed " + s.day(k.GetClosedAt())
		}
		s.Title("%s: %s", k.GetCode(), k.GetTitle())
		s.Para(2, "opened %s by %s: %s", s.day(k.GetOpenedAt()), k.GetBy(), k.GetReason())
		s.Para(2, "%s; told %d of %d, accounted for %d of %d (%d %%)", state, k.GetTold(), k.GetToTell(), k.GetAccounted(), k.GetFound()+k.GetSinceThen(), k.GetAccountedPercent())
	}
}

// Loss shows what was lost with scrapped garments.
func (s *Sheet) Loss(r *dyelotv1.GetLossResponse) {
	n := int(r.GetPieces())
	if n == 0 {
		s.Line("Nothing was scrapped.")
		return
	}
	s.Title("Lost: %d %s, %s air-dry", n, plural(n, "piece"), amount(r.GetDryMass()))
	var rows [][]string
	for _, p := range r.GetParcels() {
		rows = append(rows, []string{p.GetParcelCode(), otherwise(p.GetItemName(), p.GetItemCode()), amount(p.GetAmount()), money(p.GetCost())})
	}
	s.Table([]string{"parcel", "what went into them", ">by fibre mass", ">cost"}, rows)
	for _, c := range r.GetCosts() {
		s.Line("in money: %s", money(c))
	}
	if len(r.GetWithoutCost()) > 0 {
		s.Para(0, "No cost is in the books for %s: what those were worth is in no sum.", strings.Join(r.GetWithoutCost(), ", "))
	}
	s.Para(0, "Read from the ledger; of what was made here, what it was made of has the cost.")
}

// recalledFor are the recalls that a traced garment is on.
func (s *Sheet) recalledFor(recalls []*dyelotv1.GarmentRecall) {
	for _, k := range recalls {
		st, state := loud, "open"
		if k.GetClosed() {
			st, state = plain, "closed"
		}
		told := ""
		if k.GetTold() {
			told = "told"
		}
		letGo := ""
		if k.GetOverrideBy() != "" {
			letGo = "let go by " + k.GetOverrideBy() + ": " + k.GetOverrideReason()
		}
		s.hang(st, "RECALL ", fmt.Sprintf("%s, %s: %s, %s", k.GetRecallCode(), state, k.GetTitle(), joined("; ", k.GetReason(), told, strings.ReplaceAll(k.GetAccounted(), "-", " "), letGo)))
	}
}

var recallColumns = []string{"order_ref", "place", "tag", "lot", "item", "style", "size", "since", "commission", "found_place", "found_order_ref", "since_then",
	"told_at", "told_how", "told_by", "accounted", "accounted_at", "accounted_by", "note", "let_go_by", "let_go_reason"}

// RecallCSV writes a list to act on: RFC 4180, a row a garment, times in UTC.
func RecallCSV(w io.Writer, rows []*dyelotv1.RecallGarment) error {
	out := csv.NewWriter(w)
	if err := out.Write(recallColumns); err != nil {
		return err
	}
	for _, g := range rows {
		since := ""
		if g.GetSinceThen() {
			since = "yes"
		}
		record := []string{g.GetOrderRef(), g.GetPlace(), g.GetTag(), g.GetLotCode(), g.GetItemCode(), g.GetStyle(), g.GetSize(), recallTime(g.GetSince()), g.GetCustomersCommissionCode(),
			g.GetFoundPlace(), g.GetFoundOrderRef(), since, recallTime(g.GetToldAt()), g.GetToldHow(), g.GetToldBy(), g.GetAccounted(), recallTime(g.GetAccountedAt()), g.GetAccountedBy(),
			g.GetAccountedNote(), g.GetOverrideBy(), g.GetOverrideReason()}
		for i := range record {
			record[i] = inert(record[i])
		}
		if err := out.Write(record); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

func recallTime(at *timestamppb.Timestamp) string {
	if at == nil {
		return ""
	}
	return at.AsTime().UTC().Format(time.RFC3339)
}
