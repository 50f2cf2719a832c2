package api

import (
	"fmt"
	"math"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/depth"
	"dyelot/server/store"
)

func (d *doseAsked) encode() *dyelotv1.ProposeDoseResponse {
	m := &dyelotv1.ProposeDoseResponse{
		Plant: d.plant, Part: d.req.GetPart(), Fibre: d.fibre, Mordant: d.measured[0].Had(),
		TargetKs: d.ks, Target: d.of, WavelengthNm: d.nm, Ground: d.ground(), Dose: encodeProposed(d.dose, 1),
		FromPercentWof: shownDose(d.curve.From), ToPercentWof: shownDose(d.curve.To),
		Form: string(d.curve.Chosen.Form), Text: d.words(),
	}
	if d.parcel.ID != 0 {
		m.ParcelCode, m.ParcelStrengthPercent = store.Code('P', d.parcel.ID), depth.Percent(d.strength()).Decimal()
		m.ParcelDose = encodeProposed(d.dose, 100/d.strength())
	}
	for _, c := range d.curve.Curves {
		m.Curves = append(m.Curves, &dyelotv1.DepthCurve{Form: string(c.Form), Equation: c.Words(), ResidualSd: c.ResidualSD, LeftOutError: c.LeftOutError,
			Unfit: c.Unfit, Chosen: c.Form == d.curve.Chosen.Form})
	}
	for _, s := range d.measured {
		one := &dyelotv1.DepthSwatch{Code: s.Code, Name: s.Name, PercentWof: s.WOF.Decimal(), ParcelCode: s.Parcel, AtFullStrength: shownDose(s.Point.WOF),
			Ks: s.Point.KS, CurveKs: d.curve.Chosen.KS(s.Point.WOF), DyedOn: showDay(s.DyedOn)}
		if s.Strength > 0 {
			one.StrengthPercent = s.Strength.Decimal()
		}
		m.Swatches = append(m.Swatches, one)
	}
	for _, p := range d.passed {
		m.PassedOver = append(m.PassedOver, &dyelotv1.PassedSwatch{Code: p.Trial.Code, Why: p.Why})
	}
	m.Warnings = append(encodeMinds(d.minds), &dyelotv1.Warning{Key: "depth-only", Source: "common practice",
		Text: "K/S says how deep and not which hue: dye a swatch with this dose before a lot"})
	return m
}

// ground says whose undyed cloth was taken off the target's depth; K/S as asked
// for is meant without.
func (d *doseAsked) ground() string {
	if d.req.GetTargetKs() != 0 {
		return ""
	}
	return d.whose
}

func encodeProposed(p depth.Proposal, times float64) *dyelotv1.ProposedDose {
	return &dyelotv1.ProposedDose{PercentWof: shownDose(p.WOF * times), LowPercentWof: shownDose(p.Low * times), HighPercentWof: shownDose(p.High * times),
		LowOpen: p.LowOpen, HighOpen: p.HighOpen}
}

// words is the proposal in one line.
func (d *doseAsked) words() string {
	swatches := fmt.Sprintf("from %d swatches at %s to %s %%", len(d.measured), depth.Dose(d.curve.From), depth.Dose(d.curve.To))
	full := fmt.Sprintf("%s %% WOF (%s)", depth.Dose(d.dose.WOF), d.dose.Between(1))
	if d.parcel.ID == 0 {
		return fmt.Sprintf("%s %s, %s", d.plant, full, swatches)
	}
	times := 100 / d.strength()
	of := fmt.Sprintf("%s (%s) %s %% WOF (%s)", store.Code('P', d.parcel.ID), d.plant, depth.Dose(d.dose.WOF*times), d.dose.Between(times))
	if math.Abs(times-1) > 1e-9 {
		of += fmt.Sprintf(", which is %s %% at full strength", depth.Dose(d.dose.WOF))
	}
	return of + ", " + swatches
}
