package api_test

import (
	"context"
	"crypto/sha256"
	"fmt"
	"slices"
	"testing"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	healthpb "google.golang.org/grpc/health/grpc_health_v1"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/reflect/protoregistry"
	"google.golang.org/protobuf/types/dynamicpb"

	"dyelot/server/access"
	"dyelot/server/api/apitest"
	"dyelot/server/store"
)

var roles = []string{"owner", "dyer", "bench", "laboratory", "shop", "viewer"}

// Law 10: every RPC, with every role, without a token, and with one that is
// forged, expired or revoked.
func TestLaw10EveryMethodLetsInTheRolesItNamesAndNobodyElse(t *testing.T) {
	t.Parallel()
	h := apitest.New(t)
	policy, err := access.Read(services()...)
	if err != nil {
		t.Fatal(err)
	}
	tokens := map[string]context.Context{"forged": apitest.WithToken(t.Context(), "dl-made-up"), "none": t.Context()}
	for _, r := range roles {
		tokens[r] = h.As("only-"+r, r)
	}
	for _, ended := range []string{"expired", "revoked"} {
		tokens[ended] = endedToken(h, ended)
	}
	calls := 0
	for _, s := range services() {
		for i := range s.Methods().Len() {
			m := s.Methods().Get(i)
			name := fmt.Sprintf("/%s/%s", s.FullName(), m.Name())
			for who, ctx := range tokens {
				calls++
				got := status.Code(call(ctx, h.Conn, name, m))
				switch {
				case !slices.Contains(roles, who):
					if got != codes.Unauthenticated {
						t.Errorf("%s with a token that is %s: %s", name, who, got)
					}
				case slices.Contains(policy[name].Roles, who):
					if got == codes.PermissionDenied || got == codes.Unauthenticated || got == codes.Unimplemented {
						t.Errorf("%s does not let %s in: %s", name, who, got)
					}
				case got != codes.PermissionDenied:
					t.Errorf("%s lets %s in: %s", name, who, got)
				}
			}
		}
	}
	if calls < 50*len(tokens) {
		t.Fatalf("only %d calls were made: the walk went wrong", calls)
	}
}

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

// call sends an empty request, which no method of ours carries out by itself.
func call(ctx context.Context, conn *grpc.ClientConn, name string, m protoreflect.MethodDescriptor) error {
	if !m.IsStreamingServer() {
		return conn.Invoke(ctx, name, dynamicpb.NewMessage(m.Input()), dynamicpb.NewMessage(m.Output()))
	}
	stream, err := conn.NewStream(ctx, &grpc.StreamDesc{ServerStreams: true}, name)
	if err != nil {
		return err
	}
	if err := stream.SendMsg(dynamicpb.NewMessage(m.Input())); err != nil {
		return err
	}
	if err := stream.CloseSend(); err != nil {
		return err
	}
	return stream.RecvMsg(dynamicpb.NewMessage(m.Output()))
}

func endedToken(h *apitest.House, how string) context.Context {
	token := "test-" + how
	sum := sha256.Sum256([]byte(token))
	err := h.Store.InTx(h.Ctx, store.Principal{}, func(tx *store.Tx) error {
		past := tx.Now.Add(-time.Minute)
		var expires *time.Time
		if how == "expired" {
			expires = &past
		}
		if _, err := tx.AddPrincipal(how, roles, sum[:], expires); err != nil || how == "expired" {
			return err
		}
		_, err := tx.Revoke(how)
		return err
	})
	if err != nil {
		h.T.Fatal(err)
	}
	return apitest.WithToken(h.Ctx, token)
}

// Health and reflection say only that a server is here: they ask for no token.
func TestHealthAsksForNoToken(t *testing.T) {
	t.Parallel()
	h := apitest.New(t)
	resp, err := healthpb.NewHealthClient(h.Conn).Check(t.Context(), &healthpb.HealthCheckRequest{})
	if err != nil || resp.GetStatus() != healthpb.HealthCheckResponse_SERVING {
		t.Fatal(resp, err)
	}
}
