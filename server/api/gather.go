package api

import (
	"context"
	"time"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/caution"
	"dyelot/inventory/fault"
	"dyelot/inventory/season"
	"dyelot/server/store"
)

// GatherServer answers GatherService: what to gather, and what was missed.
type GatherServer struct {
	dyelotv1.UnsafeGatherServiceServer
	store *store.Store
	near  *swatchIndexes // the swatch book's own: stand-ins are its pages
}

// NewGatherServer answers from a store, and finds stand-ins in a swatch book.
func NewGatherServer(s *store.Store, book *SwatchServer) *GatherServer {
	return &GatherServer{store: s, near: book.near}
}

const (
	usualGatherDays = 8 * 7
	mostGatherDays  = 2 * 366
	mostWidening    = 60
)

// GetGatherList says what to gather in a period, what comes later, and what was
// missed with what can stand in for it.
func (s *GatherServer) GetGatherList(ctx context.Context, req *dyelotv1.GetGatherListRequest) (*dyelotv1.GetGatherListResponse, error) {
	widen, err := widening(req.GetWidenDays())
	if err != nil {
		return nil, err
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.GetGatherListResponse, error) {
		plants, err := plantsOf(tx, widen)
		if err != nil {
			return nil, err
		}
		from, to, err := gatherPeriod(req, plants.Today)
		if err != nil {
			return nil, err
		}
		resp := &dyelotv1.GetGatherListResponse{Today: showDay(plants.Today), From: showDay(from), To: showDay(to), Cautions: encodeCautions(caution.ForStage("gather", nil, false))}
		for _, l := range plants.Lines() {
			switch {
			case l.State == season.GatherLater && l.Span.Opens.After(to):
				resp.Later++
				continue
			case l.State == season.GatherNow && l.Span.Closes.Before(from) && !l.Weeks.AllYear():
				continue
			}
			line, err := s.encodeLine(ctx, tx, plants, l)
			if err != nil {
				return nil, err
			}
			resp.Lines = append(resp.Lines, line)
		}
		return resp, nil
	})
}

func widening(days int32) (int, error) {
	if days < 0 || days > mostWidening {
		return 0, fault.BadField("widen_days", "%d: own weeks are widened by 0 to %d days at each end", days, mostWidening)
	}
	return int(days), nil
}

func gatherPeriod(req *dyelotv1.GetGatherListRequest, today time.Time) (from, to time.Time, err error) {
	if from, err = day("from", req.GetFrom()); err != nil {
		return from, to, err
	}
	if to, err = day("to", req.GetTo()); err != nil {
		return from, to, err
	}
	if from.IsZero() {
		from = today
	}
	if to.IsZero() {
		to = from.AddDate(0, 0, usualGatherDays-1)
	}
	switch {
	case from.Before(today):
		return from, to, fault.BadField("from", "%s is before today, %s: what is past is not gathered any more", showDay(from), showDay(today))
	case to.Before(from):
		return from, to, fault.BadField("to", "%s is before %s", showDay(to), showDay(from))
	case to.Sub(from) > mostGatherDays*24*time.Hour:
		return from, to, fault.BadField("to", "%s is more than two years after %s", showDay(to), showDay(from))
	}
	return from, to, nil
}

// encodeLine is a line of the list; what was missed brings its stand-ins, unless
// a person gave it up.
func (s *GatherServer) encodeLine(ctx context.Context, tx *store.Tx, plants store.Plants, l season.GatherLine) (*dyelotv1.GatherLine, error) {
	m := encodeGatherLine(l, plants.Today)
	note, given := plants.Noted(l)
	switch {
	case given:
		m.Note = encodeMissed(note)
		return m, nil
	case l.State != season.GatherMissed:
		return m, nil
	}
	ask := standInCall{k: season.UsualStandIns, within: season.NearEnough, without: season.Supply{Plant: l.Plant, Part: l.Part}}
	var err error
	m.StandIns, err = s.standIns(ctx, tx, plants, ask, fibreOf(l.Left))
	return m, err
}
