package store

import (
	"context"
	"database/sql"
	"errors"
	"time"

	"github.com/lib/pq"

	"dyelot/inventory/fault"
)

// Principal is who calls: a person or a device, by the name of its token.
type Principal struct {
	ID        int64          `db:"id"`
	Name      string         `db:"name"`
	Roles     pq.StringArray `db:"roles"` // owner, dyer, bench, laboratory, shop, viewer
	CreatedAt time.Time      `db:"created_at"`
	ExpiresAt *time.Time     `db:"expires_at"`
	RevokedAt *time.Time     `db:"revoked_at"`
}

const principalColumns = `id, name, roles, created_at, expires_at, revoked_at`

// PrincipalByToken finds who a token belongs to by the token's SHA-256.
// fault.Unauthenticated when nobody, or when it expired or was revoked.
func (s *Store) PrincipalByToken(ctx context.Context, sha256 []byte) (Principal, error) {
	var p Principal
	st, err := s.statement(ctx, `select `+principalColumns+` from principal where token_sha256 = $1`)
	if err != nil {
		return p, explain(err)
	}
	err = st.GetContext(ctx, &p, sha256)
	now := s.now()
	switch {
	case errors.Is(err, sql.ErrNoRows):
		return p, fault.New(fault.Unauthenticated, "TOKEN_UNKNOWN", "this token is not known here")
	case err != nil:
		return p, explain(err)
	case p.RevokedAt != nil:
		return p, fault.New(fault.Unauthenticated, "TOKEN_REVOKED", "the token %q was revoked", p.Name)
	case p.ExpiresAt != nil && !now.Before(*p.ExpiresAt):
		return p, fault.New(fault.Unauthenticated, "TOKEN_EXPIRED", "the token %q has expired", p.Name)
	}
	return p, nil
}

// AddPrincipal keeps the hash of a token that somebody made.
func (t *Tx) AddPrincipal(name string, roles []string, sha256 []byte, expires *time.Time) (Principal, error) {
	var p Principal
	err := t.get(&p, `
		insert into principal (name, roles, token_sha256, created_at, expires_at)
		values ($1, $2, $3, $4, $5) returning `+principalColumns,
		name, pq.StringArray(roles), sha256, t.Now, expires)
	return p, err
}

// ReplaceOwner gives the principal "owner" a new token, or makes it: for
// whoever owns the machine.
func (t *Tx) ReplaceOwner(sha256 []byte) error {
	return t.exec(`
		insert into principal (name, roles, token_sha256, created_at) values ('owner', '{owner}', $1, $2)
		on conflict on constraint principal_name_key do update
		set token_sha256 = excluded.token_sha256, revoked_at = null, expires_at = null`, sha256, t.Now)
}

// HasOwner is false until the first start has made the owner's token.
func (t *Tx) HasOwner() (bool, error) {
	var yes bool
	err := t.get(&yes, `select exists (select from principal where name = 'owner')`)
	return yes, err
}

// Principals lists every token, the oldest first.
func (t *Tx) Principals() ([]Principal, error) {
	var ps []Principal
	err := t.list(&ps, `select `+principalColumns+` from principal order by id`)
	return ps, err
}

// Revoke ends a token; a second time changes nothing.
func (t *Tx) Revoke(name string) (Principal, error) {
	var p Principal
	err := t.get(&p, `
		update principal set revoked_at = coalesce(revoked_at, $2) where name = $1 returning `+principalColumns, name, t.Now)
	return p, missing(err, "token", name)
}
