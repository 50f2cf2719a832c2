package api

import (
	"context"
	"math"
	"strconv"
	"strings"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/inventory/recall"
	"dyelot/server/store"
)

// OpenRecall keeps the list of garments downstream as it is found.
func (s *RecallServer) OpenRecall(ctx context.Context, req *dyelotv1.OpenRecallRequest) (*dyelotv1.OpenRecallResponse, error) {
	if err := needed("reason", req.GetReason()); err != nil {
		return nil, err
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.OpenRecallResponse, error) {
		at, err := happened(tx, "happened_at", req.GetHappenedAt())
		if err != nil {
			return nil, err
		}
		n, err := nodeOf(tx, req.GetNode())
		if err != nil {
			return nil, err
		}
		rows, err := tx.PreviewRecall(n)
		if err != nil {
			return nil, err
		}
		if len(rows) == 0 {
			return nil, nothingDownstream(n)
		}
		r := store.Recall{Node: n, Reason: strings.TrimSpace(req.GetReason()), By: otherwise(req.GetBy(), tx.By.Name), OpenedAt: at}
		if r.ID, err = tx.OpenRecall(r, rows); err != nil {
			return nil, err
		}
		return &dyelotv1.OpenRecallResponse{Recall: encodeRecall(r, rows)}, nil
	})
}

func nothingDownstream(n recall.Node) error {
	f := fault.Refuse("NOTHING_DOWNSTREAM", "no garment has any of this in it: %s", n.Title)
	if n.Kind == recall.Parcel {
		f = f.With("parcel", store.Code('P', n.ID))
	}
	return f
}

// CloseRecall ends a recall whose garments are decided.
func (s *RecallServer) CloseRecall(ctx context.Context, req *dyelotv1.CloseRecallRequest) (*dyelotv1.CloseRecallResponse, error) {
	id, err := store.ID('K', "recall_code", req.GetRecallCode())
	if err != nil {
		return nil, err
	}
	if err := needed("reason", req.GetReason()); err != nil {
		return nil, err
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.CloseRecallResponse, error) {
		at, err := happened(tx, "happened_at", req.GetHappenedAt())
		if err != nil {
			return nil, err
		}
		r, err := lockOpen(tx, id)
		if err != nil {
			return nil, err
		}
		if at.Before(r.OpenedAt) {
			return nil, beforeOpened(r, at)
		}
		rows, err := tx.RecallRows(r)
		if err != nil {
			return nil, err
		}
		if err := recall.MayClose(r.Code(), store.OfRecall(rows)); err != nil {
			return nil, err
		}
		r.ClosedAt, r.ClosedBy, r.CloseReason = at, otherwise(req.GetBy(), tx.By.Name), strings.TrimSpace(req.GetReason())
		if err := tx.CloseRecall(r.ID, r.CloseReason, r.ClosedBy, at); err != nil {
			return nil, err
		}
		return &dyelotv1.CloseRecallResponse{Recall: encodeRecall(r, rows)}, nil
	})
}

// lockOpen locks a recall that is still open. fault.Refused, RECALL_CLOSED.
func lockOpen(tx *store.Tx, id int64) (store.Recall, error) {
	r, err := tx.LockRecall(id)
	if err == nil && !r.ClosedAt.IsZero() {
		err = fault.Refuse("RECALL_CLOSED", "%s was closed by %s: %s", r.Code(), r.ClosedBy, r.CloseReason).With("recall", r.Code())
	}
	return r, err
}

// GetRecall says how a recall stands.
func (s *RecallServer) GetRecall(ctx context.Context, req *dyelotv1.GetRecallRequest) (*dyelotv1.GetRecallResponse, error) {
	id, err := store.ID('K', "recall", req.GetCode())
	if err != nil {
		return nil, onField("code", err)
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.GetRecallResponse, error) {
		r, err := tx.Recall(id)
		if err != nil {
			return nil, err
		}
		rows, err := tx.RecallRows(r)
		return &dyelotv1.GetRecallResponse{Recall: encodeRecall(r, rows)}, err
	})
}

// ListRecalls lists recalls, the newest first.
func (s *RecallServer) ListRecalls(ctx context.Context, req *dyelotv1.ListRecallsRequest) (*dyelotv1.ListRecallsResponse, error) {
	limit, before, err := pageByID(req.GetPageSize(), req.GetPageToken())
	if err != nil {
		return nil, err
	}
	if before == 0 {
		before = math.MaxInt64
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.ListRecallsResponse, error) {
		rs, err := tx.Recalls(before, limit, req.GetIncludeClosed())
		if err != nil {
			return nil, err
		}
		var ids []int64
		for _, r := range rs {
			ids = append(ids, r.ID)
		}
		rows, err := tx.ListedRows(ids)
		resp := &dyelotv1.ListRecallsResponse{}
		for _, r := range rs {
			resp.Recalls = append(resp.Recalls, encodeRecall(r, rows[r.ID]))
		}
		if len(rs) == limit {
			resp.NextPageToken = nextPage(strconv.FormatInt(rs[limit-1].ID, 10))
		}
		return resp, err
	})
}
