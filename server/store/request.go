package store

import (
	"bytes"
	"context"
	"database/sql"
	"errors"

	"dyelot/inventory/fault"
)

// Request is one changing call: who sends it is the Tx's principal.
type Request struct {
	Method string // full gRPC name
	ID     string
	Body   []byte // SHA-256 of what was received
	Asked  string // what was asked, as JSON, for the audit
}

// Answered returns the answer that this request of a principal was given
// before, or nil where it was given none. fault.Exists when the id was used for
// another body (law 7).
func (s *Store) Answered(ctx context.Context, by Principal, r Request) (answer []byte, err error) {
	err = s.Read(ctx, func(t *Tx) error {
		answer, err = t.answered(by, r)
		return err
	})
	return answer, err
}

func (t *Tx) answered(by Principal, r Request) ([]byte, error) {
	var row struct {
		Body   []byte `db:"body_sha256"`
		Answer []byte `db:"answer"`
	}
	err := t.get(&row, `
		select body_sha256, answer from request_ledger
		where principal_id = $1 and method = $2 and request_id = $3`, by.ID, r.Method, r.ID)
	switch {
	case errors.Is(err, sql.ErrNoRows):
		return nil, nil
	case err != nil:
		return nil, err
	case !bytes.Equal(row.Body, r.Body):
		return nil, fault.New(fault.Exists, "REQUEST_ID_USED", "request id %q was used for another request: make a fresh one", r.ID).At("request_id")
	}
	return row.Answer, nil
}

// Answer writes the first answer and the audit row in one statement. A second
// caller with the same id fails here, on the ledger's key, and its transaction
// with it.
func (t *Tx) Answer(r Request, answer []byte) error {
	if answer == nil {
		answer = []byte{} // an empty message has no bytes, and null is no answer
	}
	return t.exec(`
		with kept as (
			insert into request_ledger (principal_id, method, request_id, body_sha256, answer, at)
			values ($1, $2, $3, $4, $5, $6))
		insert into audit_entry (at, principal_id, act, request_id, body) values ($6, $1, $2, $3, $7)`,
		t.By.ID, r.Method, r.ID, r.Body, answer, t.Now, r.Asked)
}
