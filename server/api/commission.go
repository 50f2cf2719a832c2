package api

import (
	"context"
	"fmt"
	"strconv"
	"strings"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/recipe"
	"dyelot/inventory/stock"
	"dyelot/server/store"
)

// CommissionServer answers CommissionService.
type CommissionServer struct {
	dyelotv1.UnsafeCommissionServiceServer
	store *store.Store
}

// NewCommissionServer answers from a store.
func NewCommissionServer(s *store.Store) *CommissionServer { return &CommissionServer{store: s} }

// CreateCommission writes down what was agreed with a customer.
func (s *CommissionServer) CreateCommission(ctx context.Context, req *dyelotv1.CreateCommissionRequest) (*dyelotv1.CreateCommissionResponse, error) {
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.CreateCommissionResponse, error) {
		c, warnings, err := decodeCommission(tx, req.GetCommission())
		if err != nil {
			return nil, fault.In("commission", err)
		}
		if c.ID, err = tx.AddCommission(c); err != nil {
			return nil, err
		}
		m, err := shownCommission(tx, c.ID)
		return &dyelotv1.CreateCommissionResponse{Commission: m, Warnings: encodeWarnings(warnings)}, err
	})
}

func decodeCommission(tx *store.Tx, m *dyelotv1.Commission) (c lot.Commission, warnings []recipe.Warning, err error) {
	c = lot.Commission{Reference: strings.TrimSpace(m.GetReference()), Spares: int(m.GetSpares()), Note: m.GetNote()}
	if c.SetTolerance, err = lot.ParseTolerance("set_tolerance", m.GetSetTolerance()); err != nil {
		return c, nil, err
	}
	if c.DueOn, err = day("due_on", m.GetDueOn()); err != nil {
		return c, nil, err
	}
	way, err := tx.ColourwayByCode(m.GetColourwayCode())
	if err != nil {
		return c, nil, onField("colourway_code", err)
	}
	c.ColourwayID = way.ID
	for i, p := range m.GetPieces() {
		at := fmt.Sprintf("pieces[%d].item_code", i)
		it, err := tx.ItemByCode(p.GetItemCode())
		if err != nil {
			return c, nil, onField(at, err)
		}
		if it.Kind != stock.Blank {
			return c, nil, fault.BadField(at, "%s is a %s: pieces of a set are blanks", it.Code, it.Kind)
		}
		c.Pieces = append(c.Pieces, lot.CommissionPieces{ItemID: it.ID, ItemCode: it.Code, Count: int(p.GetCount()), MightNotTake: p.GetMightNotTake()})
		warnings = append(warnings, it.Warnings()...)
	}
	today, err := tx.Today()
	if err != nil {
		return c, nil, err
	}
	return c, warnings, c.Check(today)
}

// SignCommission records which swatch the customer's side agreed to.
func (s *CommissionServer) SignCommission(ctx context.Context, req *dyelotv1.SignCommissionRequest) (*dyelotv1.SignCommissionResponse, error) {
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.SignCommissionResponse, error) {
		c, err := tx.CommissionByCode("commission_code", req.GetCommissionCode())
		if err != nil {
			return nil, err
		}
		sign, warnings, err := decodeSignOff(tx, c, req.GetSignOff())
		if err != nil {
			return nil, fault.In("sign_off", err)
		}
		if err := tx.AddSignOff(c.ID, sign); err != nil {
			return nil, err
		}
		m, err := shownCommission(tx, c.ID)
		return &dyelotv1.SignCommissionResponse{Commission: m, Warnings: encodeWarnings(warnings)}, err
	})
}

func decodeSignOff(tx *store.Tx, c lot.Commission, m *dyelotv1.SignOff) (s lot.SignOff, warnings []recipe.Warning, err error) {
	s = lot.SignOff{Standard: m.GetStandardCode(), ByRole: strings.TrimSpace(m.GetByRole()), Note: m.GetNote()}
	if s.On, err = pastDay(tx, "signed_on", m.GetSignedOn()); err != nil {
		return s, nil, err
	}
	if s.On.IsZero() {
		if s.On, err = tx.Today(); err != nil {
			return s, nil, err
		}
	}
	if m.GetReadingCode() != "" {
		if s.ReadingID, err = store.ID('C', "reading_code", m.GetReadingCode()); err != nil {
			return s, nil, err
		}
	}
	if m.GetLotCode() != "" {
		if s.LotID, err = store.ID('L', "lot_code", m.GetLotCode()); err != nil {
			return s, nil, err
		}
	}
	if err := s.Check(c); err != nil {
		return s, nil, err
	}
	std, err := tx.StandardByCode(c.StandardCode)
	if err != nil {
		return s, nil, err
	}
	switch {
	case s.ReadingID != 0:
		r, err := tx.Reading(s.ReadingID)
		if err != nil {
			return s, nil, onField("reading_code", err)
		}
		if off := r.Beyond(std); off != "" {
			warnings = append(warnings, recipe.Warning{Key: "swatch-off-standard", Source: recipe.Source{Mark: recipe.Practice}, Text: off})
		}
	case s.LotID != 0:
		l, err := tx.Lot(s.LotID)
		if err != nil {
			return s, nil, onField("lot_code", err)
		}
		return s, warnings, l.State.Measurable(l.Code)
	default:
		s.StandardID = std.ID
	}
	return s, warnings, nil
}

// ListCommissions lists them in the order in which they were agreed.
func (s *CommissionServer) ListCommissions(ctx context.Context, req *dyelotv1.ListCommissionsRequest) (*dyelotv1.ListCommissionsResponse, error) {
	limit, after, err := pageByID(req.GetPageSize(), req.GetPageToken())
	if err != nil {
		return nil, err
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.ListCommissionsResponse, error) {
		all, err := tx.Commissions(after, limit)
		if err != nil || len(all) == 0 {
			return &dyelotv1.ListCommissionsResponse{}, err
		}
		ids := make([]int64, len(all))
		for i, c := range all {
			ids[i] = c.ID
		}
		sets, err := tx.SetLots(ids...)
		if err != nil {
			return nil, err
		}
		resp := &dyelotv1.ListCommissionsResponse{}
		for _, c := range all {
			if m := encodeCommission(c, sets[c.ID]); req.GetIncludeEnded() || m.GetState() != "handed-over" {
				resp.Commissions = append(resp.Commissions, m)
			}
		}
		if len(all) == limit {
			resp.NextPageToken = nextPage(strconv.FormatInt(all[limit-1].ID, 10))
		}
		return resp, nil
	})
}

// shownCommission is one as it stands now.
func shownCommission(tx *store.Tx, id int64) (*dyelotv1.Commission, error) {
	c, err := tx.Commission(id)
	if err != nil {
		return nil, err
	}
	sets, err := tx.SetLots(id)
	return encodeCommission(c, sets[id]), err
}

func encodeCommission(c lot.Commission, lots []lot.SetLot) *dyelotv1.Commission {
	m := &dyelotv1.Commission{Code: c.Code(), Reference: c.Reference, ColourwayCode: c.Colourway, SetTolerance: c.SetTolerance.Decimal(), DueOn: showDay(c.DueOn),
		Spares: int32(c.Spares), Note: c.Note, State: c.State(lots), AgreedAt: stamp(c.AgreedAt), AgreedBy: c.AgreedBy, View: c.View.String()}
	for _, p := range c.Pieces {
		m.Pieces = append(m.Pieces, &dyelotv1.CommissionPieces{ItemCode: p.ItemCode, Count: int32(p.Count), MightNotTake: p.MightNotTake})
	}
	for _, s := range c.SignOffs {
		m.SignOffs = append(m.SignOffs, encodeSignOff(s))
	}
	return m
}

func encodeSignOff(s lot.SignOff) *dyelotv1.SignOff {
	return &dyelotv1.SignOff{ReadingCode: codeOr('C', s.ReadingID), LotCode: codeOr('L', s.LotID), StandardCode: s.Standard, SignedOn: showDay(s.On), ByRole: s.ByRole,
		Note: s.Note, RecordedBy: s.RecordedBy}
}

// codeOr is a code, or empty where there is none.
func codeOr(letter byte, id int64) string {
	if id == 0 {
		return ""
	}
	return store.Code(letter, id)
}
