// Package access holds who may do what. The rule stands in the contract, as an
// option of each method; this package reads it, refuses to start without it,
// and asks it at each call.
package access

import (
	"context"
	"crypto/sha256"
	"fmt"
	"slices"
	"strings"

	"google.golang.org/grpc"
	"google.golang.org/grpc/metadata"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	"dyelot/inventory/fault"
	dyelotv1 "dyelot/proto/dyelot/v1"
	"dyelot/server/store"
)

// Rule is what the contract says of one method.
type Rule struct {
	Roles   []string // owner, dyer, bench, laboratory, shop, viewer
	Changes bool     // its request carries a request_id
}

// Policy is every method's rule, by full name: "/dyelot.v1.StockService/CreateItem".
type Policy map[string]Rule

// open methods need no token: they say only that a server is here and how to
// talk to it.
var open = []string{"/grpc.health.v1.Health/", "/grpc.reflection.v1.ServerReflection/", "/grpc.reflection.v1alpha.ServerReflection/"}

// Read collects the rules of these services. An error names each method that
// has none, or a changing one whose request has no request_id.
func Read(services ...protoreflect.ServiceDescriptor) (Policy, error) {
	p := Policy{}
	var holes []string
	for _, s := range services {
		for j := range s.Methods().Len() {
			m := s.Methods().Get(j)
			rule, err := ruleOf(m)
			if err != nil {
				holes = append(holes, err.Error())
			}
			p[fmt.Sprintf("/%s/%s", s.FullName(), m.Name())] = rule
		}
	}
	if len(holes) > 0 {
		return nil, fmt.Errorf("the contract is open: %s", strings.Join(holes, "; "))
	}
	return p, nil
}

func ruleOf(m protoreflect.MethodDescriptor) (Rule, error) {
	a, _ := proto.GetExtension(m.Options(), dyelotv1.E_Access).(*dyelotv1.Access)
	if len(a.GetRoles()) == 0 {
		return Rule{}, fmt.Errorf("%s names no role", m.FullName())
	}
	r := Rule{Changes: a.GetChanges()}
	for _, role := range a.GetRoles() {
		name := RoleName(role)
		if name == "" {
			return Rule{}, fmt.Errorf("%s names an unknown role", m.FullName())
		}
		r.Roles = append(r.Roles, name)
	}
	if id := m.Input().Fields().ByName("request_id"); r.Changes != (id != nil) {
		return Rule{}, fmt.Errorf("%s: a method that changes the books carries a request_id, and no other does", m.FullName())
	}
	return r, nil
}

// RoleName is the word for a role, "" for none.
func RoleName(r dyelotv1.Role) string {
	if r == dyelotv1.Role_ROLE_UNSPECIFIED {
		return ""
	}
	name, ok := dyelotv1.Role_name[int32(r)]
	if !ok {
		return ""
	}
	return strings.ToLower(strings.TrimPrefix(name, "ROLE_"))
}

// Roles turns words back into roles.
func Roles(words []string) []dyelotv1.Role {
	rs := make([]dyelotv1.Role, len(words))
	for i, w := range words {
		rs[i] = dyelotv1.Role(dyelotv1.Role_value["ROLE_"+strings.ToUpper(w)])
	}
	return rs
}

type callerKey struct{}

// Caller is who the call was let in as; the zero Principal outside a call.
func Caller(ctx context.Context) store.Principal {
	p, _ := ctx.Value(callerKey{}).(store.Principal)
	return p
}

// Guard asks the policy at each call.
type Guard struct {
	Policy Policy
	// Find looks a token's SHA-256 up.
	Find func(ctx context.Context, sha256 []byte) (store.Principal, error)
}

// Admit returns a context that knows the caller, or the fault that keeps them
// out: fault.Unauthenticated without a good token, fault.Forbidden when no
// role of theirs is allowed or the method has no rule at all.
func (g *Guard) Admit(ctx context.Context, method string) (context.Context, error) {
	for _, prefix := range open {
		if strings.HasPrefix(method, prefix) {
			return ctx, nil
		}
	}
	md, _ := metadata.FromIncomingContext(ctx)
	token, ok := strings.CutPrefix(strings.Join(md.Get("authorization"), ""), "Bearer ")
	if !ok || token == "" {
		return nil, fault.New(fault.Unauthenticated, "TOKEN_MISSING", "a token is needed: set DYELOT_TOKEN, or token in the configuration file")
	}
	sum := sha256.Sum256([]byte(token))
	p, err := g.Find(ctx, sum[:])
	if err != nil {
		return nil, err
	}
	rule, known := g.Policy[method]
	if !known || !slices.ContainsFunc(rule.Roles, func(r string) bool { return slices.Contains(p.Roles, r) }) {
		return nil, fault.New(fault.Forbidden, "ROLE_MISSING", "%s is %s, and this needs %s", p.Name, strings.Join(p.Roles, " and "), strings.Join(rule.Roles, " or "))
	}
	return context.WithValue(ctx, callerKey{}, p), nil
}

// Unary and Stream put the guard before every handler.
func (g *Guard) Unary(ctx context.Context, req any, info *grpc.UnaryServerInfo, next grpc.UnaryHandler) (any, error) {
	ctx, err := g.Admit(ctx, info.FullMethod)
	if err != nil {
		return nil, err
	}
	return next(ctx, req)
}

// Stream is Unary for streams.
func (g *Guard) Stream(srv any, ss grpc.ServerStream, info *grpc.StreamServerInfo, next grpc.StreamHandler) error {
	ctx, err := g.Admit(ss.Context(), info.FullMethod)
	if err != nil {
		return err
	}
	return next(srv, admitted{ss, ctx})
}

type admitted struct {
	grpc.ServerStream
	ctx context.Context
}

func (a admitted) Context() context.Context { return a.ctx }
