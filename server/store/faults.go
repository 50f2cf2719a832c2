package store

import (
	"errors"

	"github.com/lib/pq"
	"github.com/lib/pq/pqerror"

	"dyelot/inventory/fault"
)

// said gives each constraint that a caller can run into its own fault. A rule
// of inventory speaks first, with better figures; these speak when two callers
// were in the rule at once, or when it has a hole. The key is the constraint's
// name, never the message's text.
var said = map[string]*fault.Fault{
	"balance_not_short":                 fault.Refuse("STOCK_SHORT", "somebody else took or was promised that stock a moment ago: look again at what is left"),
	"promise_not_overdrawn":             fault.Refuse("PROMISE_SPENT", "that promise has been used or released already"),
	"movement_reversed_once":            fault.Refuse("REVERSED_ALREADY", "that movement has been reversed already"),
	"movement_reversal_not_reversed":    fault.Refuse("REVERSAL_STANDS", "a reversal is not reversed: book what is right as a new movement"),
	"item_code_key":                     fault.New(fault.Exists, "ITEM_EXISTS", "there is an item of that code already").At("item.code"),
	"vessel_code_key":                   fault.New(fault.Exists, "VESSEL_EXISTS", "there is a vessel of that code already").At("vessel.code"),
	"shade_standard_code_key":           fault.New(fault.Exists, "STANDARD_EXISTS", "there is a shade standard of that code already").At("standard.code"),
	"colourway_code_key":                fault.New(fault.Exists, "COLOURWAY_EXISTS", "there is a colourway of that code already").At("colourway.code"),
	"recipe_version_once":               fault.New(fault.Conflict, "RECIPE_MOVED_ON", "somebody wrote the next version of that recipe a moment ago: look at it and try again"),
	"principal_name_key":                fault.New(fault.Exists, "TOKEN_EXISTS", "there is a token of that name already").At("name"),
	"principal_token_key":               fault.New(fault.Exists, "TOKEN_KNOWN", "that token is in use already: make a fresh one").At("token_sha256"),
	"stage_record_corrected_once":       fault.Refuse("UNDONE_ALREADY", "that stage record has been corrected already"),
	"evidence_withdrawn_reading_once":   fault.Refuse("WITHDRAWN_ALREADY", "that reading has been withdrawn already"),
	"evidence_withdrawn_test_once":      fault.Refuse("WITHDRAWN_ALREADY", "that test has been withdrawn already"),
	"evidence_withdrawn_log_entry_once": fault.Refuse("WITHDRAWN_ALREADY", "that line has been withdrawn already"),
	"evidence_withdrawn_eye_once":       fault.Refuse("WITHDRAWN_ALREADY", "that judgement has been withdrawn already"),
	"record_undone_pkey":                fault.Refuse("UNDONE_ALREADY", "that stage record has been undone already"),
	"swatch_struck_pkey":                fault.Refuse("STRUCK", "that page has been struck out already"),
	"collection_code_key":               fault.New(fault.Exists, "COLLECTION_EXISTS", "there is a collection of that code already").At("collection.code"),
	"commission_reference_key":          fault.New(fault.Exists, "COMMISSION_EXISTS", "there is a commission of that reference already").At("commission.reference"),
	"window_end_pkey":                   fault.Refuse("WINDOW_IN", "that window test has been taken in already"),
	"action_done_pkey":                  fault.Refuse("ACTION_DONE", "that action has been completed already"),
	"recall_end_pkey":                   fault.Refuse("RECALL_CLOSED", "that recall has been closed already"),
	"fastness_test_window_once":         fault.Refuse("WINDOW_IN", "that window test has been taken in already"),
	"purchase_closed_once":              fault.Refuse("NOTHING_TO_COME", "that line was closed already"),
}

// explain turns a database error into the fault of its constraint where it has
// one, and leaves every other error as it is: unknown errors are internal.
func explain(err error) error {
	var e *pq.Error
	if err == nil || !errors.As(err, &e) {
		return err
	}
	if f, ok := said[e.Constraint]; ok {
		return f
	}
	switch e.Code {
	case pqerror.LockNotAvailable:
		return fault.New(fault.Conflict, "LOCKED", "somebody else holds these rows for longer than %s: try again", lockTimeout)
	case pqerror.AdminShutdown, pqerror.CannotConnectNow:
		return fault.New(fault.Unavailable, "DATABASE_AWAY", "the database is not answering: try again in a moment")
	}
	return err
}
