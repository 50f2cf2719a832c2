package api

import (
	"context"
	"slices"
	"time"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/server/access"
	"dyelot/server/store"
)

func (s *StudioServer) CreateToken(ctx context.Context, req *dyelotv1.CreateTokenRequest) (*dyelotv1.CreateTokenResponse, error) {
	if err := needed("name", req.GetName()); err != nil {
		return nil, err
	}
	if len(req.GetTokenSha256()) != 32 {
		return nil, fault.BadField("token_sha256", "has %d bytes: the SHA-256 of the token has 32", len(req.GetTokenSha256()))
	}
	roles, err := decodeRoles(req.GetRoles())
	if err != nil {
		return nil, err
	}
	var expires *time.Time
	if ts := req.GetExpiresAt(); ts != nil {
		if ts.CheckValid() != nil {
			return nil, fault.BadField("expires_at", "is not a time")
		}
		at := ts.AsTime().UTC().Truncate(time.Microsecond)
		expires = &at
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.CreateTokenResponse, error) {
		if expires != nil && !expires.After(tx.Now) {
			return nil, fault.BadField("expires_at", "%s is past", expires.Format(time.RFC3339))
		}
		p, err := tx.AddPrincipal(req.GetName(), roles, req.GetTokenSha256(), expires)
		return &dyelotv1.CreateTokenResponse{Token: encodeToken(p)}, err
	})
}

func decodeRoles(rs []dyelotv1.Role) ([]string, error) {
	var words []string
	for _, r := range rs {
		w := access.RoleName(r)
		if w == "" {
			return nil, fault.BadField("roles", "%d is not a role", r)
		}
		if !slices.Contains(words, w) {
			words = append(words, w)
		}
	}
	if len(words) == 0 {
		return nil, fault.BadField("roles", "is needed: owner, dyer, bench, laboratory, shop or viewer")
	}
	return words, nil
}

func encodeToken(p store.Principal) *dyelotv1.Token {
	t := &dyelotv1.Token{Name: p.Name, Roles: access.Roles(p.Roles), CreatedAt: stamp(p.CreatedAt)}
	if p.ExpiresAt != nil {
		t.ExpiresAt = stamp(*p.ExpiresAt)
	}
	if p.RevokedAt != nil {
		t.RevokedAt = stamp(*p.RevokedAt)
	}
	return t
}

func (s *StudioServer) ListTokens(ctx context.Context, _ *dyelotv1.ListTokensRequest) (*dyelotv1.ListTokensResponse, error) {
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.ListTokensResponse, error) {
		ps, err := tx.Principals()
		resp := &dyelotv1.ListTokensResponse{}
		for _, p := range ps {
			resp.Tokens = append(resp.Tokens, encodeToken(p))
		}
		return resp, err
	})
}

func (s *StudioServer) RevokeToken(ctx context.Context, req *dyelotv1.RevokeTokenRequest) (*dyelotv1.RevokeTokenResponse, error) {
	if req.GetName() == access.Caller(ctx).Name {
		return nil, fault.Refuse("OWN_TOKEN", "%s is the token you are using: revoke it with another one", req.GetName())
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.RevokeTokenResponse, error) {
		p, err := tx.Revoke(req.GetName())
		return &dyelotv1.RevokeTokenResponse{Token: encodeToken(p)}, err
	})
}
