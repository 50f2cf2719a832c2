package api_test

import (
	"context"
	"crypto/sha256"
	"fmt"
	"net"
	"sync/atomic"
	"testing"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/credentials/insecure"
	"google.golang.org/grpc/metadata"
	"google.golang.org/grpc/status"
	"google.golang.org/grpc/test/bufconn"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/server/api"
	"dyelot/server/postgres/trial"
	"dyelot/server/store"
)

// shelfCaller is an owner who calls a service of their own through the real
// server, in memory, on a real database.
type shelfCaller struct {
	dyelotv1.StockServiceClient
	t      testing.TB
	ctx    context.Context
	studio dyelotv1.StudioServiceClient
	asked  atomic.Int64
}

func openStock(t testing.TB) *shelfCaller {
	t.Helper()
	s, err := store.Open(t.Context(), trial.New(t, trial.Schema{Name: "studio", Version: store.SchemaHash(), Migrate: store.Migrate}))
	if err != nil {
		t.Fatal(err)
	}
	const token = "a token for this test alone"
	sum := sha256.Sum256([]byte(token))
	if err := s.InTx(t.Context(), store.Principal{}, func(tx *store.Tx) error { return tx.ReplaceOwner(sum[:]) }); err != nil {
		t.Fatal(err)
	}
	server, err := api.New(api.Options{Store: s, Version: "test"})
	if err != nil {
		t.Fatal(err)
	}
	pipe := bufconn.Listen(1 << 20)
	done := make(chan error)
	go func() { done <- server.Serve(pipe) }()
	conn, err := grpc.NewClient("passthrough:///shelf", grpc.WithTransportCredentials(insecure.NewCredentials()),
		grpc.WithContextDialer(func(ctx context.Context, _ string) (net.Conn, error) { return pipe.DialContext(ctx) }))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		server.Stop()
		for _, err := range []error{conn.Close(), <-done, s.Close()} {
			if err != nil {
				t.Error(err)
			}
		}
	})
	return &shelfCaller{
		StockServiceClient: dyelotv1.NewStockServiceClient(conn), studio: dyelotv1.NewStudioServiceClient(conn), t: t,
		ctx: metadata.AppendToOutgoingContext(context.WithoutCancel(t.Context()), "authorization", "Bearer "+token),
	}
}

// id is a fresh request id.
func (c *shelfCaller) id() string { return fmt.Sprintf("request-%d", c.asked.Add(1)) }

// whole fails the test unless the books verify.
func (c *shelfCaller) whole() {
	c.t.Helper()
	v, err := c.studio.VerifyBooks(c.ctx, &dyelotv1.VerifyBooksRequest{})
	if err != nil || len(v.GetFindings()) > 0 {
		c.t.Errorf("the books do not hold: %v %v", v.GetFindings(), err)
	}
}

// must fails the test unless a call was answered.
func must[R any](t testing.TB) func(R, error) R {
	return func(r R, err error) R {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
}

func (c *shelfCaller) item(it *dyelotv1.Item) *dyelotv1.Item {
	c.t.Helper()
	return must[*dyelotv1.CreateItemResponse](c.t)(c.CreateItem(c.ctx, &dyelotv1.CreateItemRequest{RequestId: c.id(), Item: it})).GetItem()
}

// bag receives a delivery and returns the parcel's code and the movement's.
func (c *shelfCaller) bag(item, value, unit string) (parcel, movement string) {
	c.t.Helper()
	r := must[*dyelotv1.ReceiveDeliveryResponse](c.t)(c.ReceiveDelivery(c.ctx, &dyelotv1.ReceiveDeliveryRequest{RequestId: c.id(), ItemCode: item, Amount: amountOf(value, unit), Supplier: "harbour salts"}))
	return r.GetParcel().GetCode(), r.GetMovement().GetCode()
}

func (c *shelfCaller) parcel(code string) *dyelotv1.GetParcelResponse {
	c.t.Helper()
	return must[*dyelotv1.GetParcelResponse](c.t)(c.GetParcel(c.ctx, &dyelotv1.GetParcelRequest{Code: code}))
}

// stands fails the test unless a parcel holds, promises and has free so much.
func (c *shelfCaller) stands(code, onHand, promised, free string) {
	c.t.Helper()
	p := c.parcel(code).GetParcel()
	if p.GetOnHand().GetValue() != onHand || p.GetPromised().GetValue() != promised || p.GetFree().GetValue() != free {
		c.t.Errorf("%s holds %v, promised %v, free %v; want %s, %s, %s", code, p.GetOnHand(), p.GetPromised(), p.GetFree(), onHand, promised, free)
	}
}

func amountOf(value, unit string) *dyelotv1.Amount { return &dyelotv1.Amount{Value: value, Unit: unit} }

func alum() *dyelotv1.Item {
	return &dyelotv1.Item{Code: "alum", Kind: "mordant", Substance: "potassium alum"}
}

// said is the machine's part of a refusal: reason and numbers, the field among
// them.
func said(err error) (code codes.Code, reason string, numbers map[string]string) {
	s := status.Convert(err)
	for _, d := range s.Details() {
		if info, ok := d.(*errdetails.ErrorInfo); ok {
			return s.Code(), info.GetReason(), info.GetMetadata()
		}
	}
	return s.Code(), "", nil
}

// refused fails the test unless a call was refused by that rule.
func refused(t testing.TB, err error, reason string) map[string]string {
	t.Helper()
	code, got, numbers := said(err)
	if code != codes.FailedPrecondition || got != reason {
		t.Errorf("got %v, want the rule %s", err, reason)
	}
	return numbers
}

// off fails the test unless a call was refused for that field.
func off(t testing.TB, err error, field string) {
	t.Helper()
	if code, _, numbers := said(err); code != codes.InvalidArgument || numbers["field"] != field {
		t.Errorf("got %v, want the field %s refused", err, field)
	}
}
