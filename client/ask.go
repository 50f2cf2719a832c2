package client

import (
	"bufio"
	"errors"
	"strings"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

// asker puts questions to whoever stands at the terminal.
type asker struct {
	session *session
	in      *bufio.Reader
}

// errLeft is the end of what is typed, in the middle of a question.
var errLeft = errors.New("left")

// atBench is an asker where a person sits, and otherwise the refusal that says
// what to type instead.
func (s *session) atBench(instead string) (*asker, error) {
	_, in := terminal(s.In)
	_, out := terminal(s.Out)
	if !in || !out || s.flags.JSON {
		return nil, fault.New(fault.Invalid, "TERMINAL_NEEDED", "this asks questions at a terminal; for a program: %s", instead)
	}
	return &asker{s, bufio.NewReader(s.In)}, nil
}

// line asks one question; an empty answer is usual.
func (a *asker) line(question, usual string) (string, error) {
	if usual != "" {
		question += " [" + usual + "]"
	}
	if _, err := a.session.Out.Write([]byte(question + ": ")); err != nil {
		return "", err
	}
	text, err := a.in.ReadString('\n')
	if text = strings.TrimSpace(text); text == "" {
		if err != nil {
			return "", errLeft
		}
		return usual, nil
	}
	return text, nil
}

// again asks until read takes the answer.
func (a *asker) again(question, usual string, read func(text string) error) error {
	for {
		text, err := a.line(question, usual)
		if err != nil {
			return err
		}
		err = read(text)
		if _, off := fault.Of(err); !off {
			return err
		}
		if _, err := a.session.Out.Write([]byte(strings.Join(fill("  ", "", strings.Fields(said(err))), "\n") + "\n")); err != nil {
			return err
		}
	}
}

// weighed reads what was weighed out: enter is as planned, a plain number in the
// planned unit, 5.7oz in another one; 0 is none, and P12=150g is another parcel.
func weighed(text string, planned *dyelotv1.Taken) (*dyelotv1.Taken, error) {
	plan, err := quantity.Parse(planned.GetAmount().GetValue(), planned.GetAmount().GetUnit())
	if err != nil {
		return nil, err
	}
	taken := &dyelotv1.Taken{ParcelCode: planned.GetParcelCode()}
	switch {
	case strings.Contains(text, "="):
		if taken, err = takenOf(text); err != nil {
			return nil, err
		}
	case strings.Trim(text, "0123456789.,+-") == "":
		taken.Amount = &dyelotv1.Amount{Value: text, Unit: plan.Unit.Name()}
	default:
		if taken.Amount, err = amountOf(text); err != nil {
			return nil, err
		}
	}
	got, err := quantity.Parse(taken.GetAmount().GetValue(), taken.GetAmount().GetUnit())
	switch {
	case err != nil:
		return nil, sentence(err)
	case got.Unit != plan.Unit:
		return nil, fault.BadField("", "%s is a %s: give it in %s", got, got.Unit, plan.Unit.Name())
	case got.N < 0:
		return nil, fault.BadField("", "%s is below nothing", got)
	case got.N == 0:
		return nil, nil
	}
	return taken, nil
}
