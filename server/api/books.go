package api

import (
	"context"
	"strconv"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/server/store"
)

func (s *StudioServer) VerifyBooks(ctx context.Context, _ *dyelotv1.VerifyBooksRequest) (*dyelotv1.VerifyBooksResponse, error) {
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.VerifyBooksResponse, error) {
		v, err := tx.Verify()
		resp := &dyelotv1.VerifyBooksResponse{Counts: v.Counts, BalancesSha256: v.Digest}
		for _, f := range v.Findings {
			resp.Findings = append(resp.Findings, &dyelotv1.Finding{Check: f.Check, Subject: f.Subject, Text: f.Text})
		}
		return resp, err
	})
}

func (s *StudioServer) ListAuditEntries(ctx context.Context, req *dyelotv1.ListAuditEntriesRequest) (*dyelotv1.ListAuditEntriesResponse, error) {
	limit, after, err := pageByID(req.GetPageSize(), req.GetPageToken())
	if err != nil {
		return nil, err
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.ListAuditEntriesResponse, error) {
		rows, err := tx.AuditEntries(after, limit)
		resp := &dyelotv1.ListAuditEntriesResponse{}
		for _, r := range rows {
			resp.Entries = append(resp.Entries, &dyelotv1.AuditEntry{Id: r.ID, At: stamp(r.At), Principal: r.Principal, Act: r.Act, RequestId: r.RequestID, Body: r.Body})
		}
		if len(rows) == limit {
			resp.NextPageToken = nextPage(strconv.FormatInt(rows[limit-1].ID, 10))
		}
		return resp, err
	})
}

func (s *StudioServer) GetToday(ctx context.Context, _ *dyelotv1.GetTodayRequest) (*dyelotv1.GetTodayResponse, error) {
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.GetTodayResponse, error) {
		today, err := tx.Today()
		if err != nil {
			return nil, err
		}
		tasks, err := tx.Tasks()
		if err != nil {
			return nil, err
		}
		gather, err := gatherTasks(tx)
		resp := &dyelotv1.GetTodayResponse{Today: showDay(today)}
		for _, t := range append(tasks, gather...) {
			resp.Tasks = append(resp.Tasks, &dyelotv1.Task{
				Key: t.Key, Subject: t.Subject, Text: t.Text, DueOn: showDay(t.Due), Late: !t.Due.IsZero() && t.Due.Before(today),
			})
		}
		return resp, err
	})
}
