package api

import (
	"context"
	"strings"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fastness"
	"dyelot/server/store"
)

// JudgeServer answers JudgeService.
type JudgeServer struct {
	dyelotv1.UnsafeJudgeServiceServer
	store *store.Store
}

// NewJudgeServer answers from a store.
func NewJudgeServer(s *store.Store) *JudgeServer { return &JudgeServer{store: s} }

// ListMethods lists the one table of methods.
func (s *JudgeServer) ListMethods(context.Context, *dyelotv1.ListMethodsRequest) (*dyelotv1.ListMethodsResponse, error) {
	resp := &dyelotv1.ListMethodsResponse{}
	for _, m := range fastness.Methods() {
		method := &dyelotv1.Method{Key: m.Key, Title: strings.TrimPrefix(m.Standard+": "+m.Title, ": "), Own: m.StudioOwn, Caution: m.Caution}
		for _, v := range m.Variants {
			method.Variants = append(method.Variants, v.Key)
		}
		for _, c := range m.Components {
			method.Components = append(method.Components, c.Key)
		}
		resp.Methods = append(resp.Methods, method)
	}
	return resp, nil
}
