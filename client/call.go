package client

import (
	"context"
	"crypto/rand"
	"encoding/base32"
	"strings"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// The session is the connection: it dials at the first call, gives every call
// a deadline and every changing one a request id. So a command only says
// s.stock().CountParcel(ctx, request).
var _ grpc.ClientConnInterface = (*session)(nil)

func (s *session) studios() dyelotv1.StudioServiceClient  { return dyelotv1.NewStudioServiceClient(s) }
func (s *session) stock() dyelotv1.StockServiceClient     { return dyelotv1.NewStockServiceClient(s) }
func (s *session) recipes() dyelotv1.RecipeServiceClient  { return dyelotv1.NewRecipeServiceClient(s) }
func (s *session) runs() dyelotv1.RunServiceClient        { return dyelotv1.NewRunServiceClient(s) }
func (s *session) judge() dyelotv1.JudgeServiceClient     { return dyelotv1.NewJudgeServiceClient(s) }
func (s *session) logbook() dyelotv1.LogbookServiceClient { return dyelotv1.NewLogbookServiceClient(s) }
func (s *session) pots() dyelotv1.PotServiceClient        { return dyelotv1.NewPotServiceClient(s) }
func (s *session) costs() dyelotv1.CostServiceClient      { return dyelotv1.NewCostServiceClient(s) }
func (s *session) cloth() dyelotv1.ClothServiceClient     { return dyelotv1.NewClothServiceClient(s) }
func (s *session) depths() dyelotv1.DepthServiceClient    { return dyelotv1.NewDepthServiceClient(s) }
func (s *session) wear() dyelotv1.WearServiceClient       { return dyelotv1.NewWearServiceClient(s) }
func (s *session) recalls() dyelotv1.RecallServiceClient  { return dyelotv1.NewRecallServiceClient(s) }
func (s *session) garments() dyelotv1.GarmentServiceClient {
	return dyelotv1.NewGarmentServiceClient(s)
}

// Invoke is one unary call.
func (s *session) Invoke(ctx context.Context, method string, request, answer any, opts ...grpc.CallOption) error {
	conn, err := s.dial()
	if err != nil {
		return err
	}
	s.identify(request)
	ctx, stop := context.WithTimeout(ctx, s.timeout(defaultTimeout))
	defer stop()
	if err := conn.Invoke(ctx, method, request, answer, opts...); err != nil {
		return err
	}
	s.lastID = "" // answered: nobody needs to ask again
	return nil
}

// NewStream begins one streaming call; it ends with its deadline or its last
// message.
func (s *session) NewStream(ctx context.Context, desc *grpc.StreamDesc, method string, opts ...grpc.CallOption) (grpc.ClientStream, error) {
	conn, err := s.dial()
	if err != nil {
		return nil, err
	}
	ctx, stop := context.WithTimeout(ctx, s.timeout(backupTimeout))
	context.AfterFunc(ctx, stop)
	return conn.NewStream(ctx, desc, method, opts...)
}

func (s *session) timeout(usual time.Duration) time.Duration {
	if s.flags.Timeout > 0 {
		return s.flags.Timeout
	}
	return usual
}

// identify names a changing request, so that a repetition is recorded once.
func (s *session) identify(request any) {
	m, ok := request.(proto.Message)
	if !ok {
		return
	}
	field := m.ProtoReflect().Descriptor().Fields().ByName("request_id")
	if field == nil {
		return
	}
	s.lastID = s.flags.RequestID
	if s.lastID == "" {
		s.lastID = newRequestID()
	}
	m.ProtoReflect().Set(field, protoreflect.ValueOfString(s.lastID))
}

var base32Lower = base32.StdEncoding.WithPadding(base32.NoPadding)

// newRequestID is "r-" and 128 random bits in base 32.
func newRequestID() string { return "r-" + randomWord(16) }

// randomWord is n random bytes as lower-case letters and the digits 2 to 7.
func randomWord(n int) string {
	b := make([]byte, n)
	_, _ = rand.Read(b) // never fails: it ends the program instead
	return strings.ToLower(base32Lower.EncodeToString(b))
}
