package api

import (
	"context"
	"fmt"
	"strconv"
	"strings"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/colour"
	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/shade"
	"dyelot/server/store"
)

// GetShadeHistory follows a colour from lot to lot.
func (s *ShadeServer) GetShadeHistory(ctx context.Context, req *dyelotv1.GetShadeHistoryRequest) (*dyelotv1.GetShadeHistoryResponse, error) {
	if (req.GetColourwayCode() == "") == (req.GetStandardCode() == "") {
		return nil, fault.BadField("colourway_code", "is needed, or standard_code: exactly one of them")
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.GetShadeHistoryResponse, error) {
		std, lots, err := lotsOfColour(tx, req)
		if err != nil {
			return nil, err
		}
		h := &history{standard: std}
		if err := h.load(tx, lots); err != nil {
			return nil, err
		}
		return h.answer()
	})
}

// lotsOfColour are the lots of a colourway or a standard, and the standard.
func lotsOfColour(tx *store.Tx, req *dyelotv1.GetShadeHistoryRequest) (std lot.Standard, lots []lot.Lot, err error) {
	if req.GetColourwayCode() != "" {
		c, err := tx.ColourwayByCode(req.GetColourwayCode())
		if err != nil {
			return std, nil, onField("colourway_code", err)
		}
		if std, err = tx.StandardByID(c.StandardID); err != nil {
			return std, nil, err
		}
		lots, err = tx.LotsOfColourway(c.ID)
		return std, lots, err
	}
	if std, err = tx.StandardByCode(req.GetStandardCode()); err != nil {
		return std, nil, onField("standard_code", err)
	}
	lots, err = tx.LotsOfStandard(std.ID)
	return std, lots, err
}

// history is what the books know of a colour's lots.
type history struct {
	standard lot.Standard
	dyed     []store.DyedLot
	measured map[int64]lot.Measured
	spots    map[int64][]colour.Spot // by reading
	depth    shade.Depth
	noDepth  string // why strength cannot be said of any lot
}

func (h *history) load(tx *store.Tx, lots []lot.Lot) (err error) {
	if h.dyed, err = tx.Dyed(lots); err != nil {
		return err
	}
	if h.measured, err = tx.MeasuredLots(lots); err != nil {
		return err
	}
	kept, err := tx.StandardSpectra([]int64{h.standard.ID})
	if err != nil {
		return err
	}
	master, known := kept[h.standard.ID]
	if !known {
		h.noDepth = "standard " + h.standard.Code + " has no spectrum"
		return nil
	}
	if h.depth, err = shade.DepthOf(master.Curve); err != nil {
		f, bad := fault.Of(err)
		if !bad {
			return err
		}
		h.noDepth = "the spectrum of standard " + h.standard.Code + ": " + f.Say
		return nil
	}
	var readings []lot.Reading
	for _, l := range h.dyed {
		readings = append(readings, h.measured[l.ID].Counted(h.standard.View)...)
	}
	h.spots, err = tx.SpotsOf(readings)
	return err
}

// answer computes each lot's figures and draws both charts.
func (h *history) answer() (*dyelotv1.GetShadeHistoryResponse, error) {
	m := &dyelotv1.GetShadeHistoryResponse{StandardCode: h.standard.Code, View: h.standard.View.String(), Tolerance: h.standard.Tolerance.Decimal()}
	if h.noDepth == "" {
		m.StrengthNm = int32(h.depth.NM)
	}
	var differences, strengths []shade.Point
	for _, l := range h.dyed {
		e := &dyelotv1.ShadeHistoryLot{LotCode: l.Code, RunCode: store.Code('R', l.RunID), DyedAt: stamp(l.DyedAt), State: string(l.State)}
		if c, read := h.measured[l.ID].Colour(h.standard.View); read {
			d := colour.CIEDE2000(h.standard.Colour, c)
			e.Difference = h.standard.Tolerance.Shown(d)
			differences = append(differences, shade.Point{Lot: l.Code, DyedAt: l.DyedAt, Value: d})
		}
		percent, ok, why := h.strength(l.ID)
		if e.StrengthWhy = why; ok {
			e.StrengthPercent = strconv.FormatFloat(percent, 'f', 1, 64)
			strengths = append(strengths, shade.Point{Lot: l.Code, DyedAt: l.DyedAt, Value: percent})
		}
		m.Lots = append(m.Lots, e)
	}
	var err error
	if m.Difference, err = chart("difference", fmt.Sprintf("difference to standard %s, CIEDE2000, %s", h.standard.Code, h.standard.View), differences, ""); err != nil {
		return nil, err
	}
	title := "strength, per cent of standard " + h.standard.Code
	if h.noDepth == "" {
		title += fmt.Sprintf(": K/S at %d nm over the standard's", h.depth.NM)
	}
	m.Strength, err = chart("strength", title, strengths, h.noDepth)
	return m, err
}

func (h *history) strength(lotID int64) (percent float64, ok bool, why string) {
	if h.noDepth != "" {
		return 0, false, h.noDepth
	}
	counted := h.measured[lotID].Counted(h.standard.View)
	if len(counted) == 0 {
		return 0, false, "no reading counts"
	}
	readings := make([][]colour.Curve, len(counted))
	for i, r := range counted {
		for _, s := range h.spots[r.ID] {
			if s.Curve != nil && s.LeftOut == "" {
				readings[i] = append(readings[i], *s.Curve)
			}
		}
	}
	return h.depth.Strength(readings)
}

// chart draws an individuals chart and says what it rests on.
func chart(key, title string, points []shade.Point, none string) (*dyelotv1.ShadeChart, error) {
	c, err := shade.Individuals(points)
	if err != nil {
		return nil, err
	}
	m := &dyelotv1.ShadeChart{Key: key, Title: title, Drawn: c.Drawn, Provisional: c.Provisional, OutsideLotCodes: c.Outside,
		Mean: c.Limits.Mean, MeanMovingRange: c.Limits.MeanMovingRange, Lower: c.Limits.Lower, Upper: c.Limits.Upper}
	for _, p := range c.Points {
		m.Points = append(m.Points, &dyelotv1.ShadePoint{LotCode: p.Lot, DyedAt: stamp(p.DyedAt), Value: p.Value, Outside: p.Outside})
	}
	var words []string
	switch n := len(points); {
	case none != "":
		words = append(words, none)
	case n == 0:
		words = append(words, "no lot has one yet")
	case n == 1:
		words = append(words, "one lot alone has no limits: there is no step from lot to lot yet")
	default:
		words = append(words, fmt.Sprintf("limits from %d lots (individuals chart, NIST/SEMATECH 6.3.2.2)", n))
		if c.Provisional {
			words = append(words, fmt.Sprintf("provisional under %d lots: they still move", shade.Settled))
		}
		if len(c.Outside) > 0 {
			words = append(words, "outside the limits: "+strings.Join(c.Outside, ", "))
		}
	}
	m.Text = strings.Join(words, "; ")
	return m, nil
}
