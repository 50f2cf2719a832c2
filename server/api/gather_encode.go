package api

import (
	"time"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/season"
	"dyelot/server/store"
)

func encodeGatherLine(l season.GatherLine, today time.Time) *dyelotv1.GatherLine {
	known := l.State != season.GatherUnknown
	m := &dyelotv1.GatherLine{
		State: string(l.State), ItemCode: l.Item, ItemName: l.Name, Plant: l.Plant, Part: l.Part, Weeks: encodeWeeks(l.Weeks, known, today),
		Opens: showDay(l.Span.Opens), Closes: showDay(l.Span.Closes), Week: showDay(l.Week),
		Dry: encode(l.ToDry), FreshLow: encode(l.Low), FreshHigh: encode(l.High), Ratio: encodeDrying(l.Drying), Text: l.Text, Why: l.Why, Supplier: l.Supplier,
	}
	if l.Place != nil {
		m.Place = encodeYield(*l.Place)
	}
	low, high := l.Pickings()
	m.PickingsLow, m.PickingsHigh = int32(low), int32(high)
	for _, of := range l.Left {
		m.For = append(m.For, &dyelotv1.GatherFor{Dry: encode(of.Dry), On: showDay(of.On), Subject: of.For, ColourwayCode: of.Colourway, Text: of.String()})
	}
	return m
}

func encodeWeeks(w season.Weeks, known bool, today time.Time) *dyelotv1.PlantWeeks {
	m := &dyelotv1.PlantWeeks{Known: known, Own: w.Own, Pickings: int32(w.Pickings), Years: int32(w.Years), WidenedDays: int32(w.Widened)}
	if w.Table != nil {
		m.TableText = w.Table.When() + " (" + season.MarkOf(w.Table.Source) + ")"
		m.Bought = w.Table.Bought() && !w.Own
	}
	if !known {
		return m
	}
	span, open := w.On(today)
	if !open {
		span = w.After(today)
	}
	m.Text, m.Source, m.StateText = w.String(), w.Source(), w.Says(today)
	m.Opens, m.Closes, m.Open = showDay(span.Opens), showDay(span.Closes), open
	return m
}

func encodeDrying(d season.Drying) *dyelotv1.FreshRatio {
	m := &dyelotv1.FreshRatio{Own: d.Own, Harvests: int32(d.Harvests), Ratio: d.Ratio(), Text: d.String()}
	if d.Known() {
		m.Low, m.High = d.Low.Decimal(), d.High.Decimal()
	}
	return m
}

func encodeYield(y season.PlaceYield) *dyelotv1.PlaceYield {
	return &dyelotv1.PlaceYield{Place: y.Place, Pickings: int32(y.Pickings), Weighed: int32(y.Weighed), Mean: encode(y.Mean), Least: encode(y.Least), Most: encode(y.Most),
		LastPickedOn: showDay(y.LastPicked), Text: y.String()}
}

func encodeMissed(n store.MissedNote) *dyelotv1.MissedNote {
	return &dyelotv1.MissedNote{Plant: n.Plant, Part: n.Part, Year: int32(n.Year), Reason: n.Reason, SwatchCode: codeOr('T', n.SwatchID), ColourwayCode: n.Colourway,
		By: n.By, RecordedAt: stamp(n.RecordedAt)}
}

func encodeHarvest(h season.Harvested) *dyelotv1.OwnHarvest {
	return &dyelotv1.OwnHarvest{ParcelCode: h.Parcel, ItemCode: h.Item, PickedOn: showDay(h.Picked), Place: h.Place, Part: h.Part, Fresh: encode(h.Fresh), Dry: encode(h.Dry),
		Ratio: season.DryingOf(h.Plant, h.Part, []season.Harvested{h}).Ratio()}
}
