package client

import (
	"strings"

	"google.golang.org/grpc/codes"
)

// nextByReason says what to do about a refusal, where that is obvious. A word in
// braces is one of the refusal's own figures.
var nextByReason = map[string]string{
	"TOKEN_MISSING":      "set DYELOT_TOKEN, or token in the configuration file",
	"TOKEN_UNKNOWN":      "check DYELOT_TOKEN; an owner makes a new one with: dyelot token add NAME --role bench",
	"TOKEN_EXPIRED":      "an owner makes a new one with: dyelot token add NAME --role bench",
	"TOKEN_REVOKED":      "an owner makes a new one with: dyelot token add NAME --role bench",
	"ROLE_MISSING":       "ask somebody who may, or have an owner make a token with that role",
	"OWN_TOKEN":          "ask another owner, or make a second token first",
	"REQUEST_ID_USED":    "leave --request-id out to have a fresh one made",
	"ITEM_EXISTS":        "see what there is with: dyelot item list",
	"VESSEL_EXISTS":      "see what there is with: dyelot vessel list",
	"STANDARD_EXISTS":    "see what there is with: dyelot standard list",
	"COLOURWAY_EXISTS":   "see what there is with: dyelot colourway list",
	"COLLECTION_EXISTS":  "see what there is with: dyelot collection list",
	"LOT_STATE":          "see what it has had with: dyelot lot show {lot}",
	"STOCK_SHORT":        "see what is left with: dyelot stock list; what wants ordering with: dyelot reorder",
	"PARCEL_EMPTY":       "see its movements with: dyelot stock show {parcel}; if there is some after all: dyelot stock count {parcel} AMOUNT",
	"PARCEL_DAMP":        "once it is dry: dyelot harvest dry {parcel} AMOUNT",
	"PARCEL_BLOCKED":     "name another parcel, or lift the block with: dyelot stock unblock {parcel}",
	"PROMISE_SPENT":      "see the parcel's promises with: dyelot stock show PARCEL",
	"REVERSAL_STANDS":    "book what is right with: dyelot stock receive, count or write-off",
	"REVERSED_ALREADY":   "see the parcel's movements with: dyelot stock show PARCEL",
	"UNDO_THE_STAGE":     "for a stage: dyelot stage undo {stage} --reason \"…\"",
	"NOT_MADE":           "make some with: dyelot stock make ITEM AMOUNT --from PARCEL=AMOUNT",
	"RECIPE_MOVED_ON":    "look at the newest version with: dyelot recipe show RECIPE",
	"POT_TOO_SMALL":      "see the pots with: dyelot vessel list; lay the loads out anew, or add a pot",
	"POTS_TOO_SMALL":     "see the pots with: dyelot vessel list; name another with --pots",
	"VESSEL_TOO_SMALL":   "see the vessels with: dyelot vessel list; name another with --vessel",
	"NOT_ISSUED":         "dyelot lot issue {lot}",
	"NOT_PICKED":         "dyelot run pick RUN, or say what went in with --used PARCEL=AMOUNT",
	"RECORDED_ALREADY":   "if it is wrong: dyelot stage undo {record} --reason \"…\"",
	"NOTHING_TO_CORRECT": "dyelot stage undo {record} --reason \"…\", then record what was done",
	"COUNTED_SINCE":      "see the parcel with: dyelot stock show {parcel}",
	"UNDONE_ALREADY":     "see the lot's stages with: dyelot lot show LOT",
	"OVERRIDE_NEEDED":    "whoever takes it on says so with: --override-by NAME --override-reason \"…\"",
	"HOUSE_STANDARD":     "see each row with: dyelot verdict show {lot}; record a test, or have an owner override by name",
	"SET_APART":          "see the set with: dyelot verdict show {lot}; an owner overrides by name with: dyelot verdict override {lot} set",
	"NOTHING_TO_SEND":    "see where each is with: dyelot garment list --lot {lot}; whether it may pass with: dyelot verdict show {lot}",
	"NOT_PASSED":         "see where its lot stands with: dyelot verdict show LOT",
	"NEEDS_VERDICT":      "decide about it with: dyelot verdict give {lot} passed --only {tag}",
	"NOT_PINNED":         "see where it stands with: dyelot week",
	"NO_ROOM":            "see the hours and set them with: dyelot studio hours",
	"LOCKED":             "run the same command again",
	"TOO_BUSY":           "run the same command again",
	"DATABASE_AWAY":      "run the same command again in a moment",

	"WHOLE_SET":           "see what holds it back with: dyelot commission show {commission}",
	"COMMISSION_UNSIGNED": "once a swatch is agreed: dyelot commission sign {commission} --standard STANDARD --by ROLE",
	"BLEND_NOT_SAMPLED":   "once a swatch is dyed with it: dyelot stock sampled {parcel} --note \"…\"",
	"CUSTOMERS_OWN":       "give it back with: dyelot commission give-back {commission} TAG",
	"REJECTED":            "dyelot stock send-back {parcel} --reason \"…\"; or: dyelot arrival check {parcel} --verdict accept",
	"NOT_A_BLANK":         "describe the garment with: dyelot item add blank CODE",
	"UNDO_THE_ENTRY":      "dyelot bath undo {entry} --reason \"…\"",
	"UNDO_THE_LATER":      "dyelot stage undo {record} --reason \"…\"",
	"BATH_WENT_ON":        "see the bath with: dyelot bath show {bath}",
	"BATH_SPENT":          "if that was wrong: dyelot bath undo {entry} --reason \"…\"",
	"BATH_EARLIER":        "see the bath with: dyelot bath show {bath}",
	"OTHER_BATH":          "see what is kept with: dyelot bath list",
	"ADD_TO_THE_STAGE":    "dyelot addition add {record} --used PARCEL=AMOUNT",
	"PLANNED_AGAIN":       "see where it is to go with: dyelot lot show {lot}; give that up with: dyelot run cancel RUN",
	"NOT_TO_DYE":          "decide about it first: dyelot verdict give {lot} re-dye --only {tag}",
	"NOTHING_LEFT":        "do a stage once more with --again STAGE, or take another recipe",
	"LABOUR_SPENT":        "see what is written with: dyelot cost lot LOT --why",
	"OPENING_OFF":         "see the columns with: dyelot opening columns; days and commas of another country: --day-order, --decimal-comma",
	"NOTHING_MEASURED":    "read each garment with: dyelot reading add TAG --lab L,a,b --rested",
	"NOTHING_TO_SORT":     "see the runs with: dyelot run list --all",
	"CARDS_OFF":           "see the columns with: dyelot swatch columns; days and commas of another country: --day-order, --decimal-comma",
	"STRUCK":              "read it with: dyelot swatch show {swatch}",
	"NOT_READ":            "measure it with: dyelot reading add {lot} --rested",
	"NOT_DYED":            "see its stages with: dyelot lot show {lot}",
	"IMPORTED_BEFORE":     "if it is meant to come in twice, say --again",
	"NO_STRENGTH_FOUND":   "keep the dips without --set; by hand: dyelot stock strength PARCEL PERCENT --basis \"…\"",
	"WINDOW_IN":           "see what it gave with: dyelot window show {window}",
	"WINDOW_NO_GRADE":     "look again with: dyelot window look {window}; or say the grade yourself: dyelot window in {window} --grade 2-3; or end it without one: --given-up \"…\"",
	"REPORT_DIFFERS":      "see which file it was with: dyelot test show {test}",
	"NO_RETURNS":          "note a return with: dyelot garment take-back TAG --complaint \"…\"; ask of earlier ones with --since DAY",
	"POPULATION_LARGE":    "narrow it with: --from DAY --until DAY --colourway COLOURWAY",
	"ACTION_DONE":         "see what was found with: dyelot action list --all",
	"HELD_BY_RECALL":      "once it was looked at: dyelot recall account {recall} {tag} --how checked-and-kept; or an owner sends it all the same with --override-by NAME --override-reason \"…\"",
	"RECALL_UNDECIDED":    "see which with: dyelot recall show {recall}; then: dyelot recall account {recall} TAG --how checked-and-kept, or destroyed",
	"RECALL_UNTOLD":       "dyelot recall told {recall} --order ORDER --how \"by letter\"; or: dyelot recall account {recall} TAG --how cannot-be-reached",
	"RECALL_CLOSED":       "see how it ended with: dyelot recall show {recall}",
	"NOTHING_DOWNSTREAM":  "to keep a bag from any pot: dyelot stock block {parcel} --reason \"…\"",
	"NO_REPORT":           "see what it holds with: dyelot test show {test}",
	"MIXED_CURRENCY":      "name one with: dyelot purchase from-reorder ITEM --supplier SUPPLIER",
	"NOT_ON_ORDER":        "see the order with: dyelot purchase show {order}",
	"NOTHING_TO_COME":     "see the order with: dyelot purchase show {order}",
}

// listed is where to look for what is missing.
var listed = map[string]string{
	"order":        "see the orders with: dyelot purchase list",
	"offer":        "see the offers with: dyelot offer list",
	"lot":          "see the lots with: dyelot lot list",
	"run":          "see the runs with: dyelot run list --all",
	"parcel":       "see the parcels with: dyelot stock list --empty",
	"item":         "see the items with: dyelot item list",
	"vessel":       "see the vessels with: dyelot vessel list",
	"recipe":       "see the recipes with: dyelot recipe list",
	"colourway":    "see the colourways with: dyelot colourway list",
	"standard":     "see the standards with: dyelot standard list",
	"commission":   "see the commissions with: dyelot commission list --all",
	"bath":         "see the baths with: dyelot bath list --all",
	"reading":      "see a lot's readings with: dyelot verdict show LOT",
	"judgement":    "see what was seen of a lot with: dyelot verdict show LOT",
	"window":       "see the window tests with: dyelot window list --all",
	"test":         "see a lot's tests with: dyelot verdict show LOT",
	"action":       "see the actions with: dyelot action list --all",
	"recall":       "see the recalls with: dyelot recall list --all",
	"swatch":       "see the pages with: dyelot swatch list",
	"garment":      "see the garments with: dyelot garment list",
	"stage record": "see a lot's records with: dyelot lot show LOT",

	"test dip series":  "see the test dips with: dyelot dips list",
	"collection_codes": "see the collections with: dyelot collection list",
	"collection":       "see the collections with: dyelot collection list",
}

var figure = pattern(`\{[a-z_]+\}`)

// withFigures puts a refusal's figures in the place of their names; one that is
// not there stays a word in capitals: LOT.
func withFigures(next string, figures map[string]string) string {
	return figure().ReplaceAllStringFunc(next, func(braced string) string {
		name := strings.Trim(braced, "{}")
		if value := figures[name]; value != "" {
			return value
		}
		return strings.ToUpper(name)
	})
}

// nextByCode is for what carries no reason that is known here.
var nextByCode = map[codes.Code]string{
	codes.Unauthenticated:  "set DYELOT_TOKEN, or token in the configuration file",
	codes.PermissionDenied: "ask somebody who may",
	codes.Aborted:          "run the same command again",
}

// nextStep is what to do now, or nothing where that is not obvious.
func (s *session) nextStep(code codes.Code, c complaint) string {
	switch code {
	case codes.Unavailable, codes.DeadlineExceeded, codes.Canceled:
		return s.nextWhenAway(code, c)
	}
	if next := nextByReason[c.Reason]; next != "" {
		return withFigures(next, c.Metadata)
	}
	if code == codes.NotFound {
		return listed[strings.TrimSuffix(last(c.Field), "_code")]
	}
	if code == codes.InvalidArgument && c.Field == "position" {
		return "see its stages with: dyelot lot show LOT"
	}
	return nextByCode[code]
}

// nextWhenAway: a change whose answer was lost may stand in the books, and only
// its request id can tell.
func (s *session) nextWhenAway(code codes.Code, c complaint) string {
	var steps []string
	switch next := nextByReason[c.Reason]; {
	case next != "" && c.RequestID == "":
		steps = append(steps, next)
	case code == codes.Unavailable && c.Reason == "" && s.loaded != nil:
		steps = append(steps, "is dyelotd running, and is "+s.loaded.Addr+" its address? deploy/up starts it")
	}
	if c.RequestID != "" {
		steps = append(steps, "whether it was recorded is not known: run it again with --request-id "+c.RequestID+" and it counts once")
	}
	return strings.Join(steps, "; ")
}

// away puts plain words for a service that was not reached: what the library
// says of it is about sockets.
func (s *session) away(code codes.Code, message string) string {
	switch code {
	case codes.Unavailable:
		why := ""
		for _, known := range []string{"connection refused", "no such file or directory", "no such host", "no route to host", "permission denied", "certificate", "EOF"} {
			if strings.Contains(message, known) {
				why = " (" + known + ")"
				break
			}
		}
		return "the service at " + s.loaded.Addr + " does not answer" + why
	case codes.DeadlineExceeded:
		return "the service at " + s.loaded.Addr + " took longer than the time given to it"
	case codes.Canceled:
		return "stopped before the service had answered"
	}
	return message
}
