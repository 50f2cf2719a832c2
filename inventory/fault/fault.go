// Package fault is the one error type of the house: a kind that decides the
// status code and the exit code, a reason that a program can match, a sentence
// for a person, and the numbers that make the sentence useful.
//
// A rule that refuses the last gram says so with both figures:
//
//	fault.Refuse("STOCK_SHORT", "P7 has 100 g free, 162 g were asked").
//		With("asked", "162 g").With("free", "100 g")
package fault

import (
	"errors"
	"fmt"
	"maps"
)

// Kind says what sort of no this is. Each kind has exactly one gRPC status and
// one exit code; the interceptor and the client hold that mapping.
type Kind uint8

// The kinds. Internal is deliberately absent: what is not a Fault is internal.
const (
	Invalid         Kind = iota + 1 // the words of the call are off: INVALID_ARGUMENT
	NotFound                        // no such thing: NOT_FOUND
	Refused                         // a rule of the trade said no: FAILED_PRECONDITION
	Exists                          // there already, or the request id was used for another body: ALREADY_EXISTS
	Conflict                        // somebody else was faster: ABORTED
	Forbidden                       // known, but not allowed: PERMISSION_DENIED
	Unauthenticated                 // not known: UNAUTHENTICATED
	Exhausted                       // too much asked at once: RESOURCE_EXHAUSTED
	Unavailable                     // try again: UNAVAILABLE
)

// Fault is a refusal. Fields are read by the interceptor; build one with the
// constructors below.
type Fault struct {
	Kind    Kind
	Reason  string            // UPPER_SNAKE_CASE, stable, for programs
	Field   string            // the request field that is off, where one is: "doses[0].amount"
	Rule    string            // the rule that said no, where one did, in words: "law 2"
	Say     string            // one sentence for a person, without a full stop at the end
	Numbers map[string]string // the figures behind the sentence, each with its unit
}

// Error returns the sentence, behind the field where there is one.
func (f *Fault) Error() string {
	if f.Field != "" {
		return f.Field + ": " + f.Say
	}
	return f.Say
}

// With adds one figure and returns the fault, so that calls chain.
func (f *Fault) With(name, value string) *Fault {
	n := maps.Clone(f.Numbers)
	if n == nil {
		n = map[string]string{}
	}
	n[name] = value
	g := *f
	g.Numbers = n
	return &g
}

// Under returns the fault with the field placed inside another one, so that a
// decoder of a part need not know where the part stands:
// Field("amount") under "doses[2]" is "doses[2].amount".
func (f *Fault) Under(parent string) *Fault {
	g := *f
	if g.Field == "" {
		g.Field = parent
	} else {
		g.Field = parent + "." + g.Field
	}
	return &g
}

// At returns the fault with its field set.
func (f *Fault) At(field string) *Fault {
	g := *f
	g.Field = field
	return &g
}

// BadField refuses one field of the call, reason INVALID_FIELD.
func BadField(field, format string, args ...any) *Fault {
	return &Fault{Kind: Invalid, Reason: "INVALID_FIELD", Field: field, Say: fmt.Sprintf(format, args...)}
}

// Refuse is a rule of the trade saying no.
func Refuse(reason, format string, args ...any) *Fault {
	return &Fault{Kind: Refused, Reason: reason, Rule: reason, Say: fmt.Sprintf(format, args...)}
}

// Missing says that there is no such thing; what is "parcel", "lot" and so on.
func Missing(what, code string) *Fault {
	return (&Fault{Kind: NotFound, Reason: "NOT_FOUND", Field: what, Say: fmt.Sprintf("there is no %s %q", what, code)}).With(what, code)
}

// New builds a fault of any kind.
func New(kind Kind, reason, format string, args ...any) *Fault {
	return &Fault{Kind: kind, Reason: reason, Say: fmt.Sprintf(format, args...)}
}

// Of returns the Fault inside err, if there is one.
func Of(err error) (*Fault, bool) {
	var f *Fault
	ok := errors.As(err, &f)
	return f, ok
}

// In returns err with its field placed inside parent where err is a Fault, and
// err itself otherwise; nil stays nil.
func In(parent string, err error) error {
	if f, ok := Of(err); ok {
		return f.Under(parent)
	}
	return err
}
