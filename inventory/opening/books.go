package opening

import (
	"strings"
	"time"

	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
	"dyelot/inventory/stock"
)

// Sheets is the three of them, each with no rows where it was not given.
type Sheets struct{ Items, Parcels, Lots Sheet }

// Wants is what the sheets name of the books, each once, as it is kept there.
type Wants struct {
	Items        []string
	SupplierLots []string
	ParcelCodes  []string // what looks like one: "P7"
	Refs         []string // of parcels and lots of earlier imports
	Colourways   []string
}

// Books is what stands in the books already, as far as the sheets want it.
type Books struct {
	Today      time.Time // midnight UTC of the studio's day
	Zone       *time.Location
	Currency   string
	By         string // whose call it is
	Items      map[string]stock.Item
	Parcels    map[string]stock.Parcel // by code
	Refs       map[string][]string     // parcels of earlier imports: codes by ref
	Lots       map[string][]string     // lots of earlier imports: codes by ref
	Arrived    map[Origin][]string     // parcels by where they came from
	Colourways map[string]Colourway
	Vessels    map[string]lot.Pot
}

// Origin is what two deliveries of one bag would have in common.
type Origin struct{ Item, Supplier, SupplierLot string }

func originOf(item, supplier, supplierLot string) Origin {
	return Origin{item, strings.ToLower(supplier), strings.ToLower(supplierLot)}
}

// OriginOf is it for a parcel of the books.
func OriginOf(p stock.Parcel) Origin { return originOf(p.Item.Code, p.Supplier, p.SupplierLot) }

// Colourway is one with every version of its recipe, the oldest first.
type Colourway struct {
	ID, StandardID int64
	Versions       []recipe.Recipe
}

// Plan is what the sheets come to, to be written as it stands.
type Plan struct {
	Items   []Item
	Parcels []Parcel
	Lots    []Lot
}

// Garments is how many the lots have.
func (p Plan) Garments() (n int) {
	for _, l := range p.Lots {
		n += len(l.Masses)
	}
	return n
}

// Item is a new item.
type Item struct {
	Line int
	stock.Item
}

// Parcel is a new parcel. Its item has no id where that is new as well.
type Parcel struct {
	Line int
	Ref  string
	stock.Parcel
	Has      quantity.Amount // lies on the shelf today
	Used     quantity.Amount // went into lots of these sheets
	Received quantity.Amount // came in at first; at least the other two
	dated    bool            // the sheet says when it came
	total    bool            // the sheet says what came in
}

// Gone is what left before these books began, nobody says where to.
func (p Parcel) Gone() quantity.Amount { return p.Received.Sub(p.Has).Sub(p.Used) }

// Source is a parcel that gave something: one of the plan's, or one of the books.
type Source struct {
	Planned int   // index into Plan.Parcels, where ID is zero
	ID      int64 // of a parcel of the books
}

// Taken is what a source gave.
type Taken struct {
	From   Source
	Amount quantity.Amount
}

// Record is what went into a lot at one stage of its recipe.
type Record struct {
	Position int
	Kind     lot.Kind
	InPot    bool // it was in the lot's own pot
	Used     []Taken
}

// Lot is a past lot.
type Lot struct {
	Line         int
	Ref          string
	Colourway    Colourway
	Recipe       recipe.Recipe
	Pot          lot.Pot
	Bath         quantity.Amount
	Blanks       Source
	Masses       []quantity.Amount // of each garment, air-dry
	DyedOn       time.Time
	By           string
	PassedOn     time.Time
	PassedBy     string
	Order        string
	SoldOn       time.Time
	Sold         int // the first so many of it
	Note         string
	Records      []Record
	IronOverride bool // more iron than the fibre's line was offered
}

// Mass is what its garments weigh.
func (l Lot) Mass() quantity.Amount { return quantity.Sum(l.Masses...) }

// State is passed while some are on the shelf, and closed when all are sold.
func (l Lot) State() lot.State {
	if l.Sold == len(l.Masses) {
		return lot.Closed
	}
	return lot.Passed
}
