package api

import (
	"fmt"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/colour"
	"dyelot/inventory/lot"
	"dyelot/inventory/recipe"
	"dyelot/server/store"
)

// The formulas that figures are named by.
const (
	ksFormula      = "K/S = (1 − R)²/2R (Kubelka & Munk 1931)"
	metamerFormula = "special index of metamerism, change of illuminant (CIE 015): X, Y, Z of the sample corrected by ratio, then ΔE*ab"
)

// beside is what measurements are shown beside: the standards of their lots, the
// standards' spectra, and undyed cloth.
type beside struct {
	standards map[int64]lot.Standard // by lot
	spectra   map[int64]store.Kept   // by standard
	items     map[int64]groundItem   // of a lot's witness cloth, by lot
	pieces    map[string]groundItem  // of garments, by tag
}

// groundItem is what a cloth was before it was dyed.
type groundItem struct {
	code   string
	ground *store.Kept // nil where it was never read
}

func (b beside) standardOf(lotID int64) lot.Standard { return b.standards[lotID] }

// measured loads what some measurements are shown beside, in a fixed number of
// statements.
func measured(tx *store.Tx, ms []store.Measurement, garments []lot.Garment) (b beside, err error) {
	ids := make([]int64, len(ms))
	for i, m := range ms {
		ids[i] = m.LotID
	}
	lots, err := tx.LotsByID(ids)
	if err != nil {
		return b, err
	}
	runs, err := tx.RunsOfLots(lots)
	if err != nil {
		return b, err
	}
	var standards []int64
	for _, r := range runs {
		standards = append(standards, r.StandardID)
	}
	byID, err := tx.StandardsByID(standards)
	if err != nil {
		return b, err
	}
	b.standards = map[int64]lot.Standard{}
	for _, l := range lots {
		b.standards[l.ID] = byID[runs[l.RunID].StandardID]
	}
	if b.spectra, err = tx.StandardSpectra(standards); err != nil {
		return b, err
	}
	return b, b.undyed(tx, lots, garments)
}

// undyed finds what the cloths were before they were dyed.
func (b *beside) undyed(tx *store.Tx, lots []lot.Lot, garments []lot.Garment) error {
	var ids []int64
	for _, l := range lots {
		if l.WitnessParcel != 0 {
			ids = append(ids, l.WitnessParcel)
		}
	}
	for _, g := range garments {
		ids = append(ids, g.ParcelID)
	}
	parcels, err := tx.ParcelsByID(ids)
	if err != nil {
		return err
	}
	var items []int64
	for _, p := range parcels {
		items = append(items, p.Item.ID)
	}
	grounds, err := tx.GroundsOf(items)
	if err != nil {
		return err
	}
	of := func(parcel int64) groundItem {
		p := parcels[parcel]
		g := groundItem{code: p.Item.Code}
		if k, ok := grounds[p.Item.ID]; ok {
			g.ground = &k
		}
		return g
	}
	b.items, b.pieces = map[int64]groundItem{}, map[string]groundItem{}
	for _, l := range lots {
		if l.WitnessParcel != 0 {
			b.items[l.ID] = of(l.WitnessParcel)
		}
	}
	for _, g := range garments {
		b.pieces[g.Tag] = of(g.ParcelID)
	}
	return nil
}

func (b beside) encode(m store.Measurement) *dyelotv1.Measurement {
	r := encodeReading(m.Reading, b.standardOf(m.LotID))
	out := &dyelotv1.Measurement{
		Code: r.GetCode(), LotCode: r.GetLotCode(), Tag: r.GetTag(), Illuminant: r.GetColour().GetIlluminant(), Observer: r.GetColour().GetObserver(),
		Condition: r.GetCondition(), Rested: r.GetRested(), By: r.GetBy(), Instrument: r.GetInstrument(), File: encodeFile(m.File), HappenedAt: r.GetHappenedAt(), Note: r.GetNote(),
		WithdrawnBy: r.GetWithdrawnBy(), WithdrawnReason: r.GetWithdrawnReason(), WithdrawnAt: r.GetWithdrawnAt(),
	}
	lch := m.Colour.LCh()
	out.Colour = &dyelotv1.MeasuredColour{Mean: encodeLabValues(m.Colour), Chroma: lch.C, Hue: lch.H, ToStandard: encodeDifference(m.Reading, b.standardOf(m.LotID))}
	var ws warnings
	if len(m.Spots) > 0 {
		b.encodeSpots(out, m, &ws)
	}
	if m.View != b.standardOf(m.LotID).View {
		ws.add("other-light", "it is read for %s and standard %s is kept for %s: the two are not compared, and it does not count for the lot", m.View, b.standardOf(m.LotID).Code, b.standardOf(m.LotID).View)
	}
	if m.Wet || !m.Rested {
		ws.add("not-rested", "it was read on cloth that was not dry and rested, and does not count for the lot")
	}
	out.Warnings = encodeWarnings(ws)
	return out
}

// encodeSpots shows the spots, their spread, and what their mean spectrum tells.
func (b beside) encodeSpots(out *dyelotv1.Measurement, m store.Measurement, ws *warnings) {
	a, err := colour.Average(m.View, m.Spots)
	if err != nil { // it was refused when it was recorded
		return
	}
	for i, s := range m.Spots {
		out.Spots = append(out.Spots, &dyelotv1.Spot{Place: s.Place, Spectrum: encodeCurve(s.Curve), Lab: encodeLabValues(s.Lab), LeftOut: s.LeftOut, ToMean: a.ToMean[i]})
	}
	for _, i := range a.Outliers {
		out.Spots[i].Outlier = true
		*ws = append(*ws, recipe.Warning{Key: "outlier", Source: outlierRule, Text: fmt.Sprintf("spot %d%s stands out, %.2f from the mean (CIEDE2000, %s): look at it. It counts unless the measurement is recorded anew without it, with a reason",
			i+1, inBrackets(m.Spots[i].Place), a.ToMean[i], m.View)})
	}
	c := out.Colour
	c.Counted, c.SpreadGreatest, c.SpreadMean, c.MeanOf = int32(a.Counted), a.Greatest, a.Mean, "L*a*b*"
	if a.Curve == nil {
		return
	}
	c.MeanOf, c.Spectrum = "reflectances", encodeCurve(a.Curve)
	if s, err := a.Curve.Spectrum("spots"); err == nil {
		c.Depth = b.depth(m, *a.Curve, s, ws)
		c.Metamerism = b.metamerism(m, *a.Curve, s, ws)
	}
}

func inBrackets(place string) string {
	if place == "" {
		return ""
	}
	return " (" + place + ")"
}

// encodeDifference is a reading's difference to its standard by every formula of
// the house; nothing in another light or by another eye.
func encodeDifference(r lot.Reading, s lot.Standard) *dyelotv1.StandardDifference {
	if r.View != s.View {
		return nil
	}
	d := colour.Between(s.Colour, r.Colour)
	return &dyelotv1.StandardDifference{
		StandardCode: s.Code, Ciede2000: r.To(s), Tolerance: s.Tolerance.Decimal(), Within: r.Within(s), Cmc: colour.CMC(s.Colour, r.Colour, colour.Acceptance),
		DeltaE: d.E, DeltaL: d.L, DeltaC: d.C, DeltaH: d.H,
	}
}

// outlierRule is where it is from that a spot stands out.
var outlierRule = recipe.Source{Mark: recipe.Memory, Cite: "modified z-score above 3.5: Iglewicz & Hoaglin 1993, NIST/SEMATECH e-Handbook 1.3.5.17"}

type warnings []recipe.Warning

func (ws *warnings) add(key, format string, args ...any) {
	*ws = append(*ws, recipe.Warning{Key: key, Source: recipe.Source{Mark: recipe.Practice}, Text: fmt.Sprintf(format, args...)})
}
