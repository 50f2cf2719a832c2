package api

import (
	"math"
	"strings"
	"time"

	"dyelot/inventory/fault"
	"dyelot/inventory/stock"
	"dyelot/server/store"
)

// collectionNeeds are what collections want that no run was planned for, summed
// by item, collection and day, as the reorder list reads them. A solution that
// the studio makes is asked for by its parts.
func collectionNeeds(tx *store.Tx) ([]stock.Need, error) {
	collections, err := tx.Collections("", math.MaxInt32)
	if err != nil || len(collections) == 0 {
		return nil, err
	}
	p, err := planSeason(tx, collections, seasonAsk{})
	if f, bad := fault.Of(err); bad && strings.HasPrefix(f.Field, "makings[") { // a circle of solutions stops no list
		p, err = planSeason(tx, collections, seasonAsk{bought: true})
	}
	if err != nil {
		return nil, err
	}
	type key struct {
		item       int64
		collection string
		on         time.Time
	}
	at := map[key]int{}
	var needs []stock.Need
	for _, c := range p.covered {
		if _, made := p.makings[c.Item.ID]; made {
			continue
		}
		for _, n := range c.Needs {
			if n.Collection == "" {
				continue // of an open run: the list has those already
			}
			k := key{n.ItemID, n.Collection, n.On}
			i, had := at[k]
			if !had {
				i = len(needs)
				at[k] = i
				needs = append(needs, stock.Need{ItemID: n.ItemID, DueOn: n.On, For: n.Collection, Short: c.Item.Zero()})
			}
			needs[i].Short = needs[i].Short.Add(n.Amount)
		}
	}
	return needs, nil
}
