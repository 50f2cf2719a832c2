package stock

import (
	"strconv"
	"strings"
	"time"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
)

// Promise keeps an amount of one parcel aside: for a planned dose, for a lot's
// blanks and witness cloth, or, with neither, by hand.
type Promise struct {
	ID       int64
	ParcelID int64
	DoseID   int64 // the planned dose it is for
	LotID    int64 // the lot whose blanks or witness cloth it is
	// LotIDs are the lots it serves: that one lot, or all that share the dose's
	// bath. Empty by hand. Answers only.
	LotIDs      []int64
	Purpose     string
	Outstanding quantity.Amount // what is still kept aside
	MadeAt      time.Time
}

// ByHand is true of a promise that no lot holds.
func (p Promise) ByHand() bool { return p.DoseID == 0 && p.LotID == 0 }

// Of is whom it is for: "H2" by hand, "L3", or "L3, L4" for a shared bath.
func (p Promise) Of() string {
	if p.ByHand() {
		return "H" + strconv.FormatInt(p.ID, 10)
	}
	lots := make([]string, len(p.LotIDs))
	for i, id := range p.LotIDs {
		lots[i] = "L" + strconv.FormatInt(id, 10)
	}
	return strings.Join(lots, ", ")
}

// Why is what a promise entry is about.
type Why string

// The reasons. Made and Restored add, the others take away.
const (
	Made     Why = "made"
	Used     Why = "used"     // what it was for has been done
	Unused   Why = "unused"   // that took less, the rest goes free
	Eaten    Why = "eaten"    // the stock behind it is gone
	Released Why = "released" // given back unasked
	Restored Why = "restored" // what was done with it was taken back
)

// PromiseEntry changes what a promise still keeps aside.
type PromiseEntry struct {
	PromiseID int64
	Delta     int64 // in the smallest step of the parcel's unit, never zero
	Why       Why
}

// MayPromise refuses (fault.Refused) to keep aside what is not there (law 2):
// STOCK_SHORT says what was asked and what is free. A damp, blocked or
// out-of-date parcel is refused as Usable says.
func MayPromise(p Parcel, amount quantity.Amount, today time.Time) error {
	if err := p.Usable(today); err != nil {
		return err
	}
	if free := p.Free(); amount.N > free.N {
		return fault.Refuse("STOCK_SHORT", "%s has %s free of %s on hand, %s was asked: %s short", p.Code(), free, p.OnHand, amount, amount.Sub(free)).
			With("parcel", p.Code()).With("asked", amount.String()).With("free", free.String()).With("short", amount.Sub(free).String())
	}
	return nil
}

// Release gives back a promise made by hand. Refused: PROMISE_OF_A_LOT for one
// that a lot holds, PROMISE_SPENT where nothing of it is left.
func Release(p Promise) (PromiseEntry, error) {
	switch {
	case !p.ByHand():
		return PromiseEntry{}, fault.Refuse("PROMISE_OF_A_LOT", "that promise is for %s: pick its run anew or cancel it", p.Of())
	case p.Outstanding.N <= 0:
		return PromiseEntry{}, fault.Refuse("PROMISE_SPENT", "%s has been used, eaten or released already", p.Of())
	}
	return PromiseEntry{p.ID, -p.Outstanding.N, Released}, nil
}

// MayBlock refuses (fault.Refused) to lift a block that is not there,
// NOT_BLOCKED; and (fault.Invalid, field "reason") a block without a reason.
func MayBlock(p Parcel, reason string, lift bool) error {
	switch {
	case lift && p.Blocked == "":
		return fault.Refuse("NOT_BLOCKED", "%s is not blocked", p.Code())
	case !lift && strings.TrimSpace(reason) == "":
		return fault.BadField("reason", "is needed: why %s may not be used", p.Code())
	}
	return nil
}
