package api

import (
	"context"
	"fmt"
	"time"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
	"dyelot/inventory/stock"
	"dyelot/server/store"
)

// CountParcel holds what was counted against the book of that moment and sets
// the book right by the difference.
func (s *StockServer) CountParcel(ctx context.Context, req *dyelotv1.CountParcelRequest) (*dyelotv1.CountParcelResponse, error) {
	if req.GetCounted() == nil {
		return nil, fault.BadField("counted", "is needed; 0 where nothing is left")
	}
	counted, err := amountOrNone("counted", req.GetCounted())
	if err != nil {
		return nil, err
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.CountParcelResponse, error) {
		p, err := locked(tx, "parcel_code", req.GetParcelCode())
		if err != nil {
			return nil, err
		}
		at, err := happened(tx, "happened_at", req.GetHappenedAt())
		if err != nil {
			return nil, err
		}
		then, err := bookOf(tx, p, at)
		if err != nil {
			return nil, err
		}
		c, err := stock.Count(p, then, counted)
		if err != nil {
			return nil, err
		}
		c.HappenedAt, c.Reason = at, req.GetReason()
		resp := &dyelotv1.CountParcelResponse{Difference: encode(c.Difference), Book: encode(then.OnHand), Beyond: encode(c.Beyond)}
		if len(c.Legs) > 0 {
			if c.Movement, resp.Shortages, err = book(tx, c.Movement, []stock.Parcel{p}); err != nil {
				return nil, err
			}
			resp.Movement = encodeMovement(c.Movement, tx.By.Name)
		}
		if err := tx.AddCount(store.ShelfCount{ParcelID: p.ID, Counted: counted, Book: then.OnHand, MovementID: c.ID, Reason: c.Reason, By: tx.By.Name, HappenedAt: at}); err != nil {
			return nil, err
		}
		resp.Warnings = encodeWarnings(beyond(p, c))
		resp.Parcel, err = shown(tx, p.ID)
		return resp, err
	})
}

// bookOf is the book of a locked parcel at the moment of a count. What is
// counted now is held against the book as it stands, whatever the clocks of
// others say.
func bookOf(tx *store.Tx, p stock.Parcel, at time.Time) (stock.Moment, error) {
	if !at.Before(tx.Now) {
		return stock.Now(p), nil
	}
	then, err := tx.BookAt(p, at)
	if err != nil {
		return then, err
	}
	zone, err := tx.Zone()
	if err != nil {
		return then, err
	}
	then.At = then.At.In(zone)
	if !then.Came.IsZero() {
		then.Came = then.Came.In(zone)
	}
	if !then.CountedSince.IsZero() {
		then.CountedSince = then.CountedSince.In(zone)
	}
	return then, nil
}

// beyond says of a count that found less than was taken since.
func beyond(p stock.Parcel, c stock.Counted) []recipe.Warning {
	if c.Beyond.N == 0 {
		return nil
	}
	return []recipe.Warning{{Key: "count-beyond", Source: recipe.Source{Mark: recipe.Practice},
		Text: fmt.Sprintf("%s of what was used since the count cannot have been there by it: %s is booked down to nothing and no further; look at the count and at what was recorded after it", c.Beyond, p.Code())}}
}

// overtaken warns of acts that happened before their parcels were last counted
// and are written down only now.
func overtaken(tx *store.Tx, at time.Time, parcels []stock.Parcel) ([]recipe.Warning, error) {
	if len(parcels) == 0 || !at.Before(tx.Now) {
		return nil, nil
	}
	ids := make([]int64, len(parcels))
	for i, p := range parcels {
		ids[i] = p.ID
	}
	last, err := tx.LastCounts(ids)
	if err != nil || len(last) == 0 {
		return nil, err
	}
	zone, err := tx.Zone()
	if err != nil {
		return nil, err
	}
	var said []recipe.Warning
	for _, p := range parcels {
		c, counted := last[p.ID]
		if !counted {
			continue
		}
		if w, is := stock.Overtaken(p, at.In(zone), c.HappenedAt.In(zone), c.Counted); is {
			said = append(said, w)
		}
	}
	return said, nil
}

// WriteOffParcel takes what is spoiled off the shelf, or sends it back.
func (s *StockServer) WriteOffParcel(ctx context.Context, req *dyelotv1.WriteOffParcelRequest) (*dyelotv1.WriteOffParcelResponse, error) {
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.WriteOffParcelResponse, error) {
		p, err := locked(tx, "parcel_code", req.GetParcelCode())
		if err != nil {
			return nil, err
		}
		var gone quantity.Amount // absent: all of it
		if req.GetAmount() != nil {
			if gone, err = amount("amount", req.GetAmount(), p.Item.Unit); err != nil {
				return nil, err
			}
		}
		m, err := stock.WriteOff(p, gone, req.GetReason(), req.GetSendBack())
		if err != nil {
			return nil, err
		}
		if m.HappenedAt, err = happened(tx, "happened_at", req.GetHappenedAt()); err != nil {
			return nil, err
		}
		m, struck, err := book(tx, m, []stock.Parcel{p})
		if err != nil {
			return nil, err
		}
		late, err := overtaken(tx, m.HappenedAt, []stock.Parcel{p})
		if err != nil {
			return nil, err
		}
		parcel, err := shown(tx, p.ID)
		return &dyelotv1.WriteOffParcelResponse{Parcel: parcel, Movement: encodeMovement(m, tx.By.Name), Shortages: struck, Warnings: encodeWarnings(late)}, err
	})
}
