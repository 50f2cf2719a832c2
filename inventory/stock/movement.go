package stock

import (
	"strconv"
	"time"

	"dyelot/inventory/quantity"
)

// Place is where stock lies or goes. Every leg has the shelf on one side.
type Place string

// The places.
const (
	Shelf      Place = "shelf"
	Supplier   Place = "supplier"
	Field      Place = "field"      // where plants grow
	InMaking   Place = "making"     // into or out of a making
	Process    Place = "process"    // a pot, or a lot of garments
	Loss       Place = "loss"       // spilt, mouldy, thrown away
	Difference Place = "difference" // what a count or a scale says against the book
)

// Act is what kind of movement it is.
type Act string

// The acts.
const (
	ActDelivery Act = "delivery"
	ActHarvest  Act = "harvest"
	ActMaking   Act = "making"
	ActUse      Act = "use"
	ActCount    Act = "count"
	ActWriteOff Act = "write-off"
	ActSendBack Act = "send-back"
	ActReversal Act = "reversal"
)

// Leg moves one amount of one parcel from a place to a place: minus on one
// side, plus on the other, so every parcel sums to zero in every movement.
type Leg struct {
	ParcelID int64
	From, To Place
	Amount   quantity.Amount // above zero
}

// Movement is one act on the shelf. It never changes; a reversal corrects it.
type Movement struct {
	ID         int64
	Kind       Act
	HappenedAt time.Time
	RecordedAt time.Time
	ByName     string // who did it; whoever records it where empty
	Reason     string
	// Exactly one of RecordID, LotID and EntryID is set for a use, none otherwise.
	RecordID     int64 // the stage record it was used for
	LotID        int64 // the lot it was issued to
	EntryID      int64 // the entry of a bath's diary it was fed by
	MadeParcelID int64 // makings: the parcel that was made
	ReversesID   int64 // reversals: the movement it takes back …
	ReversesKind Act   // … and that one's kind
	ReversedByID int64 // zero while it stands; answers only
	Legs         []Leg
}

// Code is "M12".
func (m Movement) Code() string { return "M" + strconv.FormatInt(m.ID, 10) }

// OnShelf is what the legs change on the shelf of each parcel.
func OnShelf(legs []Leg) map[int64]quantity.Amount {
	d := map[int64]quantity.Amount{}
	for _, l := range legs {
		if l.To == Shelf {
			d[l.ParcelID] = d[l.ParcelID].Add(l.Amount)
		} else {
			d[l.ParcelID] = d[l.ParcelID].Sub(l.Amount)
		}
	}
	return d
}

// Found is how much of a parcel the legs book as found: what was there though
// the book held less. It is zero where the book was right.
func Found(legs []Leg, parcelID int64) quantity.Amount {
	var found quantity.Amount
	for _, l := range legs {
		if l.ParcelID == parcelID && l.From == Difference {
			found = found.Add(l.Amount)
		}
	}
	return found
}
