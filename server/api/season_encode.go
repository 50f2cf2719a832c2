package api

import (
	"math"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/quantity"
	"dyelot/inventory/season"
	"dyelot/inventory/stock"
)

func (p seasonPlan) encodeNeeds(c season.Covered, ask needsAsk, use []float64) (*dyelotv1.ItemNeeds, error) {
	m := &dyelotv1.ItemNeeds{
		ItemCode: c.Item.Code, ItemName: c.Item.Name, ItemKind: string(c.Item.Kind), Needed: encode(c.Needed), Free: encode(c.Free), Arriving: encode(c.Arriving),
		OutOfDate: encode(c.Lost), Short: encode(c.Short), ShortBy: showDay(c.ShortBy), Late: !c.ShortBy.IsZero() && c.ShortBy.Before(p.today), PassedOver: p.passed[c.Item.ID],
	}
	if c.Short.N > 0 {
		m.ShortFirst = encode(c.First)
	}
	for _, w := range c.Weeks {
		if !w.PastDue && w.Monday.Before(ask.from) {
			continue
		}
		row := &dyelotv1.NeedWeek{Monday: showDay(w.Monday), PastDue: w.PastDue, Needed: encode(w.Needed), Arriving: encode(w.Arriving),
			OutOfDate: encode(w.Lost), Short: encode(w.Short), Left: encode(w.Left)}
		if !w.PastDue {
			row.Week = season.WeekName(w.Monday)
		}
		m.Weeks = append(m.Weeks, row)
	}
	if ask.item != "" {
		for _, n := range c.Needs {
			m.Why = append(m.Why, &dyelotv1.NeedReason{Amount: encode(n.Amount), On: showDay(n.On), For: n.For, CollectionCode: n.Collection, ColourwayCode: n.Colourway, Text: n.Why})
		}
	}
	var err error
	m.Beyond, err = encodeBeyond(c.Item, use)
	return m, err
}

// encodeBeyond tells the use beside the plan, as a range of two figures, down
// and up: nobody reads a third one of a forecast.
func encodeBeyond(it stock.Item, use []float64) (*dyelotv1.BeyondPlan, error) {
	b, err := season.BeyondPlan(inUnit(use, it.Unit))
	if err != nil {
		return nil, err
	}
	m := &dyelotv1.BeyondPlan{Method: string(b.Method), Months: int32(b.Months), MonthsWithUse: int32(b.Used), Text: b.Why, Minimum: encode(it.Zero().Add(it.Terms.Minimum))}
	if b.Method != season.Nothing {
		low, high := twoFigures(b.Low, math.Floor), twoFigures(b.High, math.Ceil)
		if it.Unit == quantity.Count {
			low, high = math.Floor(low), math.Ceil(high)
		}
		m.Low, m.High = encode(inSteps(low, it.Unit)), encode(inSteps(high, it.Unit))
	}
	return m, nil
}

// stepsOf is how many smallest steps are one gram, millilitre or piece.
var stepsOf = map[quantity.Unit]float64{quantity.Mass: 1e6, quantity.Volume: 1e3, quantity.Count: 1}

func inUnit(steps []float64, u quantity.Unit) []float64 {
	all := make([]float64, len(steps))
	for i, n := range steps {
		all[i] = n / stepsOf[u]
	}
	return all
}

func inSteps(v float64, u quantity.Unit) quantity.Amount {
	return quantity.Amount{N: int64(math.Round(min(v*stepsOf[u], quantity.Max))), Unit: u}
}

// twoFigures rounds to two digits, at least to a hundredth.
func twoFigures(v float64, round func(float64) float64) float64 {
	if v <= 0 {
		return 0
	}
	step := math.Pow(10, max(-2, math.Floor(math.Log10(v))-1))
	return round(v/step) * step
}
