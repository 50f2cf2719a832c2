package store

import (
	"bytes"
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

// Answered returns the answer that this request was given before, or nil.
// fault.Exists when the id was used for another body (law 7).
func (t *Tx) Answered(r Request) ([]byte, error) {
	var row struct {
		Body   []byte `db:"body_sha256"`
		Answer []byte `db:"answer"`
	}
	err := t.get(&row, `
		select body_sha256, answer from request_ledger
		where principal_id = $1 and method = $2 and request_id = $3`, t.By.ID, r.Method, r.ID)
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
// caller with the same id at the same moment fails here and is asked to retry,
// which finds the first answer.
func (t *Tx) Answer(r Request, answer []byte) error {
	return t.exec(`
		with kept as (
			insert into request_ledger (principal_id, method, request_id, body_sha256, answer, at)
			values ($1, $2, $3, $4, $5, $6))
		insert into audit_entry (at, principal_id, act, request_id, body) values ($6, $1, $2, $3, $7)`,
		t.By.ID, r.Method, r.ID, r.Body, answer, t.Now, r.Asked)
}
