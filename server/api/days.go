package api

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/days"
	"dyelot/inventory/fault"
	"dyelot/server/store"
)

// DaysServer answers DaysService: working hours, and which stage is done where
// and when.
type DaysServer struct {
	dyelotv1.UnsafeDaysServiceServer
	store *store.Store
}

// NewDaysServer answers from a store.
func NewDaysServer(s *store.Store) *DaysServer { return &DaysServer{store: s} }

// weekdays in the contract's words; the place is the library's number.
var weekdays = []string{"sun", "mon", "tue", "wed", "thu", "fri", "sat"}

// SetHours changes what is given and leaves the rest.
func (s *DaysServer) SetHours(ctx context.Context, req *dyelotv1.SetHoursRequest) (*dyelotv1.SetHoursResponse, error) {
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.SetHoursResponse, error) {
		h, _, err := tx.Hours()
		if err != nil {
			return nil, err
		}
		today, err := tx.Today()
		if err != nil {
			return nil, err
		}
		if err := decodeHours(req, &h, today); err != nil {
			return nil, err
		}
		if err := h.Validate(); err != nil {
			return nil, err
		}
		if err := tx.SetHours(h); err != nil {
			return nil, err
		}
		return &dyelotv1.SetHoursResponse{Hours: encodeHours(h, false)}, nil
	})
}

func decodeHours(req *dyelotv1.SetHoursRequest, h *days.Hours, today time.Time) (err error) {
	if len(req.GetWeekdays()) > 0 {
		h.Weekdays = nil
	}
	for _, w := range req.GetWeekdays() {
		k := slices.Index(weekdays, strings.ToLower(w))
		if k < 0 {
			return fault.BadField("weekdays", "%.20q is no day of the week: one or more of %s", w, strings.Join(weekdays, ", "))
		}
		if !slices.Contains(h.Weekdays, time.Weekday(k)) {
			h.Weekdays = append(h.Weekdays, time.Weekday(k))
		}
	}
	if h.From, err = clockOr("from", req.GetFrom(), h.From); err != nil {
		return err
	}
	if h.To, err = clockOr("to", req.GetTo(), h.To); err != nil {
		return err
	}
	for _, f := range []struct {
		given *int32
		into  *int
	}{{req.People, &h.People}, {req.Burners, &h.Burners}, {req.RackPieces, &h.RackPieces}} {
		if f.given != nil {
			*f.into = int(*f.given)
		}
	}
	if req.GetClearDaysOff() {
		h.Off = nil
	}
	h.Off = slices.DeleteFunc(slices.Clone(h.Off), func(d time.Time) bool { return d.Before(today) })
	for k, text := range req.GetDaysOff() {
		d, err := neededDay(fmt.Sprintf("days_off[%d]", k), text)
		if err != nil {
			return err
		}
		if d.Before(today) {
			return fault.BadField(fmt.Sprintf("days_off[%d]", k), "%s has passed: today is %s", text, showDay(today))
		}
		if !slices.ContainsFunc(h.Off, d.Equal) {
			h.Off = append(h.Off, d)
		}
	}
	slices.SortFunc(h.Off, time.Time.Compare)
	return nil
}

// clockOr reads HH:MM as minutes of the day; 24:00 is its end.
func clockOr(field, text string, otherwise int) (int, error) {
	if text == "" {
		return otherwise, nil
	}
	if text == "24:00" {
		return 24 * 60, nil
	}
	at, err := time.Parse("15:04", text)
	if err != nil {
		return 0, fault.BadField(field, "%.20q is no time of the day such as 08:00", text)
	}
	return at.Hour()*60 + at.Minute(), nil
}

func encodeHours(h days.Hours, usual bool) *dyelotv1.Hours {
	m := &dyelotv1.Hours{From: fmt.Sprintf("%02d:%02d", h.From/60, h.From%60), To: fmt.Sprintf("%02d:%02d", h.To/60, h.To%60),
		People: int32(h.People), Burners: int32(h.Burners), RackPieces: int32(h.RackPieces), Usual: usual}
	for k := range weekdays {
		if w := time.Weekday((k + 1) % 7); slices.Contains(h.Weekdays, w) {
			m.Weekdays = append(m.Weekdays, weekdays[w])
		}
	}
	for _, d := range h.Off {
		m.DaysOff = append(m.DaysOff, showDay(d))
	}
	return m
}
