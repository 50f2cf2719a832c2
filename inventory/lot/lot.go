package lot

import (
	"slices"
	"time"

	"dyelot/inventory/quantity"
)

// Lot is the garments of a run dyed together in one pot.
type Lot struct {
	ID            int64
	RunID         int64
	Code          string
	State         State
	Pot           Pot
	GarmentMass   quantity.Amount // air-dry
	WitnessMass   quantity.Amount // air-dry; it counts in the mass weighed
	WitnessParcel int64           // zero where there is none
	Bath          quantity.Amount
	IssuedAt      time.Time // zero until its blanks left the shelf
	LeftOut       []LeftOut // stages of its recipe that its cloth had before
}

// Fibre is all that the doses are reckoned on: garments and witness cloth,
// air-dry.
func (l Lot) Fibre() quantity.Amount { return l.GarmentMass.Add(l.WitnessMass) }

// Garment is one piece with its own tag.
type Garment struct {
	ID       int64
	Tag      string
	LotID    int64
	ParcelID int64 // the delivery that it came undyed from
	Dry      quantity.Amount
	Place    Place
	Outcome  string // of a verdict on this very garment; else its lot's holds
	OrderRef string // while it is sold
	// CommissionID is whose customer it belongs to; zero for the studio's own.
	CommissionID int64
	// Next is the lot that it is planned into, where it is to be dyed again; zero
	// else. Until that lot is issued the garment stays where it is.
	Next int64

	// For people, answers only.
	ItemCode string
	Style    string
	Size     string
}

// In is true of a garment of a lot, and of one that is planned into it.
func (g Garment) In(lotID int64) bool { return g.LotID == lotID || g.Next == lotID }

// Place is where a garment is.
type Place string

// The places.
const (
	PlacePlanned  Place = "planned"
	PlaceInWork   Place = "in-work"
	PlaceShelf    Place = "shelf"
	PlaceSold     Place = "sold"
	PlaceReturned Place = "returned"
	PlaceScrapped Place = "scrapped"
	PlacePartDone Place = "part-done" // mordanted, on the shelf, waiting for its plant
	PlaceGone     Place = "cancelled" // never dyed: its run was cancelled
	// PlaceGivenBack is with the customer whose own it is.
	PlaceGivenBack Place = "given-back"
)

// Words is the place as it is said after "it is".
func (p Place) Words() string { return State(p).Words() }

// Bath is one planned bath of a run: a stage of the recipe for one lot, or for
// all of them.
type Bath struct {
	ID       int64
	Position int
	Kind     Kind
	Shared   bool
	Lots     []BathLot
	Vessel   Pot // ID zero where none was named
	Volume   quantity.Amount
	Celsius  int // zero: not said
	Minutes  int
	PHLow    *int // hundredths
	PHHigh   *int
	Note     string
	Doses    []Dose
}

// BathLot is one lot's fibre in a bath.
type BathLot struct {
	LotID int64
	Fibre quantity.Amount
}

// Fibre is all the fibre that the bath serves.
func (b Bath) Fibre() quantity.Amount {
	t := quantity.Amount{Unit: quantity.Mass}
	for _, l := range b.Lots {
		t = t.Add(l.Fibre)
	}
	return t
}

func (b Bath) serves(lotID int64) bool {
	return slices.ContainsFunc(b.Lots, func(l BathLot) bool { return l.LotID == lotID })
}

// Divide shares an amount in the bath by fibre mass, in whole steps that sum
// to it: 720 g of weld over 541 g and 539 g is 361 g and 359 g.
func Divide(total quantity.Amount, lots []BathLot, step quantity.Amount) []quantity.Amount {
	weights := make([]int64, len(lots))
	for i, l := range lots {
		weights[i] = l.Fibre.N
	}
	shares := make([]quantity.Amount, len(lots))
	for i, n := range quantity.Share(total.N, weights, step.N) {
		shares[i] = quantity.Amount{N: n, Unit: total.Unit}
	}
	return shares
}

// Run is one production of one colourway.
type Run struct {
	ID            int64
	ColourwayID   int64
	VersionID     int64 // of the recipe
	StandardID    int64
	MatchedSet    bool
	CommissionID  int64     // zero where it is for none
	DueOn         time.Time // zero: no date
	Note          string
	PlannedBy     string
	PlannedAt     time.Time
	CancelledAt   time.Time
	CancelReason  string
	ColourwayCode string
	ColourwayName string
	RecipeCode    string
	RecipeVersion int
	StandardCode  string
	Fibre         string

	CollectionCode string // empty where it is for none
}

// StateOf sums a run's lots up: planned, in-work, closed or cancelled.
func (r Run) StateOf(lots []Lot) string {
	if !r.CancelledAt.IsZero() {
		return string(Cancelled)
	}
	planned, ended := 0, 0
	for _, l := range lots {
		switch l.State {
		case Planned:
			planned++
		case Closed, Scrapped, ReDye, PartDone:
			ended++
		}
	}
	switch len(lots) {
	case planned:
		return string(Planned)
	case ended:
		return string(Closed)
	}
	return string(InWork)
}

// Standing is a stage record as it stands in the books.
type Standing struct {
	ID         int64
	RunID      int64
	Position   int
	Kind       Kind
	BathID     int64
	BathUse    int   // 1, 2, 3 … of its bath; an addition has that of its record
	AdditionTo int64 // the record that it adds to; zero for a stage of the plan
	LookBefore string
	LookAfter  string
	Vessel     Pot
	By         string
	HappenedAt time.Time
	RecordedAt time.Time
	StartedAt  time.Time
	FinishedAt time.Time
	Celsius    int
	Minutes    int
	PH         *int
	Volume     quantity.Amount
	Note       string
	Skipped    bool
	Reason     string
	Override   Override
	Undone     bool
	UndoneWhy  string
	Corrects   int64 // the record that this one puts right; zero: none
	Corrected  int64 // the record that puts this one right; answers only
	Lots       []BathLot
	Deviations []Deviation
	Used       []Taken
	Dips       []Dips
	// Liquor are the parcels that went into the bath before this use of it.
	Liquor []int64
	Left   LeftOver // of a measured liquor, after this use
}

// LeftOver is what was left of a liquor and where it went; Litres absent where
// nobody said.
type LeftOver struct {
	Litres quantity.Amount
	Went   string // "kept, E3", or the route
}

// Dips counts the dips and airings of some garments, or of the whole lot where
// none is named.
type Dips struct {
	Garments []int64
	Tags     []string // of those, for people
	Dips     int
	Airings  int
}

// Taken is what a record took from one parcel, as the ledger shows it.
type Taken struct {
	ParcelID int64
	Amount   quantity.Amount
	Found    quantity.Amount // booked as found in the same act
}
