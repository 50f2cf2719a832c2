package recall

import (
	"strings"
	"time"

	"dyelot/inventory/fault"
)

// Kind is what a recall starts from.
type Kind string

// The kinds. A solution, a harvest's own bag and part-done cloth are parcels;
// one use of a bath is a bath with a use, or its record.
const (
	Parcel      Kind = "parcel"
	Record      Kind = "record"
	Entry       Kind = "entry"
	Bath        Kind = "bath"
	Lot         Kind = "lot"
	Run         Kind = "run"
	OneGarment  Kind = "garment"
	SupplierLot Kind = "supplier-lot"
	Harvest     Kind = "harvest"
	Recipe      Kind = "recipe"
)

// Letters are the kinds that have a code of one letter and a number.
var Letters = map[byte]Kind{'P': Parcel, 'S': Record, 'E': Entry, 'B': Bath, 'L': Lot, 'R': Run}

// Node is where a recall starts.
type Node struct {
	Kind Kind
	// ID is the row of that kind: of a supplier's lot, the item; of a recipe, the
	// version; zero of a harvest's place and day.
	ID       int64
	Use      int       // of a bath: this use, and so those after it; zero is all
	Supplier string    // of a supplier's lot; empty is any
	Words    string    // the supplier's lot, or the place of a harvest
	Day      time.Time // of a harvest
	Title    string    // as it is said: "parcel P7, alum from Northern Salts, lot NS-118"
}

// Asked is a node as somebody asked for it, each part by its field.
type Asked struct {
	Code, Tag, SupplierLot, Item, Supplier, Place, PickedOn, Recipe string
	Use, Version                                                    int32
}

// parts are the ways to name a node, each with the fields that go with it.
var parts = []struct {
	field string
	given func(Asked) string
	with  []string
}{
	{"code", func(a Asked) string { return a.Code }, []string{"bath_use"}},
	{"tag", func(a Asked) string { return a.Tag }, nil},
	{"supplier_lot", func(a Asked) string { return a.SupplierLot }, []string{"item_code", "supplier"}},
	{"place", func(a Asked) string { return a.Place }, []string{"picked_on", "item_code"}},
	{"recipe_code", func(a Asked) string { return a.Recipe }, []string{"recipe_version"}},
}

// By says which field names the node. fault.Invalid: none or two of them, a field
// that goes with another one, or one that is missing beside it.
func (a Asked) By() (field string, err error) {
	var with []string
	for _, p := range parts {
		switch {
		case strings.TrimSpace(p.given(a)) == "":
		case field != "":
			return "", fault.BadField(p.field, "is one node too many beside %s: a recall starts from one", strings.ReplaceAll(field, "_", " "))
		default:
			field, with = p.field, p.with
		}
	}
	if field == "" {
		if a.PickedOn != "" {
			return "", fault.BadField("place", "is needed beside the day: where it was picked")
		}
		return "", fault.BadField("code", "is needed: a parcel, record, bath, lot or run; or a tag, a supplier's lot, a harvest's place and day, a recipe's version")
	}
	return field, a.beside(field, with)
}

// beside refuses what does not go with the field, and what it lacks.
func (a Asked) beside(field string, with []string) error {
	for _, x := range []struct {
		field string
		given bool
	}{{"bath_use", a.Use != 0}, {"item_code", a.Item != ""}, {"supplier", a.Supplier != ""}, {"picked_on", a.PickedOn != ""}, {"recipe_version", a.Version != 0}} {
		goes := false
		for _, w := range with {
			goes = goes || w == x.field
		}
		if x.given && !goes {
			return fault.BadField(x.field, "does not go with %s", strings.ReplaceAll(field, "_", " "))
		}
	}
	switch {
	case field == "supplier_lot" && a.Item == "":
		return fault.BadField("item_code", "is needed: of which item it is the supplier's lot")
	case field == "place" && a.PickedOn == "":
		return fault.BadField("picked_on", "is needed: the day of the harvest")
	case field == "recipe_code" && a.Version < 1:
		return fault.BadField("recipe_version", "is needed, from 1: a recall is of one version")
	case a.Use < 0 || a.Use > 10_000:
		return fault.BadField("bath_use", "%d is no use of a bath: they are counted from 1", a.Use)
	}
	return nil
}
