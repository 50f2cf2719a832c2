package client

import (
	"context"
	"math"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
	"google.golang.org/protobuf/types/known/timestamppb"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

// form is the flags of one command, each bound to the part of the request that
// it fills. A value is checked as soon as it is read, so that the refusal names
// its flag; what only the studio knows (its zone, its currency) is filled in
// before the command runs.
type form struct {
	session *session
	command *cobra.Command
	later   []func(ctx context.Context) error
}

func (f *form) fill(ctx context.Context) error {
	for _, later := range f.later {
		if err := later(ctx); err != nil {
			return err
		}
	}
	return nil
}

// changed is true of a flag that was given.
func (f *form) changed(flag string) bool { return f.command.Flags().Changed(flag) }

// fills notes which request fields a flag (or an argument, in capitals) fills,
// where its name does not say so.
func (f *form) fills(name string, fields ...string) {
	if name == strings.ToUpper(name) {
		for _, field := range fields {
			f.command.Annotations[field] = name
		}
		return
	}
	_ = f.command.Flags().SetAnnotation(name, fieldNote, fields) // the flag was declared a line above
}

// offers completes a flag with what the service or a fixed list holds.
func (f *form) offers(flag string, list lister) {
	_ = f.command.RegisterFlagCompletionFunc(flag, f.session.completeFlag(list)) // declared a line above
}

// reading is one flag value read by a function: what pflag calls a Value.
type reading struct {
	text string
	what string
	read func(string) error
}

func (r *reading) String() string { return r.text }
func (r *reading) Type() string   { return r.what }
func (r *reading) Set(text string) error {
	if err := r.read(text); err != nil {
		return err
	}
	r.text = text
	return nil
}

// value declares a flag that read checks and keeps; what stands for the value
// in the help: "amount".
func (f *form) value(name, what, usage string, read func(text string) error) {
	f.command.Flags().Var(&reading{what: what, read: read}, name, usage)
}

func (f *form) text(into *string, name, usage string) {
	f.command.Flags().StringVar(into, name, "", usage)
	call(f.command.Flags(), name, "text")
}

func (f *form) flag(into *bool, name, usage string) {
	f.command.Flags().BoolVar(into, name, false, usage)
}

func (f *form) number(into *int32, name, usage string) {
	f.value(name, "number", usage, func(text string) error {
		n, err := strconv.ParseInt(text, 10, 32)
		if err != nil {
			return fault.BadField("", "%.20q is no whole number such as 60", text)
		}
		*into = int32(n)
		return nil
	})
}

// called is a flag's value by a word of everyday speech: the library says string.
type called struct {
	pflag.Value
	what string
}

func (c called) Type() string { return c.what }

func call(flags *pflag.FlagSet, name, what string) {
	f := flags.Lookup(name)
	f.Value = called{f.Value, what}
}

// texts is a flag that may be repeated, or hold several with commas between.
func (f *form) texts(into *[]string, name, what, usage string) {
	f.value(name, what, usage, func(text string) error {
		*into = append(*into, splitList(text)...)
		return nil
	})
}

func (f *form) amount(into **dyelotv1.Amount, name, usage string) {
	f.value(name, "amount", usage, func(text string) (err error) {
		*into, err = amountOf(text)
		return err
	})
}

func (f *form) percent(into *string, name, usage string) {
	f.value(name, "percent", usage, func(text string) (err error) {
		*into, err = percentOf(text)
		return err
	})
}

// takens is a flag such as --used P9=162g, repeated or with commas between.
func (f *form) takens(into *[]*dyelotv1.Taken, name, usage string) {
	f.value(name, "parcel=amount", usage, func(text string) error {
		for _, one := range splitList(text) {
			t, err := takenOf(one)
			if err != nil {
				return err
			}
			*into = append(*into, t)
		}
		return nil
	})
	f.fills(name, strings.ReplaceAll(name, "-", "_")) // used[0].amount is one of them
}

// money without a currency is in the studio's.
func (f *form) money(into **dyelotv1.Money, name, usage string) {
	f.value(name, "money", usage, func(text string) (err error) {
		*into, err = moneyOf(text)
		return err
	})
	f.later = append(f.later, func(ctx context.Context) error {
		if *into == nil || (*into).GetCurrency() != "" {
			return nil
		}
		house, err := f.session.house(ctx)
		if err != nil {
			return err
		}
		(*into).Currency = house.GetCurrency()
		return nil
	})
}

// when is a time, read in the zone that the session goes by.
func (f *form) when(into **timestamppb.Timestamp, name, usage string) {
	f.timed(name, "time", usage, func(text string, now time.Time, zone *time.Location) error {
		at, err := timeOf(text, now, zone)
		if err != nil {
			return err
		}
		*into = timestamppb.New(at)
		return nil
	})
}

// day is a day of the studio, sent as YYYY-MM-DD.
func (f *form) day(into *string, name, usage string) {
	f.timed(name, "day", usage, func(text string, now time.Time, zone *time.Location) error {
		at, err := dayOf(text, now, zone)
		if err != nil {
			return err
		}
		*into = at.Format(time.DateOnly)
		return nil
	})
}

// timed checks the words at once, in UTC, and reads them again once the zone is
// known. Nobody is asked for a zone while no such flag is given.
func (f *form) timed(name, what, usage string, read func(text string, now time.Time, zone *time.Location) error) {
	var given string
	f.value(name, what, usage, func(text string) error {
		given = strings.TrimSpace(text)
		return read(given, f.session.Now(), time.UTC)
	})
	f.later = append(f.later, func(ctx context.Context) error {
		if given == "" {
			return nil
		}
		zone, err := f.session.zone(ctx)
		if err != nil {
			return err
		}
		return read(given, f.session.Now(), zone)
	})
}

func splitList(text string) []string {
	var parts []string
	for _, part := range strings.Split(text, ",") {
		if part = strings.TrimSpace(part); part != "" {
			parts = append(parts, part)
		}
	}
	return parts
}

// decimal is a plain number, kept as it was written: the service counts in
// decimals, and so would lose nothing.
func (f *form) decimal(into *string, name, usage string) {
	f.value(name, "number", usage, func(text string) error {
		text = strings.TrimSpace(text)
		if _, err := quantity.ParsePercent(text); err != nil {
			return sentence(err)
		}
		*into = text
		return nil
	})
}

// real is a measured number, such as a K/S.
func (f *form) real(into *float64, name, usage string) {
	f.value(name, "number", usage, func(text string) error {
		v, err := strconv.ParseFloat(strings.TrimSpace(text), 64)
		if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
			return fault.BadField("", "%.40q is no number such as 4.5", text)
		}
		*into = v
		return nil
	})
}
