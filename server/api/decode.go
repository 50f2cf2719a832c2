package api

import (
	"encoding/base64"
	"strconv"
	"strings"
	"time"

	"google.golang.org/protobuf/types/known/timestamppb"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	dyelotv1 "dyelot/proto/dyelot/v1"
	"dyelot/server/store"
)

// amount reads a positive amount in one of the units; several units are given
// where the item decides later.
func amount(field string, a *dyelotv1.Amount, want ...quantity.Unit) (quantity.Amount, error) {
	if a == nil {
		return quantity.Amount{}, fault.BadField(field, "is needed")
	}
	q, err := quantity.Parse(a.GetValue(), a.GetUnit())
	if err != nil {
		return q, fault.In(field, err)
	}
	if q.N <= 0 {
		return q, fault.BadField(field, "%s %s is not above zero", a.GetValue(), a.GetUnit())
	}
	if err := unit(field, q, want...); err != nil {
		return quantity.Amount{}, err
	}
	return q, nil
}

// amountOrNone is amount, but absent is the zero Amount and zero is allowed.
func amountOrNone(field string, a *dyelotv1.Amount, want ...quantity.Unit) (quantity.Amount, error) {
	if a == nil || (a.GetValue() == "" && a.GetUnit() == "") {
		return quantity.Amount{}, nil
	}
	q, err := quantity.Parse(a.GetValue(), a.GetUnit())
	if err != nil {
		return q, fault.In(field, err)
	}
	if q.N < 0 {
		return q, fault.BadField(field, "%s %s is below zero", a.GetValue(), a.GetUnit())
	}
	return q, unit(field, q, want...)
}

// unit refuses grams for what is counted in pieces, and the like.
func unit(field string, q quantity.Amount, want ...quantity.Unit) error {
	if len(want) == 0 {
		return nil
	}
	names := make([]string, len(want))
	for i, w := range want {
		if q.Unit == w {
			return nil
		}
		names[i] = w.String() + " (" + w.Name() + ")"
	}
	return fault.BadField(field, "%s is a %s: give %s", q, q.Unit, strings.Join(names, " or "))
}

// encode writes an amount; the absent one stays absent.
func encode(q quantity.Amount) *dyelotv1.Amount {
	if q.Unit == 0 {
		return nil
	}
	value, unit := q.Decimal()
	return &dyelotv1.Amount{Value: value, Unit: unit}
}

// percent reads an optional decimal; absent is ok = false.
func percent(field, s string) (p quantity.Percent, ok bool, err error) {
	if s == "" {
		return 0, false, nil
	}
	p, err = quantity.ParsePercent(s)
	if f, bad := fault.Of(err); bad {
		return 0, false, f.At(field)
	}
	return p, true, err
}

// maxAhead: a clock that runs so far ahead is wrong, not early.
const maxAhead = 5 * time.Minute

// happened is when a thing was done: as reported, or now. What lies in the
// future, or before 1900, is refused.
func happened(tx *store.Tx, field string, ts *timestamppb.Timestamp) (time.Time, error) {
	if ts == nil {
		return tx.Now, nil
	}
	if err := ts.CheckValid(); err != nil {
		return time.Time{}, fault.BadField(field, "is not a time")
	}
	at := ts.AsTime().UTC().Truncate(time.Microsecond)
	switch {
	case at.After(tx.Now.Add(maxAhead)):
		return at, fault.BadField(field, "%s is in the future: it is %s now", at.Format(time.RFC3339), tx.Now.Format(time.RFC3339))
	case at.Year() < 1900:
		return at, fault.BadField(field, "%s is too long ago", at.Format(time.RFC3339))
	}
	return at, nil
}

// day reads YYYY-MM-DD; empty is the zero time.
func day(field, s string) (time.Time, error) {
	if s == "" {
		return time.Time{}, nil
	}
	d, err := time.Parse(time.DateOnly, s)
	if err != nil || d.Year() < 1900 || d.Year() > 2200 {
		return time.Time{}, fault.BadField(field, "%.40q is not a day such as 2026-05-14", s)
	}
	return d, nil
}

// pastDay is day, and not after the studio's today.
func pastDay(tx *store.Tx, field, s string) (time.Time, error) {
	d, err := day(field, s)
	if err != nil || d.IsZero() {
		return d, err
	}
	today, err := tx.Today()
	if err != nil {
		return d, err
	}
	if d.After(today) {
		return d, fault.BadField(field, "%s is in the future: today is %s", s, today.Format(time.DateOnly))
	}
	return d, nil
}

// showDay writes a day; the zero time is empty.
func showDay(d time.Time) string {
	if d.IsZero() {
		return ""
	}
	return d.Format(time.DateOnly)
}

// stamp writes a time; the zero time is absent.
func stamp(t time.Time) *timestamppb.Timestamp {
	if t.IsZero() {
		return nil
	}
	return timestamppb.New(t)
}

// needed refuses an empty text.
func needed(field, s string) error {
	if strings.TrimSpace(s) == "" {
		return fault.BadField(field, "is needed")
	}
	return nil
}

const (
	defaultPage = 100
	maxPage     = 1000
)

// page reads AIP-158 paging: the size coerced to 1000 at most, the token as
// the key after which the page starts.
func page(size int32, token string) (limit int, after string, err error) {
	switch {
	case size < 0:
		return 0, "", fault.BadField("page_size", "%d is negative", size)
	case size == 0:
		size = defaultPage
	}
	b, err := base64.RawURLEncoding.DecodeString(token)
	if err != nil {
		return 0, "", fault.BadField("page_token", "is not one that this service gave")
	}
	return int(min(size, maxPage)), string(b), nil
}

// nextPage is the token for the page after the one that ended with last.
func nextPage(last string) string { return base64.RawURLEncoding.EncodeToString([]byte(last)) }

// pageByID is page for lists that are ordered by id.
func pageByID(size int32, token string) (limit int, after int64, err error) {
	limit, key, err := page(size, token)
	if err != nil || key == "" {
		return limit, 0, err
	}
	after, err = strconv.ParseInt(key, 10, 64)
	if err != nil {
		return 0, 0, fault.BadField("page_token", "is not one that this service gave")
	}
	return limit, after, nil
}
