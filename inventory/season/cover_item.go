package season

import (
	"slices"
	"time"

	"dyelot/inventory/quantity"
)

// period is one day on which an item is needed, and all that happened since the
// one before.
type period struct {
	on        time.Time // as it was wanted
	needed    int64
	arriving  int64
	lost      int64
	net, left int64
	first     Need // of that day
}

// cover nets one item.
func cover(today time.Time, needs []Need, shelf Shelf, coming []Arriving) (Covered, []short, error) {
	needs = slices.Clone(needs)
	slices.SortStableFunc(needs, func(a, b Need) int { return a.On.Compare(b.On) })
	zero := shelf.Item.Zero()
	c := Covered{Item: shelf.Item, Needed: zero, Free: zero, Arriving: zero, Lost: zero, Short: zero, First: zero, Needs: needs}
	periods := periodsOf(needs)
	for _, h := range shelf.Held {
		c.Free = c.Free.Add(h.Amount)
	}
	arrive(periods, coming, today)
	expire(periods, shelf.Held, today)
	if err := net(periods, c.Free.N); err != nil {
		return c, nil, err
	}
	var shorts []short
	for _, p := range periods {
		c.Needed.N += p.needed
		c.Arriving.N += p.arriving
		c.Lost.N += p.lost
		c.Short.N += p.net
		if p.net > 0 {
			if len(shorts) == 0 {
				c.ShortBy, c.First = p.on, quantity.Amount{N: p.net, Unit: zero.Unit}
			}
			shorts = append(shorts, short{p.on, quantity.Amount{N: p.net, Unit: zero.Unit}, p.first.Collection})
		}
	}
	c.Weeks = weeksOf(periods, today, zero)
	return c, shorts, nil
}

// periodsOf makes one period of each day; needs come by day.
func periodsOf(needs []Need) []period {
	var ps []period
	for _, n := range needs {
		if len(ps) == 0 || !ps[len(ps)-1].on.Equal(n.On) {
			ps = append(ps, period{on: n.On, first: n})
		}
		ps[len(ps)-1].needed += n.Amount.N
	}
	return ps
}

// arrive books what is on order into the first period that it is there for.
// What should have come already is counted as of today; what comes after the
// last need covers nothing.
func arrive(ps []period, coming []Arriving, today time.Time) {
	for _, a := range coming {
		for i := range ps {
			if !notBefore(ps[i].on, today).Before(a.On) {
				ps[i].arriving += a.Amount.N
				break
			}
		}
	}
}

// expire finds what of the parcels goes out of date before it is used: each
// period takes what is still good, the soonest to go first, and what is past its
// day by the next one is lost there.
func expire(ps []period, held []Held, today time.Time) {
	parcels := slices.Clone(held)
	slices.SortStableFunc(parcels, func(a, b Held) int {
		if a.Until.IsZero() != b.Until.IsZero() {
			if a.Until.IsZero() {
				return 1
			}
			return -1
		}
		return a.Until.Compare(b.Until)
	})
	next := 0
	for i := range ps {
		day := notBefore(ps[i].on, today)
		for ; next < len(parcels) && !parcels[next].Until.IsZero() && parcels[next].Until.Before(day); next++ {
			ps[i].lost += parcels[next].Amount.N
		}
		wanted := ps[i].needed
		for j := next; j < len(parcels) && wanted > 0; j++ {
			take := min(wanted, parcels[j].Amount.N)
			parcels[j].Amount.N -= take
			wanted -= take
			if parcels[j].Amount.N == 0 && j == next {
				next++
			}
		}
	}
}

// net runs the periods through Net: what is lost leaves the shelf with what is
// needed.
func net(ps []period, free int64) error {
	n := Needs{OnHand: rat(free)}
	for _, p := range ps {
		n.Gross = append(n.Gross, rat(p.needed+p.lost))
		n.Scheduled = append(n.Scheduled, rat(p.arriving))
	}
	plan, err := Net(n)
	if err != nil {
		return err
	}
	for i := range ps { // all of them whole numbers of the smallest step
		ps[i].net, ps[i].left = plan.Net[i].Num().Int64(), plan.Projected[i].Num().Int64()
	}
	return nil
}

// weeksOf sums the periods by ISO week, all of before today ahead in one row.
func weeksOf(ps []period, today time.Time, zero quantity.Amount) []CoveredWeek {
	var weeks []CoveredWeek
	for _, p := range ps {
		past, monday := p.on.Before(today), Monday(p.on)
		if last := len(weeks) - 1; last < 0 || weeks[last].PastDue != past || (!past && !weeks[last].Monday.Equal(monday)) {
			weeks = append(weeks, CoveredWeek{Monday: monday, PastDue: past, Needed: zero, Arriving: zero, Lost: zero, Short: zero})
		}
		w := &weeks[len(weeks)-1]
		w.Needed.N += p.needed
		w.Arriving.N += p.arriving
		w.Lost.N += p.lost
		w.Short.N += p.net
		w.Left = quantity.Amount{N: p.left, Unit: zero.Unit}
	}
	return weeks
}

func notBefore(a, b time.Time) time.Time {
	if a.Before(b) {
		return b
	}
	return a
}
