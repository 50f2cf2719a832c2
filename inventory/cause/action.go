package cause

import (
	"fmt"
	"strings"
	"time"

	"dyelot/inventory/fault"
)

// Action is something that is changed because garments came back. It changes one
// thing: a recipe's version, parcels that may not be used any more, or a way of
// working. It is written once; that it was done is a second record.
type Action struct {
	Recipe      string // by code
	Version     int
	Supplier    string // of the supplier's lot that is blocked
	SupplierLot string
	Parcels     []string // that are blocked; of a supplier's lot, all of it
	Method      string   // in words
	Because     string
	Returns     []string // tags
	By          string
	RecordedOn  time.Time // a day, as every day here
	DueOn       time.Time
	Done        Done
}

// Done says that an action was carried out; zero while it is open.
type Done struct {
	On    time.Time
	By    string
	Found string // what was found
}

// Blocks is true of an action that keeps parcels from being used.
func (a Action) Blocks() bool { return a.SupplierLot != "" || len(a.Parcels) > 0 }

// Check refuses (fault.Invalid) an action that changes nothing or several things,
// field "change"; one without a reason, because; a day due before today, due_on.
func (a Action) Check(today time.Time) error {
	changes := 0
	for _, named := range []bool{a.Recipe != "", a.Blocks(), strings.TrimSpace(a.Method) != ""} {
		if named {
			changes++
		}
	}
	switch {
	case changes == 0:
		return fault.BadField("change", "say what is changed: a recipe's version, parcels or a supplier's lot to block, or a method in words")
	case changes > 1:
		return fault.BadField("change", "an action changes one thing, so that it can be said when it is done: record several")
	case a.SupplierLot != "" && len(a.Parcels) > 0:
		return fault.BadField("change", "name parcels or a supplier's lot, not both")
	case a.Supplier != "" && a.SupplierLot == "":
		return fault.BadField("supplier", "%s alone is no lot: name the supplier's lot too", a.Supplier)
	case strings.TrimSpace(a.Because) == "":
		return fault.BadField("because", "is needed: which suspect, or what was found")
	case a.DueOn.IsZero():
		return fault.BadField("due_on", "is needed: by when it is to be done")
	case a.DueOn.Before(today):
		return fault.BadField("due_on", "%s is over: today is %s", a.DueOn.Format(time.DateOnly), today.Format(time.DateOnly))
	}
	return nil
}

// MayComplete refuses to complete what is done already (fault.Refused
// ACTION_DONE), and (fault.Invalid) a completion without what was found, field
// found, or on a day before the action was recorded, done_on.
func (a Action) MayComplete(code string, d Done) error {
	switch {
	case !a.Done.On.IsZero():
		return fault.Refuse("ACTION_DONE", "%s was done on %s by %s", code, a.Done.On.Format(time.DateOnly), a.Done.By).With("action", code)
	case strings.TrimSpace(d.Found) == "":
		return fault.BadField("found", "is needed: what was found, or how it went")
	case d.On.Before(a.RecordedOn):
		return fault.BadField("done_on", "%s lies before the day it was recorded, %s", d.On.Format(time.DateOnly), a.RecordedOn.Format(time.DateOnly))
	}
	return nil
}

// State is "done", "late" (open after its day) or "open".
func (a Action) State(today time.Time) string {
	switch {
	case !a.Done.On.IsZero():
		return "done"
	case a.DueOn.Before(today):
		return "late"
	}
	return "open"
}

// Change is what is changed, in words: "block lot NS-118 of Northern Salts (P3, P9)".
func (a Action) Change() string {
	switch parcels := strings.Join(a.Parcels, ", "); {
	case a.Recipe != "":
		return fmt.Sprintf("recipe %s version %d", a.Recipe, a.Version)
	case a.SupplierLot != "" && a.Supplier != "":
		return fmt.Sprintf("block lot %s of %s (%s)", a.SupplierLot, a.Supplier, parcels)
	case a.SupplierLot != "":
		return fmt.Sprintf("block supplier's lot %s (%s)", a.SupplierLot, parcels)
	case len(a.Parcels) > 0:
		return "block " + parcels
	}
	return a.Method
}

// BlockReason is what every later view of a blocked parcel says: the action's
// code and its reason.
func (a Action) BlockReason(code string) string { return code + ": " + a.Because }
