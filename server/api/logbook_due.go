package api

import (
	"context"
	"strconv"
	"time"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/logbook"
	"dyelot/server/store"
)

// ListLogEntries lists the small books, the newest line first.
func (s *LogbookServer) ListLogEntries(ctx context.Context, req *dyelotv1.ListLogEntriesRequest) (*dyelotv1.ListLogEntriesResponse, error) {
	limit, below, err := pageByID(req.GetPageSize(), req.GetPageToken())
	if err != nil {
		return nil, err
	}
	if req.GetBook() != "" {
		if _, err := logbook.BookOf(req.GetBook()); err != nil {
			return nil, err
		}
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.ListLogEntriesResponse, error) {
		entries, err := tx.LogEntries(req.GetBook(), req.GetSubject(), below, limit)
		resp := &dyelotv1.ListLogEntriesResponse{}
		for _, e := range entries {
			resp.Entries = append(resp.Entries, encodeEntry(e))
		}
		if len(entries) == limit {
			resp.NextPageToken = nextPage(strconv.FormatInt(entries[limit-1].ID, 10))
		}
		return resp, err
	})
}

// SetLogInterval says how often a thing is to be checked from now on.
func (s *LogbookServer) SetLogInterval(ctx context.Context, req *dyelotv1.SetLogIntervalRequest) (*dyelotv1.SetLogIntervalResponse, error) {
	i := logbook.Interval{Book: logbook.Book(req.GetBook()), Subject: req.GetSubject(), Days: int(req.GetDays())}
	if err := i.Validate(); err != nil {
		return nil, err
	}
	if i.Subject != "" {
		if err := handCode("subject", i.Subject); err != nil {
			return nil, err
		}
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.SetLogIntervalResponse, error) {
		if err := tx.SetLogInterval(i); err != nil {
			return nil, err
		}
		today, err := tx.Today()
		if err != nil {
			return nil, err
		}
		if i.Subject == "" {
			return &dyelotv1.SetLogIntervalResponse{Due: &dyelotv1.Due{Book: string(i.Book), EveryDays: int32(i.Days)}}, nil
		}
		due, err := dueOf(tx, i.Book, i.Subject)
		return &dyelotv1.SetLogIntervalResponse{Due: encodeDue(due, today)}, err
	})
}

// ListDue lists what is checked again and again.
func (s *LogbookServer) ListDue(ctx context.Context, _ *dyelotv1.ListDueRequest) (*dyelotv1.ListDueResponse, error) {
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.ListDueResponse, error) {
		today, err := tx.Today()
		if err != nil {
			return nil, err
		}
		due, err := tx.Due()
		resp := &dyelotv1.ListDueResponse{Today: showDay(today)}
		for _, d := range due {
			resp.Due = append(resp.Due, encodeDue(d, today))
		}
		return resp, err
	})
}

// dueOf is one thing among those that are checked again and again.
func dueOf(tx *store.Tx, book logbook.Book, subject string) (logbook.Due, error) {
	due, err := tx.Due()
	for _, d := range due {
		if d.Book == book && d.Subject == subject {
			return d, err
		}
	}
	return logbook.Due{}, err
}

func encodeDue(d logbook.Due, today time.Time) *dyelotv1.Due {
	return &dyelotv1.Due{Book: string(d.Book), Subject: d.Subject, EveryDays: int32(d.Days), LastOn: showDay(d.Last), NextOn: showDay(d.Next()),
		Overdue: d.Overdue(today), Text: d.Text()}
}
