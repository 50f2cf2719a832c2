// Package apitest is a studio in three lines: the real server over a real
// database, reached through gRPC in this process.
//
//	h := apitest.New(t)
//	bag := h.Receive("alum", "500g")
//	h.Stock.CountParcel(h.Ctx, &pb.CountParcelRequest{RequestId: h.ID(), …})
package apitest

import (
	"context"
	"crypto/sha256"
	"fmt"
	"net"
	"sync/atomic"
	"testing"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/credentials/insecure"
	"google.golang.org/grpc/metadata"
	"google.golang.org/grpc/status"
	"google.golang.org/grpc/test/bufconn"

	"dyelot/inventory/quantity"
	pb "dyelot/proto/dyelot/v1"
	"dyelot/server/api"
	"dyelot/server/store"
	"dyelot/server/store/storetest"
)

// House is a running studio and its clients, called as the owner.
type House struct {
	T       testing.TB
	Ctx     context.Context // carries the owner's token
	Store   *store.Store
	DSN     string
	Conn    *grpc.ClientConn
	Studio  pb.StudioServiceClient
	Stock   pb.StockServiceClient
	Recipes pb.RecipeServiceClient
	Runs    pb.RunServiceClient
	Judge   pb.JudgeServiceClient
	Garment pb.GarmentServiceClient
	Logbook pb.LogbookServiceClient
	Orders  pb.CommissionServiceClient
	Pot     pb.PotServiceClient
	Depth   pb.DepthServiceClient
	Swatch  pb.SwatchServiceClient
	Gather  pb.GatherServiceClient
	Days    pb.DaysServiceClient
	Season  pb.SeasonServiceClient
	Buy     pb.PurchaseServiceClient
	Cause   pb.CauseServiceClient
	Recall  pb.RecallServiceClient

	ids atomic.Int64
}

// New starts one for a test and stops it at its end.
func New(t testing.TB) *House {
	t.Helper()
	s, dsn := storetest.Open(t)
	h := &House{T: t, Store: s, DSN: dsn}
	h.Ctx = h.As("owner", "owner")
	server, err := api.New(api.Options{Store: s, Version: "test"})
	if err != nil {
		t.Fatal(err)
	}
	l := bufconn.Listen(1 << 20)
	go func() { _ = server.Serve(l) }() // ends with Stop below
	conn, err := grpc.NewClient("passthrough:///studio",
		grpc.WithContextDialer(func(ctx context.Context, _ string) (net.Conn, error) { return l.DialContext(ctx) }),
		grpc.WithTransportCredentials(insecure.NewCredentials()),
		grpc.WithDefaultCallOptions(grpc.MaxCallSendMsgSize(32<<20)))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		_ = conn.Close()
		server.Stop()
	})
	h.Conn = conn
	h.Studio, h.Stock, h.Recipes = pb.NewStudioServiceClient(conn), pb.NewStockServiceClient(conn), pb.NewRecipeServiceClient(conn)
	h.Runs, h.Judge, h.Garment = pb.NewRunServiceClient(conn), pb.NewJudgeServiceClient(conn), pb.NewGarmentServiceClient(conn)
	h.Logbook = pb.NewLogbookServiceClient(conn)
	h.Orders = pb.NewCommissionServiceClient(conn)
	h.Pot = pb.NewPotServiceClient(conn)
	h.Depth = pb.NewDepthServiceClient(conn)
	h.Swatch = pb.NewSwatchServiceClient(conn)
	h.Gather = pb.NewGatherServiceClient(conn)
	h.Days = pb.NewDaysServiceClient(conn)
	h.Season = pb.NewSeasonServiceClient(conn)
	h.Buy = pb.NewPurchaseServiceClient(conn)
	h.Cause = pb.NewCauseServiceClient(conn)
	h.Recall = pb.NewRecallServiceClient(conn)
	return h
}

// As gives a token to a new principal and returns a context that carries it.
func (h *House) As(name string, roles ...string) context.Context {
	h.T.Helper()
	token := "test-" + name
	sum := sha256.Sum256([]byte(token))
	err := h.Store.InTx(h.T.Context(), store.Principal{}, func(tx *store.Tx) error {
		_, err := tx.AddPrincipal(name, roles, sum[:], nil)
		return err
	})
	if err != nil {
		h.T.Fatal(err)
	}
	return WithToken(h.T.Context(), token)
}

// WithToken is a context whose calls carry a token.
func WithToken(ctx context.Context, token string) context.Context {
	return metadata.AppendToOutgoingContext(ctx, "authorization", "Bearer "+token)
}

// ID is a fresh request id.
func (h *House) ID() string { return fmt.Sprintf("test-request-%d", h.ids.Add(1)) }

// Amount reads "162g" for a request; it fails the test when it cannot.
func (h *House) Amount(text string) *pb.Amount {
	h.T.Helper()
	a, err := quantity.ParseText(text)
	if err != nil {
		h.T.Fatal(err)
	}
	value, unit := a.Decimal()
	return &pb.Amount{Value: value, Unit: unit}
}

// Must fails the test on an error and returns the answer.
func Must[R any](h *House, answer R, err error) R {
	h.T.Helper()
	if err != nil {
		h.T.Fatalf("%v", err)
	}
	return answer
}

// Refused fails the test unless err has this code.
func (h *House) Refused(err error, code codes.Code) {
	h.T.Helper()
	if status.Code(err) != code {
		h.T.Fatalf("want %s, got %v", code, err)
	}
}

// Item creates an item and returns its code.
func (h *House) Item(it *pb.Item) string {
	h.T.Helper()
	resp, err := h.Stock.CreateItem(h.Ctx, &pb.CreateItemRequest{RequestId: h.ID(), Item: it})
	return Must(h, resp, err).GetItem().GetCode()
}

// Receive books a delivery and returns the parcel's code.
func (h *House) Receive(item, amount string) string {
	h.T.Helper()
	resp, err := h.Stock.ReceiveDelivery(h.Ctx, &pb.ReceiveDeliveryRequest{RequestId: h.ID(), ItemCode: item, Amount: h.Amount(amount), Supplier: "harbour supplies"})
	return Must(h, resp, err).GetParcel().GetCode()
}
