package api

import (
	"context"
	"strconv"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/lot"
	"dyelot/server/store"
)

// RunServer answers RunService.
type RunServer struct {
	dyelotv1.UnsafeRunServiceServer
	store *store.Store
}

// NewRunServer answers from a store.
func NewRunServer(s *store.Store) *RunServer { return &RunServer{store: s} }

func (s *RunServer) GetRun(ctx context.Context, req *dyelotv1.GetRunRequest) (*dyelotv1.GetRunResponse, error) {
	id, err := store.ID('R', "code", req.GetCode())
	if err != nil {
		return nil, err
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.GetRunResponse, error) {
		run, err := loadRun(tx, id)
		if err != nil {
			return nil, err
		}
		return &dyelotv1.GetRunResponse{Run: run.encode()}, nil
	})
}

func (s *RunServer) ListRuns(ctx context.Context, req *dyelotv1.ListRunsRequest) (*dyelotv1.ListRunsResponse, error) {
	limit, after, err := pageByID(req.GetPageSize(), req.GetPageToken())
	if err != nil {
		return nil, err
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.ListRunsResponse, error) {
		runs, err := tx.Runs(after, limit, req.GetIncludeEnded())
		if err != nil {
			return nil, err
		}
		ids := make([]int64, len(runs))
		for i, r := range runs {
			ids[i] = r.ID
		}
		lots, err := tx.LotsOfRuns(ids...)
		if err != nil {
			return nil, err
		}
		resp := &dyelotv1.ListRunsResponse{}
		for _, r := range runs {
			var own []lot.Lot
			for _, l := range lots {
				if l.RunID == r.ID {
					own = append(own, l)
				}
			}
			m := encodeRunHead(r, own)
			for _, l := range own {
				m.Lots = append(m.Lots, encodeLot(l, r, nil))
			}
			resp.Runs = append(resp.Runs, m)
		}
		if len(runs) == limit {
			resp.NextPageToken = nextPage(strconv.FormatInt(runs[limit-1].ID, 10))
		}
		return resp, nil
	})
}

func (s *RunServer) GetLot(ctx context.Context, req *dyelotv1.GetLotRequest) (*dyelotv1.GetLotResponse, error) {
	id, err := store.ID('L', "code", req.GetCode())
	if err != nil {
		return nil, err
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.GetLotResponse, error) {
		run, err := loadRunOfLot(tx, id)
		if err != nil {
			return nil, err
		}
		m := run.encode()
		resp := &dyelotv1.GetLotResponse{Lot: lotIn(m, store.Code('L', id)), Stages: run.stagesOf(id)}
		if resp.Actions, err = actionsOfLot(tx, id); err != nil {
			return nil, err
		}
		return resp, lotAfterwards(tx, id, resp.Lot)
	})
}

// lotAfterwards adds what became of a lot's garments since: those that went into
// another lot, and what part-done cloth is meant for.
func lotAfterwards(tx *store.Tx, id int64, m *dyelotv1.Lot) error {
	ever, err := tx.GarmentsEverOf(id)
	if err != nil {
		return err
	}
	for _, g := range ever {
		if g.LotID != id {
			m.MovedOn = append(m.MovedOn, encodeGarment(g))
		}
	}
	cloth, err := tx.PartDoneOf([]int64{id})
	m.Shade = cloth[id].Shade
	return err
}

func lotIn(r *dyelotv1.Run, code string) *dyelotv1.Lot {
	for _, l := range r.GetLots() {
		if l.GetCode() == code {
			return l
		}
	}
	return nil
}

func (s *RunServer) ListLots(ctx context.Context, req *dyelotv1.ListLotsRequest) (*dyelotv1.ListLotsResponse, error) {
	limit, after, err := pageByID(req.GetPageSize(), req.GetPageToken())
	if err != nil {
		return nil, err
	}
	if err := knownState(req.GetState()); err != nil {
		return nil, err
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.ListLotsResponse, error) {
		lots, err := tx.Lots(after, limit, req.GetState())
		if err != nil {
			return nil, err
		}
		runs, err := tx.RunsOfLots(lots)
		if err != nil {
			return nil, err
		}
		resp := &dyelotv1.ListLotsResponse{}
		for _, l := range lots {
			resp.Lots = append(resp.Lots, encodeLot(l, runs[l.RunID], nil))
		}
		if len(lots) == limit {
			resp.NextPageToken = nextPage(strconv.FormatInt(lots[limit-1].ID, 10))
		}
		return resp, nil
	})
}
