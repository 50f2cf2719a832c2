package client

import (
	"strings"

	"google.golang.org/grpc/codes"
)

// nextByReason says what to do about a refusal, where that is obvious.
var nextByReason = map[string]string{
	"TOKEN_MISSING":    "set DYELOT_TOKEN, or token in the configuration file",
	"TOKEN_UNKNOWN":    "check DYELOT_TOKEN; an owner makes a new one with: dyelot token add NAME --role bench",
	"TOKEN_EXPIRED":    "an owner makes a new one with: dyelot token add NAME --role bench",
	"TOKEN_REVOKED":    "an owner makes a new one with: dyelot token add NAME --role bench",
	"ROLE_MISSING":     "ask somebody who may, or have an owner make a token with that role",
	"STOCK_SHORT":      "see what is left with: dyelot stock list; what wants ordering with: dyelot reorder",
	"REQUEST_ID_USED":  "leave --request-id out to have a fresh one made",
	"RECIPE_MOVED_ON":  "look at the newest version with: dyelot recipe show CODE",
	"HOUSE_STANDARD":   "see each row with: dyelot verdict show LOT; record a test, or have an owner override by name",
	"POT_TOO_SMALL":    "see the pots with: dyelot vessel list; lay the loads out anew, or add a pot",
	"POTS_TOO_SMALL":   "see the pots with: dyelot vessel list; name another with --pots",
	"VESSEL_TOO_SMALL": "see the vessels with: dyelot vessel list; name another with --vessel",
	"REVERSAL_STANDS":  "book what is right with: dyelot stock receive, count or write-off",
	"LOCKED":           "run the same command again",
	"TOO_BUSY":         "run the same command again",
	"DATABASE_AWAY":    "run the same command again in a moment",
	"UNDONE_ALREADY":   "see the lot's stages with: dyelot lot show LOT",
	"REVERSED_ALREADY": "see the parcel's movements with: dyelot stock show PARCEL",
	"PROMISE_SPENT":    "see the parcel's promises with: dyelot stock show PARCEL",
	"OWN_TOKEN":        "ask another owner, or make a second token first",
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
		return next
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
