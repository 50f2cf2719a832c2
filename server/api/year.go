package api

import (
	"context"
	"time"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/inventory/stock"
	"dyelot/server/store"
)

// GetYear shows what became of each parcel between two days, both included.
func (s *LogbookServer) GetYear(ctx context.Context, req *dyelotv1.GetYearRequest) (*dyelotv1.GetYearResponse, error) {
	first, err := neededDay("from", req.GetFrom())
	if err != nil {
		return nil, err
	}
	last, err := neededDay("to", req.GetTo())
	if err != nil {
		return nil, err
	}
	if last.Before(first) {
		return nil, fault.BadField("to", "%s is before %s", showDay(last), showDay(first))
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.GetYearResponse, error) {
		zone, err := tx.Zone()
		if err != nil {
			return nil, err
		}
		if req.GetItemCode() != "" {
			if _, err := tx.ItemByCode(req.GetItemCode()); err != nil {
				return nil, fault.In("item_code", err)
			}
		}
		parcels, err := tx.Year(midnight(first, zone), midnight(last.AddDate(0, 0, 1), zone), req.GetItemCode())
		if err != nil {
			return nil, err
		}
		return &dyelotv1.GetYearResponse{From: showDay(first), To: showDay(last), Items: encodeYear(parcels)}, nil
	})
}

func neededDay(field, s string) (time.Time, error) {
	if err := needed(field, s); err != nil {
		return time.Time{}, err
	}
	return day(field, s)
}

// midnight begins a day in a zone.
func midnight(d time.Time, zone *time.Location) time.Time {
	return time.Date(d.Year(), d.Month(), d.Day(), 0, 0, 0, 0, zone).UTC()
}

// encodeYear sums the parcels of each item; they come item by item.
func encodeYear(parcels []store.YearOfParcel) []*dyelotv1.YearItem {
	var items []*dyelotv1.YearItem
	var sum stock.Year
	for i, p := range parcels {
		if i == 0 || p.ItemCode != parcels[i-1].ItemCode {
			items, sum = append(items, &dyelotv1.YearItem{}), stock.Year{}
		}
		item := items[len(items)-1]
		sum = sum.Plus(p.Year)
		item.Sum = encodeYearLine(p, sum)
		line := encodeYearLine(p, p.Year)
		line.ParcelCode = store.Code('P', p.ParcelID)
		if c := p.Last; c != nil {
			line.LastCount = &dyelotv1.Count{Counted: encode(c.Counted), Book: encode(c.Book), Difference: encode(c.Counted.Sub(c.Book)),
				HappenedAt: stamp(c.HappenedAt), Reason: c.Reason, By: c.By}
		}
		item.Parcels = append(item.Parcels, line)
	}
	return items
}

func encodeYearLine(p store.YearOfParcel, y stock.Year) *dyelotv1.YearLine {
	return &dyelotv1.YearLine{ItemCode: p.ItemCode, ItemName: p.ItemName, ItemKind: p.ItemKind, Opening: encode(y.Opening), In: encode(y.In), Found: encode(y.Found),
		Used: encode(y.Used), Spoiled: encode(y.Spoiled), SentBack: encode(y.SentBack), Counted: encode(y.Counted), Book: encode(y.Book()), Late: y.Late}
}
