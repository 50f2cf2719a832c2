// Package api holds the handlers: each decodes its request into the types of
// inventory, once, lets one transaction load, decide and write, and encodes
// the answer. It is the only room of the server that knows the contract.
package api

import (
	"context"
	"fmt"
	"log/slog"
	"runtime/debug"
	"time"

	"github.com/grpc-ecosystem/go-grpc-middleware/v2/interceptors/recovery"
	"google.golang.org/grpc"
	"google.golang.org/grpc/health"
	healthpb "google.golang.org/grpc/health/grpc_health_v1"
	"google.golang.org/grpc/keepalive"
	"google.golang.org/grpc/reflection"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/reflect/protoregistry"

	dyelotv1 "dyelot/proto/dyelot/v1"
	"dyelot/server/access"
	"dyelot/server/store"
)

// Options of a server.
type Options struct {
	Store   *store.Store
	Version string
	// Backup writes a copy of the whole database; nil where none can be made.
	Backup Backup
	// Watch sees every call, outermost: logs and metrics.
	WatchUnary  grpc.UnaryServerInterceptor
	WatchStream grpc.StreamServerInterceptor
	ServerOpts  []grpc.ServerOption
}

// Server is the gRPC server with everything registered.
type Server struct {
	*grpc.Server
	Health *health.Server
}

const (
	// callLimit ends a call whose caller set no deadline, or a longer one.
	callLimit = 30 * time.Second
	// maxStreams a connection keeps one client from taking all callers' room.
	maxStreams = 100
)

// New builds the server. It fails when the contract has a method that names no
// role.
func New(o Options) (*Server, error) {
	policy, err := access.Read(services()...)
	if err != nil {
		return nil, err
	}
	guard := &access.Guard{Policy: policy, Find: o.Store.PrincipalByToken}
	unary := []grpc.UnaryServerInterceptor{unaryStatus, recovery.UnaryServerInterceptor(recovery.WithRecoveryHandlerContext(recovered)), guard.Unary, unaryText, deadline}
	stream := []grpc.StreamServerInterceptor{streamStatus, recovery.StreamServerInterceptor(recovery.WithRecoveryHandlerContext(recovered)), guard.Stream, streamText}
	if o.WatchUnary != nil {
		unary = append([]grpc.UnaryServerInterceptor{o.WatchUnary}, unary...)
	}
	if o.WatchStream != nil {
		stream = append([]grpc.StreamServerInterceptor{o.WatchStream}, stream...)
	}
	s := grpc.NewServer(append(o.ServerOpts,
		grpc.ChainUnaryInterceptor(unary...),
		grpc.ChainStreamInterceptor(stream...),
		grpc.ForceServerCodecV2(newLenient()),
		grpc.MaxRecvMsgSize(maxMessage),
		grpc.MaxConcurrentStreams(maxStreams),
		grpc.KeepaliveEnforcementPolicy(keepalive.EnforcementPolicy{MinTime: 10 * time.Second, PermitWithoutStream: true}),
	)...)
	dyelotv1.RegisterStudioServiceServer(s, NewStudioServer(o.Store, o.Version, o.Backup))
	dyelotv1.RegisterStockServiceServer(s, NewStockServer(o.Store))
	dyelotv1.RegisterRecipeServiceServer(s, NewRecipeServer(o.Store))
	dyelotv1.RegisterRunServiceServer(s, NewRunServer(o.Store))
	dyelotv1.RegisterJudgeServiceServer(s, NewJudgeServer(o.Store))
	dyelotv1.RegisterGarmentServiceServer(s, NewGarmentServer(o.Store))
	dyelotv1.RegisterLogbookServiceServer(s, NewLogbookServer(o.Store))
	dyelotv1.RegisterCommissionServiceServer(s, NewCommissionServer(o.Store))
	dyelotv1.RegisterPotServiceServer(s, NewPotServer(o.Store))
	dyelotv1.RegisterClothServiceServer(s, NewClothServer(o.Store))
	dyelotv1.RegisterOpeningServiceServer(s, NewOpeningServer(o.Store))
	dyelotv1.RegisterShadeServiceServer(s, NewShadeServer(o.Store))
	dyelotv1.RegisterMeasureServiceServer(s, NewMeasureServer(o.Store))
	dyelotv1.RegisterDepthServiceServer(s, NewDepthServer(o.Store))
	dyelotv1.RegisterWearServiceServer(s, NewWearServer(o.Store))
	book := NewSwatchServer(o.Store)
	dyelotv1.RegisterSwatchServiceServer(s, book)
	dyelotv1.RegisterGatherServiceServer(s, NewGatherServer(o.Store, book))
	dyelotv1.RegisterDaysServiceServer(s, NewDaysServer(o.Store))
	dyelotv1.RegisterSeasonServiceServer(s, NewSeasonServer(o.Store))
	dyelotv1.RegisterCostServiceServer(s, NewCostServer(o.Store))
	dyelotv1.RegisterPurchaseServiceServer(s, NewPurchaseServer(o.Store))
	dyelotv1.RegisterCauseServiceServer(s, NewCauseServer(o.Store))
	dyelotv1.RegisterRecallServiceServer(s, NewRecallServer(o.Store))
	h := health.NewServer()
	healthpb.RegisterHealthServer(s, h)
	reflection.Register(s)
	return &Server{s, h}, nil
}

// services are those of every file of the contract that a server may register.
func services() []protoreflect.ServiceDescriptor {
	var found []protoreflect.ServiceDescriptor
	protoregistry.GlobalFiles.RangeFilesByPackage("dyelot.v1", func(f protoreflect.FileDescriptor) bool {
		for i := range f.Services().Len() {
			found = append(found, f.Services().Get(i))
		}
		return true
	})
	return found
}

func recovered(ctx context.Context, p any) error {
	slog.ErrorContext(ctx, "a handler panicked", "panic", p, "stack", string(debug.Stack()))
	return fmt.Errorf("panic: %v", p)
}

func deadline(ctx context.Context, req any, _ *grpc.UnaryServerInfo, next grpc.UnaryHandler) (any, error) {
	ctx, cancel := context.WithTimeout(ctx, callLimit)
	defer cancel()
	return next(ctx, req)
}

func streamText(srv any, ss grpc.ServerStream, _ *grpc.StreamServerInfo, next grpc.StreamHandler) error {
	return next(srv, swept{ss})
}

// swept checks the text of each message that a stream receives.
type swept struct{ grpc.ServerStream }

func (s swept) RecvMsg(m any) error {
	if err := s.ServerStream.RecvMsg(m); err != nil {
		return err
	}
	return checkRequest(m)
}
