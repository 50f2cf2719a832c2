package calc

import (
	"fmt"
	"math/big"
	"strings"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/season"
)

var pots = calculation{
	name:  "pots",
	short: "Lay sets into the fewest pots",
	long: `Which sets share a pot, in the fewest loads and then the least capacity. A set
stays together, and each pot may be used as often as it is needed. Masses are
those of air-dry fibre, kept to the microgram; a pot's is what it holds at its
liquor ratio. With flags a pot or a set is ID:MASS, or its mass alone.
The search ends after 18 s with the best it has found, and says so.`,
	example: `dyelot calc pots --pots pot-40:800,pot-30:600 --sets first:541,second:539`,
	says:    `2 loads, and no fewer are possible:`,
	document: `{"pots": [{"id": "pot-40", "mass_g": 800}, {"id": "pot-30", "mass_g": 600}],
"sets": [{"id": "first", "mass_g": 541}, {"id": "second", "mass_g": 539}]}`,
	ask: func() question { return &potsQuestion{} },
}

// holding is a pot or a set: an id, given back as it came, and a mass.
type holding struct {
	id   any
	mass *big.Rat
}

func (h *holding) fields() []field {
	return []field{
		need("id", "a name of its own", anID(&h.id)),
		need("mass_g", "air-dry fibre in g", anExact(&h.mass)),
	}
}

// name is the id as text; two ids that read alike are the same.
func (h holding) name() string { return fmt.Sprint(h.id) }

func holdings(into *[]holding) value {
	return value{"list", func(at string, v any) error {
		if err := objectsIn(at, v, into, (*holding).fields); err != nil {
			return err
		}
		seen := map[string]int{}
		for i, h := range *into {
			if first, twice := seen[h.name()]; twice {
				return fault.BadField(entry(at, i)+".id", "%q is %s's already", clip(h.name()), entry(at, first))
			}
			seen[h.name()] = i
		}
		return nil
	}, holdingsTold}
}

// holdingsTold reads "pot-40:800,pot-30:600", or "24,44,76" whose ids are the
// places in the list.
func holdingsTold(texts []string) (any, error) {
	list := []any{}
	for i, word := range strings.Split(strings.Join(texts, ","), ",") {
		id, mass := fmt.Sprint(i+1), word
		if colon := strings.LastIndex(word, ":"); colon >= 0 {
			id, mass = strings.TrimSpace(word[:colon]), word[colon+1:]
		}
		list = append(list, objectOf("id", id, "mass_g", numberOf(mass)))
	}
	return list, nil
}

type potsQuestion struct{ pots, sets []holding }

func (q *potsQuestion) fields() []field {
	return []field{
		need("pots", "pots, each with its id and the g of fibre it holds", holdings(&q.pots)),
		need("sets", "sets, each with its id and its g of fibre", holdings(&q.sets)),
	}
}

func (q *potsQuestion) answer(stop func() bool) (answer, error) {
	var pots []season.Pot
	var sets []season.Set
	for i, h := range q.pots {
		m, err := massOf(entry("pots", i), h.mass)
		if err != nil {
			return nil, err
		}
		pots = append(pots, season.Pot{ID: h.name(), Mass: m})
	}
	for i, h := range q.sets {
		m, err := massOf(entry("sets", i), h.mass)
		if err != nil {
			return nil, err
		}
		sets = append(sets, season.Set{ID: h.name(), Mass: m})
	}
	p, err := season.Pack(pots, sets, season.Limit{Stop: stop})
	if err != nil {
		return nil, err
	}
	return q.answerOf(p), nil
}

// massOf is a mass in µg, half-even; a set of nothing is none.
func massOf(at string, r *big.Rat) (int64, error) {
	a, err := quantity.Parse(r.FloatString(12), "g")
	if f, ok := fault.Of(err); ok {
		return 0, f.At(at + ".mass_g")
	}
	if err == nil && a.N <= 0 {
		err = fault.BadField(at+".mass_g", "%s g is no mass of fibre: more than 0 is needed", num(r))
	}
	return a.N, err
}

func (q *potsQuestion) answerOf(p season.Packing) *potsAnswer {
	ids := func(list []holding) map[string]holding {
		of := map[string]holding{}
		for _, h := range list {
			of[h.name()] = h
		}
		return of
	}
	pots, sets := ids(q.pots), ids(q.sets)
	a := &potsAnswer{Count: len(p.Loads), Optimal: p.Optimal}
	for _, l := range p.Loads {
		one := load{Pot: pots[l.Pot].id, holds: pots[l.Pot].mass, filled: new(big.Rat)}
		for _, name := range l.Sets {
			one.Sets = append(one.Sets, sets[name].id)
			one.filled.Add(one.filled, sets[name].mass)
		}
		a.Loads = append(a.Loads, one)
	}
	return a
}

type load struct {
	holds, filled *big.Rat

	Pot  any   `json:"pot"`
	Sets []any `json:"sets"`
}

type potsAnswer struct {
	Loads   []load `json:"loads"`
	Count   int    `json:"count"`
	Optimal bool   `json:"optimal"`
}

func (a *potsAnswer) tell(p *page) {
	how := ", and no fewer are possible"
	if !a.Optimal {
		how = ", the best found in the time: fewer, or smaller pots, may be possible"
	}
	p.note("%s%s:", counted(int64(a.Count), "load"), how)
	var rows [][2]string
	for i, l := range a.Loads {
		var names []string
		for _, id := range l.Sets {
			names = append(names, fmt.Sprint(id))
		}
		rows = append(rows, [2]string{fmt.Sprint("load ", i+1), fmt.Sprintf("%s of %s"+nbsp+"g in %v: %s", num(l.filled), num(l.holds), l.Pot, joined(names))})
	}
	p.rows(rows...)
	p.note("Air-dry fibre, witness cloth included where it was counted. Fewest loads first, then the least capacity; the same liquor ratio for all.")
}
