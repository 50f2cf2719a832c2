package api

import (
	"fmt"
	"slices"
	"strings"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/shade"
	"dyelot/server/store"
)

// rail is what hangs to be sorted: the garments of a run, of some lots or of a
// commission, those that were read in groups, and the others with why not.
type rail struct {
	of            string // "R1", "W1" or "L1, L2"
	lots          []lot.Lot
	runs          map[int64]lot.Run
	standard      lot.Standard
	commission    *lot.Commission // asked for
	tolerance     lot.Tolerance
	toleranceFrom string
	asked         []shade.Asked
	owner         string // whose own garments may be in the set
	garments      []lot.Garment
	byTag         map[string]lot.Garment
	sorted        shade.Sorted
	unmeasured    []*dyelotv1.ShadeLeftOut
	apart         []*dyelotv1.ShadeLeftOut
	warnings      []*dyelotv1.Warning
}

// openRail loads what a request names, in a fixed number of statements, and
// sorts it. With hold the lots are locked first.
func openRail(tx *store.Tx, req *dyelotv1.SortShadesRequest, hold bool) (*rail, error) {
	r := &rail{byTag: map[string]lot.Garment{}}
	if err := r.findLots(tx, req, hold); err != nil {
		return nil, err
	}
	if err := r.findStandard(tx); err != nil {
		return nil, err
	}
	if err := r.findTolerance(tx, req.GetTolerance()); err != nil {
		return nil, err
	}
	ids := make([]int64, len(r.lots))
	for i, l := range r.lots {
		ids[i] = l.ID
	}
	var err error
	if r.garments, err = tx.GarmentsEverOfLots(ids); err != nil {
		return nil, err
	}
	if err := r.findAsked(tx, req.GetPieces()); err != nil {
		return nil, err
	}
	pieces, err := r.pieces(tx, ids)
	if err != nil {
		return nil, err
	}
	r.sorted = shade.Sort(pieces, r.tolerance)
	return r, nil
}

// findLots loads the lots of the one thing that is named.
func (r *rail) findLots(tx *store.Tx, req *dyelotv1.SortShadesRequest, hold bool) (err error) {
	if req.GetCommissionCode() != "" {
		c, err := tx.CommissionByCode("commission_code", req.GetCommissionCode())
		if err != nil {
			return err
		}
		r.commission = &c
	}
	switch {
	case req.GetRunCode() != "" && len(req.GetLotCodes()) > 0:
		return fault.BadField("lot_codes", "name a run or lots, not both")
	case req.GetRunCode() != "":
		err = r.lotsOfRun(tx, req.GetRunCode())
	case len(req.GetLotCodes()) > 0:
		err = r.lotsByCode(tx, req.GetLotCodes())
	case r.commission != nil:
		r.of = r.commission.Code()
		r.lots, err = tx.LotsOfCommission(r.commission.ID)
	default:
		return fault.BadField("run_code", "is needed: a run such as R1, or lots, or a commission")
	}
	if err != nil {
		return err
	}
	r.lots = slices.DeleteFunc(r.lots, func(l lot.Lot) bool { return l.State == lot.Cancelled })
	if len(r.lots) == 0 {
		return fault.Refuse("NOTHING_TO_SORT", "%s has no lot that was not cancelled", r.of).With("of", r.of)
	}
	if hold {
		ids := make([]int64, len(r.lots))
		for i, l := range r.lots {
			ids[i] = l.ID
		}
		if r.lots, err = tx.LockLots(ids); err != nil {
			return err
		}
	}
	r.runs, err = tx.RunsOfLots(r.lots)
	return err
}

func (r *rail) lotsOfRun(tx *store.Tx, code string) error {
	id, err := store.ID('R', "run_code", code)
	if err != nil {
		return err
	}
	run, err := tx.Run(id)
	if err != nil {
		return onField("run_code", err)
	}
	r.of = store.Code('R', run.ID)
	r.lots, err = tx.LotsOfRuns(id)
	return err
}

func (r *rail) lotsByCode(tx *store.Tx, codes []string) error {
	ids := make([]int64, len(codes))
	for i, code := range codes {
		var err error
		if ids[i], err = store.ID('L', fmt.Sprintf("lot_codes[%d]", i), code); err != nil {
			return err
		}
	}
	lots, err := tx.LotsByID(ids)
	if err != nil {
		return err
	}
	for i, id := range ids {
		if !slices.ContainsFunc(lots, func(l lot.Lot) bool { return l.ID == id }) {
			return fault.Missing("lot", store.Code('L', id)).At(fmt.Sprintf("lot_codes[%d]", i))
		}
	}
	var names []string
	for _, l := range lots {
		names = append(names, l.Code)
	}
	r.lots, r.of = lots, strings.Join(names, ", ")
	return nil
}

// findStandard is the one that all lots are judged by.
func (r *rail) findStandard(tx *store.Tx) (err error) {
	first := r.runs[r.lots[0].RunID]
	for _, l := range r.lots {
		run := r.runs[l.RunID]
		if run.StandardID != first.StandardID {
			return fault.BadField("lot_codes", "%s is judged by %s and %s by %s: colours of two standards are not sorted together", r.lots[0].Code, first.StandardCode, l.Code, run.StandardCode)
		}
		if c := r.commission; c != nil && run.CommissionID != c.ID {
			return fault.BadField("commission_code", "%s of %s is not dyed for %s: its set comes from its own runs alone", l.Code, store.Code('R', run.ID), c)
		}
	}
	r.standard, err = tx.StandardByID(first.StandardID)
	return err
}

// findTolerance: as asked, or as agreed for the commission that all lots are
// dyed for, or the set tolerance of the standard.
func (r *rail) findTolerance(tx *store.Tx, asked string) error {
	r.tolerance, r.toleranceFrom = r.standard.SetTolerance, "the set tolerance of "+r.standard.Code
	agreed := r.commission
	if id := r.runs[r.lots[0].RunID].CommissionID; agreed == nil && id != 0 {
		same := !slices.ContainsFunc(r.lots, func(l lot.Lot) bool { return r.runs[l.RunID].CommissionID != id })
		c, err := tx.Commission(id)
		if err != nil {
			return err
		}
		if same {
			agreed = &c
		}
	}
	if agreed != nil {
		r.tolerance, r.toleranceFrom = agreed.SetTolerance, "as agreed for "+agreed.Code()
		r.owner = agreed.Code()
	}
	if asked == "" {
		return nil
	}
	t, err := lot.ParseTolerance("tolerance", asked)
	if err != nil {
		return err
	}
	if t <= 0 || t > 100_000 {
		return fault.BadField("tolerance", "%s: a CIEDE2000 above 0 and at most 100 is needed", t)
	}
	if t > r.tolerance {
		r.warnings = append(r.warnings, &dyelotv1.Warning{Key: "wider-than-agreed", Source: r.toleranceFrom,
			Text: fmt.Sprintf("sorted at %s, and a set may be %s apart at most: what hangs together here is no set by that", t, r.tolerance)})
	}
	r.tolerance, r.toleranceFrom = t, "as asked"
	return nil
}

// findAsked are the pieces that are named, or those of the commission that have
// not gone yet.
func (r *rail) findAsked(tx *store.Tx, pieces []*dyelotv1.ShadePieces) error {
	if r.commission == nil {
		var kinds []shade.Kind
		for _, g := range r.garments {
			kinds = append(kinds, shade.Kind{Style: g.Style, Item: g.ItemCode})
		}
		for _, p := range pieces {
			r.asked = append(r.asked, shade.Asked{What: p.GetWhat(), Count: int(p.GetCount())})
		}
		return shade.CheckAsked("pieces", r.asked, kinds)
	}
	if len(pieces) > 0 {
		return fault.BadField("pieces", "are those of %s: name pieces or a commission, not both", r.commission)
	}
	sets, err := tx.SetLots(r.commission.ID)
	if err != nil {
		return err
	}
	for _, p := range r.commission.Pieces {
		if n := p.Count - lot.Tally(sets[r.commission.ID], p.ItemID).Gone; n > 0 {
			r.asked = append(r.asked, shade.Asked{What: p.ItemCode, Count: n})
		}
	}
	return nil
}

// pieces are the garments with a colour of their own; the others are told apart.
func (r *rail) pieces(tx *store.Tx, ids []int64) ([]shade.Piece, error) {
	measured, err := tx.MeasuredLots(r.lots)
	if err != nil {
		return nil, err
	}
	harvests, err := tx.HarvestsOf(ids)
	if err != nil {
		return nil, err
	}
	byID := map[int64]lot.Lot{}
	for _, l := range r.lots {
		byID[l.ID] = l
	}
	var pieces []shade.Piece
	for _, g := range r.garments {
		out := &dyelotv1.ShadeLeftOut{Tag: g.Tag, LotCode: store.Code('L', g.LotID)}
		l, ours := byID[g.LotID]
		if !ours {
			out.Why = "is of lot " + out.LotCode + " now"
		} else {
			out.Why = g.HangsApart(l)
		}
		if out.Why != "" {
			r.apart = append(r.apart, out)
			continue
		}
		c, codes, ok := measured[l.ID].ColourOf(g.Tag, r.standard.View)
		if !ok {
			out.Why = measured[l.ID].Unread(g.Tag, r.standard.View)
			r.unmeasured = append(r.unmeasured, out)
			continue
		}
		r.byTag[g.Tag] = g
		pieces = append(pieces, shade.Piece{Tag: g.Tag, Lot: l.Code, Item: g.ItemCode, Style: g.Style, Size: g.Size, Colour: c, Readings: codes, Owner: codeOr('W', g.CommissionID), Harvests: harvests[l.ID]})
	}
	if len(pieces) > shade.Most {
		return nil, fault.Refuse("TOO_MANY", "%s has %d garments that were read, and at most %d are sorted at once: sort it lot by lot", r.of, len(pieces), shade.Most).With("of", r.of)
	}
	return pieces, nil
}
