package stock

import "dyelot/inventory/quantity"

// Year is what became of a parcel, or of all parcels of an item, between two
// days: opening + in + found − used − spoiled − sent back + counted = book.
type Year struct {
	Opening  quantity.Amount
	In       quantity.Amount // delivered, gathered, made
	Found    quantity.Amount // beyond what the book held, when it was weighed out
	Used     quantity.Amount // in a pot, on a lot, in a making
	Spoiled  quantity.Amount
	SentBack quantity.Amount
	Counted  quantity.Amount // what counts said against the book; below zero: less
	// Late: something of it was written down after the last day.
	Late bool
}

// Flow is a sum of postings of one kind. A reversal carries the kind of what it
// takes back, and happened when that did: what was taken back is as if it had
// not been, at the time it had been booked for. Otherwise correcting a record
// of December in January would leave the old year with both.
type Flow struct {
	Kind     Act
	From, To Place
	Reversal bool
	Before   bool // before the first day
	Amount   quantity.Amount
	Late     bool
}

// Add puts a flow into its column.
func (y *Year) Add(f Flow) {
	onto := f.Amount
	if f.From == Shelf {
		onto = quantity.Amount{}.Sub(f.Amount)
	}
	if f.Before {
		y.Opening = y.Opening.Add(onto)
		return
	}
	y.Late = y.Late || f.Late
	column, away := y.column(f)
	if away {
		onto = quantity.Amount{}.Sub(onto)
	}
	*column = column.Add(onto)
}

// column of a flow; away is true where the column counts what left the shelf.
func (y *Year) column(f Flow) (column *quantity.Amount, away bool) {
	came := (f.To == Shelf) != f.Reversal // as the act was, before it was taken back
	switch {
	case f.Kind == ActCount:
		return &y.Counted, false
	case f.Kind == ActWriteOff:
		return &y.Spoiled, true
	case f.Kind == ActSendBack:
		return &y.SentBack, true
	case !came:
		return &y.Used, true
	case f.From == Difference || f.To == Difference:
		return &y.Found, false
	}
	return &y.In, false
}

// Book is what the book holds after the last day.
func (y Year) Book() quantity.Amount {
	return y.Opening.Add(y.In).Add(y.Found).Sub(y.Used).Sub(y.Spoiled).Sub(y.SentBack).Add(y.Counted)
}

// Plus sums two parcels of one item.
func (y Year) Plus(o Year) Year {
	return Year{y.Opening.Add(o.Opening), y.In.Add(o.In), y.Found.Add(o.Found), y.Used.Add(o.Used), y.Spoiled.Add(o.Spoiled), y.SentBack.Add(o.SentBack),
		y.Counted.Add(o.Counted), y.Late || o.Late}
}

// Still is true of a parcel that held nothing at the opening and did not move.
func (y Year) Still() bool {
	for _, a := range []quantity.Amount{y.Opening, y.In, y.Found, y.Used, y.Spoiled, y.SentBack, y.Counted} {
		if a.N != 0 {
			return false
		}
	}
	return true
}

// inUnit gives every column the item's unit, so that none is absent.
func (y Year) inUnit(u quantity.Unit) Year {
	zero := Year{}
	for _, a := range []*quantity.Amount{&zero.Opening, &zero.In, &zero.Found, &zero.Used, &zero.Spoiled, &zero.SentBack, &zero.Counted} {
		a.Unit = u
	}
	return y.Plus(zero)
}

// YearOf sums flows of one parcel in its unit.
func YearOf(u quantity.Unit, flows []Flow) Year {
	var y Year
	for _, f := range flows {
		y.Add(f)
	}
	return y.inUnit(u)
}
