package main

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"errors"
	"fmt"
	"net"
	"sync"
	"sync/atomic"
	"time"

	"github.com/lib/pq"
	"google.golang.org/grpc"
	"google.golang.org/grpc/credentials/insecure"
	"google.golang.org/grpc/metadata"

	"dyelot/inventory/fastness"
	pb "dyelot/proto/dyelot/v1"
	"dyelot/server/api"
	"dyelot/server/store"
)

// callers record side by side, as in a studio with eight tablets.
const callers = 8

// stagesARun is how many stages of each lot wait to be recorded.
const stagesARun = 20

// record is stage records a second through the service, over the same rows by
// hand in the fewest statements that keep the laws, in the same cluster.
func (b *bench) record(ctx context.Context, dsn string) error {
	s, err := openService(ctx, dsn)
	if err != nil {
		return err
	}
	defer s.close()
	if err := s.furnish(); err != nil {
		return err
	}
	hand, err := openHand(dsn)
	if err != nil {
		return err
	}
	defer hand.db.Close()
	var ratios, ours, theirs []float64
	for range b.rounds {
		through, err := s.rate(b.each, s.recordOne)
		if err != nil {
			return fmt.Errorf("through the service: %w", err)
		}
		byHand, err := s.rate(b.each, hand.recordOne)
		if err != nil {
			return fmt.Errorf("by hand: %w", err)
		}
		ours, theirs, ratios = append(ours, through), append(theirs, byHand), append(ratios, through/byHand)
	}
	b.report("record_vs_sql", ratios, "records a second", ours, theirs)
	n, err := s.statementsARecord()
	fmt.Printf("%-22s statements a record: %.1f through the service, 1 by hand\n", "", n)
	return err
}

// service is the real service on the loopback, with a studio in it.
type service struct {
	ctx   context.Context
	store *store.Store
	db    *sql.DB
	serve *grpc.Server
	conn  *grpc.ClientConn
	runs  pb.RunServiceClient
	stock pb.StockServiceClient
	ids   atomic.Int64
	tasks chan task
}

// task is one stage of one lot that can be recorded.
type task struct {
	lot      string
	position int32
	parcel   string
}

func openService(ctx context.Context, dsn string) (*service, error) {
	if err := store.Migrate(ctx, dsn); err != nil {
		return nil, err
	}
	st, err := store.Open(ctx, dsn)
	if err != nil {
		return nil, err
	}
	if err := st.SeedHouse(ctx, fastness.Seed()); err != nil {
		return nil, err
	}
	sum := sha256.Sum256([]byte("bench"))
	if err := st.InTx(ctx, store.Principal{}, func(tx *store.Tx) error { return tx.ReplaceOwner(sum[:]) }); err != nil {
		return nil, err
	}
	server, err := api.New(api.Options{Store: st, Version: "bench"})
	if err != nil {
		return nil, err
	}
	l, err := (&net.ListenConfig{}).Listen(ctx, "tcp", "127.0.0.1:0")
	if err != nil {
		return nil, err
	}
	go func() { _ = server.Serve(l) }() // ends with close
	conn, err := grpc.NewClient(l.Addr().String(), grpc.WithTransportCredentials(insecure.NewCredentials()))
	if err != nil {
		return nil, err
	}
	db, err := sql.Open("postgres", dsn)
	return &service{ctx: metadata.AppendToOutgoingContext(ctx, "authorization", "Bearer bench"), store: st, db: db, serve: server.Server, conn: conn,
		runs: pb.NewRunServiceClient(conn), stock: pb.NewStockServiceClient(conn), tasks: make(chan task, 1<<20)}, err
}

func (s *service) close() {
	_ = errors.Join(s.conn.Close(), s.db.Close())
	s.serve.Stop()
	_ = s.store.Close()
}

func (s *service) id() string { return fmt.Sprintf("bench-%09d", s.ids.Add(1)) }

// rate runs one side with all callers for a while and returns its acts a second.
func (s *service) rate(each time.Duration, one func(context.Context, task) error) (float64, error) {
	var done atomic.Int64
	var failed error
	var once sync.Once
	var wg sync.WaitGroup
	began := time.Now()
	until := began.Add(each)
	for range callers {
		wg.Go(func() {
			for time.Now().Before(until) {
				t, err := s.next()
				if err == nil {
					err = one(s.ctx, t)
				}
				if err != nil {
					once.Do(func() { failed = err })
					return
				}
				done.Add(1)
			}
		})
	}
	wg.Wait()
	return float64(done.Load()) / time.Since(began).Seconds(), failed
}

// next hands a stage out; planning more of them is not part of what is measured
// but must not run dry either, so there are plenty from the start.
func (s *service) next() (task, error) {
	select {
	case t := <-s.tasks:
		return t, nil
	default:
		return task{}, errors.New("every planned stage was recorded: plan more")
	}
}

func (s *service) recordOne(ctx context.Context, t task) error {
	_, err := s.runs.RecordStage(ctx, &pb.RecordStageRequest{RequestId: s.id(), LotCodes: []string{t.lot}, Position: t.position, By: "bench-1", VesselCode: "basin",
		Used: []*pb.Taken{{ParcelCode: t.parcel, Amount: &pb.Amount{Value: "1", Unit: "g"}}}})
	return err
}

// statementsARecord counts what one record sends to the database.
func (s *service) statementsARecord() (float64, error) {
	const records = 20
	before := s.store.Statements()
	for range records {
		t, err := s.next()
		if err != nil {
			return 0, err
		}
		if err := s.recordOne(s.ctx, t); err != nil {
			return 0, err
		}
	}
	return float64(s.store.Statements()-before) / records, nil
}

// hand is what a good engineer would write without the service: one prepared
// statement a record that keeps the laws, its conditions inside it.
type hand struct {
	db   *sql.DB
	stmt *sql.Stmt
	ids  atomic.Int64
}

const byHand = `
	with lot_now as (select l.id, l.run_id, l.garment_ug + l.witness_ug as fibre from lot l where l.id = $1 and l.state = 'in-work' for update),
	free as (select from stage_record r join record_lot rl on rl.record_id = r.id where rl.lot_id = $1 and r.position = $2),
	poured as (insert into bath (vessel_id, kind, opened_at) select (select id from vessel where code = 'basin'), 'rinse', now() from lot_now where not exists (select from free) returning id),
	rec as (
		insert into stage_record (run_id, position, kind, bath_id, vessel_id, by_name, happened_at, recorded_at, recorded_by)
		select lot_now.run_id, $2, 'rinse', poured.id, (select id from vessel where code = 'basin'), 'bench-1', now(), now(), 1 from lot_now, poured returning id),
	served as (insert into record_lot (record_id, lot_id, fibre_ug) select rec.id, lot_now.id, lot_now.fibre from rec, lot_now),
	spent as (
		insert into promise_entry (promise_id, delta, why, at)
		select p.id, -p.outstanding, 'used', now() from promise p join planned_dose d on d.id = p.dose_id
		join planned_stage ps on ps.id = d.stage_id join planned_stage_lot sl on sl.stage_id = ps.id
		where sl.lot_id = $1 and ps.position = $2 and p.outstanding > 0 and exists (select from rec)),
	moved as (
		insert into movement (kind, happened_at, recorded_at, recorded_by, by_name, record_id) select 'use', now(), now(), 1, 'bench-1', rec.id from rec returning id),
	posted as (
		insert into posting (movement_id, kind, line, parcel_id, from_place, to_place, amount) select moved.id, 'use', 1, $3, 'shelf', 'process', 1000000 from moved),
	kept as (
		insert into request_ledger (principal_id, method, request_id, body_sha256, answer, at) values (1, '/dyelot.v1.RunService/RecordStage', $4, $5, $6, now())),
	noted as (
		insert into audit_entry (at, principal_id, act, request_id, body) values (now(), 1, '/dyelot.v1.RunService/RecordStage', $4, $7))
	select id from rec`

func openHand(dsn string) (*hand, error) {
	connector, err := pq.NewConnector(dsn)
	if err != nil {
		return nil, err
	}
	db := sql.OpenDB(connector)
	db.SetMaxOpenConns(callers)
	db.SetMaxIdleConns(callers)
	stmt, err := db.Prepare(byHand)
	return &hand{db: db, stmt: stmt}, err
}

// answerSize is about what an answer of the service takes in the ledger.
const answerSize = 600

func (h *hand) recordOne(ctx context.Context, t task) error {
	lot, err := store.ID('L', "lot", t.lot)
	if err != nil {
		return err
	}
	parcel, err := store.ID('P', "parcel", t.parcel)
	if err != nil {
		return err
	}
	asked := fmt.Sprintf(`{"lot_codes":[%q],"position":%d,"used":[{"parcel_code":%q,"amount":{"value":"1","unit":"g"}}],"by":"bench-1"}`, t.lot, t.position, t.parcel)
	sum := sha256.Sum256([]byte(asked))
	var id int64
	return h.stmt.QueryRowContext(ctx, lot, t.position, parcel, fmt.Sprintf("hand-%09d", h.ids.Add(1)), sum[:], make([]byte, answerSize), asked).Scan(&id)
}
