package api

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/stock"
	"dyelot/server/store"
)

// ReceiveCustomers takes in garments that a customer brought to be dyed.
func (s *CommissionServer) ReceiveCustomers(ctx context.Context, req *dyelotv1.ReceiveCustomersRequest) (*dyelotv1.ReceiveCustomersResponse, error) {
	each, err := amountOrNone("piece_mass", req.GetPieceMass(), quantity.Mass)
	if err != nil {
		return nil, err
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.ReceiveCustomersResponse, error) {
		c, err := tx.CommissionByCode("commission_code", req.GetCommissionCode())
		if err != nil {
			return nil, err
		}
		it, err := tx.ItemByCode(req.GetItemCode())
		if err != nil {
			return nil, err
		}
		pieces, err := stock.TakeIn(it, int64(req.GetPieces()))
		if err != nil {
			return nil, err
		}
		p := stock.Parcel{Item: it, Origin: stock.FromCustomer, CommissionID: c.ID, MightNotTake: req.GetMightNotTake(), PieceMass: each, Note: req.GetNote()}
		if p.ArrivedAt, err = happened(tx, "happened_at", req.GetHappenedAt()); err != nil {
			return nil, err
		}
		if p.ID, err = tx.AddParcel(p); err != nil {
			return nil, err
		}
		m, _, err := book(tx, stock.Movement{Kind: stock.ActTakenIn, HappenedAt: p.ArrivedAt, Legs: []stock.Leg{{ParcelID: p.ID, From: stock.Customer, To: stock.Shelf, Amount: pieces}}}, nil)
		if err != nil {
			return nil, err
		}
		parcel, err := shown(tx, p.ID)
		return &dyelotv1.ReceiveCustomersResponse{Parcel: parcel, Movement: encodeMovement(m, tx.By.Name), Warnings: encodeWarnings(onArrival(p))}, err
	})
}

// GiveBack hands a customer's own garments back: dyed ones by tag, undyed ones
// off the shelf; all that is named, or nothing.
func (s *CommissionServer) GiveBack(ctx context.Context, req *dyelotv1.GiveBackRequest) (*dyelotv1.GiveBackResponse, error) {
	if len(req.GetTags())+len(req.GetUndyed()) == 0 {
		return nil, fault.BadField("tags", "is needed: which garments go back, dyed ones by tag or undyed ones by parcel")
	}
	ids, err := undyedIDs(req.GetUndyed())
	if err != nil {
		return nil, err
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.GiveBackResponse, error) {
		c, err := tx.CommissionByCode("commission_code", req.GetCommissionCode())
		if err != nil {
			return nil, err
		}
		at, err := happened(tx, "happened_at", req.GetHappenedAt())
		if err != nil {
			return nil, err
		}
		resp := &dyelotv1.GiveBackResponse{}
		if len(req.GetTags()) > 0 {
			if resp.Tags, resp.Warnings, err = giveBackDyed(tx, c, req.GetTags(), req.GetNote(), at); err != nil {
				return nil, err
			}
		}
		if len(ids) > 0 {
			if resp.Movement, resp.Shortages, err = giveBackUndyed(tx, c, ids, req, at); err != nil {
				return nil, err
			}
		}
		return resp, nil
	})
}

func undyedIDs(undyed []*dyelotv1.Taken) ([]int64, error) {
	var ids []int64
	for i, u := range undyed {
		at := fmt.Sprintf("undyed[%d].parcel_code", i)
		id, err := store.ID('P', at, u.GetParcelCode())
		if err != nil {
			return nil, err
		}
		if slices.Contains(ids, id) {
			return nil, fault.BadField(at, "%s is named twice: add up its pieces", store.Code('P', id))
		}
		ids = append(ids, id)
	}
	return ids, nil
}

// giveBackDyed asks each garment, and of those that passed whether their set
// stands: it leaves as a set or not at all. What left its set goes on its own.
func giveBackDyed(tx *store.Tx, c lot.Commission, typed []string, note string, at time.Time) (tags []string, warnings []*dyelotv1.Warning, err error) {
	serials, err := eachTagOnce(typed)
	if err != nil {
		return nil, nil, err
	}
	garments, lots, err := lockGarments(tx, serials)
	if err != nil {
		return nil, nil, err
	}
	var inSet []int64
	for _, g := range garments {
		l := lots[g.LotID]
		if err := g.MayGiveBack(c.ID, l); err != nil {
			return nil, nil, err
		}
		tags = append(tags, g.Tag)
		switch {
		case !g.InSet(l):
			warnings = append(warnings, &dyelotv1.Warning{Key: "not-passed", Source: "verdict on lot " + l.Code, Text: fmt.Sprintf("%s goes back though it is %s: say so to the customer's side", g.Tag, lot.State(g.Verdict(l)).Words())})
		case !slices.Contains(inSet, l.ID):
			inSet = append(inSet, l.ID)
		}
	}
	if err := mayLeaveSet(tx, inSet, lots); err != nil {
		return nil, nil, err
	}
	if _, err := pastRecalls(tx, garments, letting{}, at); err != nil {
		return nil, nil, err
	}
	return tags, warnings, tx.GiveBackGarments(garments, note, at)
}

// mayLeaveSet is nil where garments of these lots may leave as far as their sets
// are concerned: a commission's is whole, and the lots of each set match.
func mayLeaveSet(tx *store.Tx, lotIDs []int64, lots map[int64]lot.Lot) error {
	if len(lotIDs) == 0 {
		return nil
	}
	var leaving []lot.Lot
	for _, id := range lotIDs {
		leaving = append(leaving, lots[id])
	}
	if err := wholeSets(tx, leaving); err != nil {
		return err
	}
	return setsStand(tx, lotIDs)
}

func giveBackUndyed(tx *store.Tx, c lot.Commission, ids []int64, req *dyelotv1.GiveBackRequest, at time.Time) (*dyelotv1.Movement, []*dyelotv1.Shortage, error) {
	parcels, err := tx.LockParcels(ids)
	if err != nil {
		return nil, nil, err
	}
	m := stock.Movement{Kind: stock.ActGivenBack, HappenedAt: at, Reason: req.GetNote()}
	for _, p := range parcels {
		i := slices.Index(ids, p.ID)
		field := fmt.Sprintf("undyed[%d]", i)
		a, err := amount(field+".amount", req.GetUndyed()[i].GetAmount(), p.Item.Unit)
		if err != nil {
			return nil, nil, err
		}
		leg, err := stock.GiveBack(p, c.ID, a)
		if err != nil {
			return nil, nil, fault.In(field, err)
		}
		m.Legs = append(m.Legs, leg)
	}
	m, struck, err := book(tx, m, parcels)
	return encodeMovement(m, tx.By.Name), struck, err
}

// SampleParcel records that a swatch was dyed with a blend, so that a matched
// set may take it.
func (s *CommissionServer) SampleParcel(ctx context.Context, req *dyelotv1.SampleParcelRequest) (*dyelotv1.SampleParcelResponse, error) {
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.SampleParcelResponse, error) {
		p, err := locked(tx, "parcel_code", req.GetParcelCode())
		if err != nil {
			return nil, err
		}
		if err := stock.MaySample(p); err != nil {
			return nil, err
		}
		sample, err := decodeSample(tx, p, req)
		if err != nil {
			return nil, err
		}
		if err := tx.AddSample(sample); err != nil {
			return nil, err
		}
		parcel, err := shown(tx, p.ID)
		evidence := strings.Join(slices.DeleteFunc([]string{named("lot", 'L', sample.LotID), named("reading", 'C', sample.ReadingID), sample.Note}, func(s string) bool { return s == "" }), ", ")
		return &dyelotv1.SampleParcelResponse{Parcel: parcel, SampledOn: showDay(sample.On), By: sample.By, Evidence: evidence}, err
	})
}

func named(what string, letter byte, id int64) string {
	if id == 0 {
		return ""
	}
	return what + " " + store.Code(letter, id)
}

func decodeSample(tx *store.Tx, p stock.Parcel, req *dyelotv1.SampleParcelRequest) (s store.Sample, err error) {
	s = store.Sample{ParcelID: p.ID, Note: strings.TrimSpace(req.GetNote()), By: otherwise(req.GetBy(), tx.By.Name)}
	if s.On, err = pastDay(tx, "sampled_on", req.GetSampledOn()); err != nil {
		return s, err
	}
	if s.On.IsZero() {
		if s.On, err = tx.Today(); err != nil {
			return s, err
		}
	}
	if req.GetReadingCode() != "" {
		if s.ReadingID, err = store.ID('C', "reading_code", req.GetReadingCode()); err != nil {
			return s, err
		}
		r, err := tx.Reading(s.ReadingID)
		if err != nil {
			return s, onField("reading_code", err)
		}
		if err := dyedWith(tx, p, r.LotID, "reading_code"); err != nil {
			return s, err
		}
	}
	if req.GetLotCode() != "" {
		if s.LotID, err = store.ID('L', "lot_code", req.GetLotCode()); err != nil {
			return s, err
		}
		if _, err := tx.Lot(s.LotID); err != nil {
			return s, onField("lot_code", err)
		}
		if err := dyedWith(tx, p, s.LotID, "lot_code"); err != nil {
			return s, err
		}
	}
	if s.LotID == 0 && s.ReadingID == 0 && s.Note == "" {
		return s, fault.BadField("note", "is needed: which swatch was dyed with it, as a lot, a reading or the page of the swatch book")
	}
	return s, nil
}

// dyedWith refuses a swatch lot that this dyestuff did not go into.
func dyedWith(tx *store.Tx, p stock.Parcel, lotID int64, field string) error {
	if p.Item.Kind != stock.Dyestuff {
		return nil // a liquor goes through a making; whoever poured it knows
	}
	used, err := tx.DyestuffsOf([]int64{lotID})
	if err == nil && !slices.Contains(used[lotID], p.ID) {
		err = fault.BadField(field, "lot %s was not dyed with %s: the swatch of a blend is dyed with that blend", store.Code('L', lotID), p.Code())
	}
	return err
}
