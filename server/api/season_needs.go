package api

import (
	"context"
	"math"
	"regexp"
	"strconv"
	"strings"
	"time"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/season"
	"dyelot/server/store"
)

// needsAsk is a decoded request for needs.
type needsAsk struct {
	seasonAsk
	collections []string
	from        time.Time // a Monday; zero: all
	item        string
}

// PlanNeeds: see the contract.
func (s *SeasonServer) PlanNeeds(ctx context.Context, req *dyelotv1.PlanNeedsRequest) (*dyelotv1.PlanNeedsResponse, error) {
	ask, err := decodeNeeds(req)
	if err != nil {
		return nil, err
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.PlanNeedsResponse, error) {
		collections, err := ask.load(tx)
		if err != nil {
			return nil, err
		}
		p, err := planSeason(tx, collections, ask.seasonAsk)
		if err != nil {
			return nil, err
		}
		covered, err := ask.chosen(tx, p)
		if err != nil {
			return nil, err
		}
		ids := make([]int64, len(covered))
		for i, c := range covered {
			ids[i] = c.Item.ID
		}
		use, err := tx.UseBeyondPlan(ids)
		if err != nil {
			return nil, err
		}
		resp := ask.head(p, collections)
		for _, c := range covered {
			m, err := p.encodeNeeds(c, ask, use[c.Item.ID])
			if err != nil {
				return nil, err
			}
			resp.Items = append(resp.Items, m)
		}
		return resp, nil
	})
}

func decodeNeeds(req *dyelotv1.PlanNeedsRequest) (ask needsAsk, err error) {
	ask.collections, ask.item, ask.kept = req.GetCollectionCodes(), strings.ToLower(strings.TrimSpace(req.GetItemCode())), map[string]quantity.Percent{}
	if ask.from, err = mondayOf("from_week", req.GetFromWeek()); err != nil {
		return ask, err
	}
	last, err := mondayOf("to_week", req.GetToWeek())
	if err != nil {
		return ask, err
	}
	if !last.IsZero() {
		ask.until = last.AddDate(0, 0, 6)
	}
	if !last.IsZero() && ask.from.After(last) {
		return ask, fault.BadField("from_week", "%s lies after %s", req.GetFromWeek(), req.GetToWeek())
	}
	for code, text := range req.GetKeptPercent() {
		share, _, err := percent("kept_percent["+code+"]", text)
		if err != nil {
			return ask, err
		}
		if share < 0 {
			return ask, fault.BadField("kept_percent["+code+"]", "%s %% is below zero", text)
		}
		ask.kept[code] = share
	}
	ask.witness, err = amountOrNone("witness_each", req.GetWitnessEach(), quantity.Mass)
	return ask, err
}

var isoWeek = regexp.MustCompile(`^(\d{4})-?[Ww](\d{2})$`)

// mondayOf reads "2027-W19", or a day in it, as its Monday; empty is the zero time.
func mondayOf(field, text string) (time.Time, error) {
	m := isoWeek.FindStringSubmatch(strings.TrimSpace(text))
	if m == nil {
		d, err := day(field, strings.TrimSpace(text))
		if err != nil {
			return d, fault.BadField(field, "%.40q is neither a week such as 2027-W19 nor a day", text)
		}
		if d.IsZero() {
			return d, nil
		}
		return season.Monday(d), nil
	}
	year, _ := strconv.Atoi(m[1]) // digits, says the pattern
	n, _ := strconv.Atoi(m[2])
	monday := season.Monday(time.Date(year, 1, 4, 0, 0, 0, 0, time.UTC)).AddDate(0, 0, 7*(n-1)) // 4 January is in the first week
	if y, w := monday.ISOWeek(); y != year || w != n || year < 1900 || year > 2200 {
		return time.Time{}, fault.BadField(field, "%d has no week %d", year, n)
	}
	return monday, nil
}

// load finds the collections asked for; all where none is named.
func (a needsAsk) load(tx *store.Tx) ([]store.Collection, error) {
	if len(a.collections) == 0 {
		return tx.Collections("", math.MaxInt32)
	}
	var all []store.Collection
	seen := map[string]bool{}
	for _, code := range a.collections {
		if seen[code] {
			continue
		}
		seen[code] = true
		c, err := tx.CollectionByCode(code)
		if err != nil {
			return nil, onField("collection_codes", err)
		}
		all = append(all, c)
	}
	return all, nil
}

// chosen are the items to tell: all, or the one asked for, even where nothing
// needs it.
func (a needsAsk) chosen(tx *store.Tx, p seasonPlan) ([]season.Covered, error) {
	if a.item == "" {
		return p.covered, nil
	}
	for _, c := range p.covered {
		if c.Item.Code == a.item {
			return []season.Covered{c}, nil
		}
	}
	it, err := tx.ItemByCode(a.item)
	if err != nil {
		return nil, onField("item_code", err)
	}
	zero := it.Zero()
	return []season.Covered{{Item: it, Needed: zero, Free: zero.Add(it.Usable), Arriving: zero, Lost: zero, Short: zero}}, nil
}

// head is all but the items.
func (a needsAsk) head(p seasonPlan, collections []store.Collection) *dyelotv1.PlanNeedsResponse {
	resp := &dyelotv1.PlanNeedsResponse{Today: showDay(p.today), Spares: p.exploded.Spares, Notes: p.exploded.Notes, DyePots: int32(p.pots)}
	for _, c := range collections {
		resp.CollectionCodes = append(resp.CollectionCodes, c.Code)
	}
	for _, n := range p.lines {
		resp.Pieces += int32(n.Pieces)
		resp.Planned += int32(n.Planned)
	}
	for _, l := range p.exploded.Pots {
		if l.Week.Before(a.from) || (!a.until.IsZero() && l.Week.After(a.until)) {
			continue
		}
		name := season.WeekName(l.Week)
		if n := len(resp.Pots); n == 0 || resp.Pots[n-1].Week != name {
			resp.Pots = append(resp.Pots, &dyelotv1.PotWeek{Week: name, Monday: showDay(l.Week)})
		}
		w := resp.Pots[len(resp.Pots)-1]
		w.Loads += int32(l.Loads)
		w.PotDays += int32(l.PotDays)
		w.ColourwayCodes = append(w.ColourwayCodes, l.Colourway)
	}
	return resp
}
