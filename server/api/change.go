package api

import (
	"cmp"
	"context"
	"crypto/sha256"
	"errors"
	"regexp"

	"google.golang.org/grpc"
	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	"dyelot/inventory/fault"
	"dyelot/server/access"
	"dyelot/server/store"
)

// changing is a request that changes the books.
type changing interface {
	proto.Message
	GetRequestId() string
}

var requestID = regexp.MustCompile(`^[!-~]{8,100}$`)

// change answers a changing call: in one transaction fn loads, decides and
// writes, and its answer is kept with the audit row. fn may run again, so it
// must change nothing but its Tx.
//
// The ledger of requests is asked only when that failed: a request that was
// answered before cannot get past its key, so the second one ends there, or in
// a rule that the first one's effect runs into, and is given the first answer.
func change[R proto.Message](ctx context.Context, s *store.Store, req changing, fn func(*store.Tx) (R, error)) (R, error) {
	var answer R
	r, err := requestOf(ctx, req)
	if err != nil {
		return answer, err
	}
	failed := s.InTx(ctx, access.Caller(ctx), func(tx *store.Tx) error {
		if answer, err = fn(tx); err != nil {
			return err
		}
		b, err := proto.Marshal(answer)
		if err != nil {
			return err
		}
		return tx.Answer(r, b)
	})
	if failed == nil {
		return answer, nil
	}
	before, err := s.Answered(ctx, access.Caller(ctx), r)
	if err != nil || before == nil {
		return answer, cmp.Or(err, failed)
	}
	answer = answer.ProtoReflect().New().Interface().(R)
	return answer, proto.Unmarshal(before, answer)
}

func requestOf(ctx context.Context, req changing) (store.Request, error) {
	if !requestID.MatchString(req.GetRequestId()) {
		return store.Request{}, fault.BadField("request_id", "is needed: 8 to 100 printable characters that no other request carries")
	}
	body, err := proto.MarshalOptions{Deterministic: true}.Marshal(req)
	if err != nil {
		return store.Request{}, err
	}
	asked, err := protojson.MarshalOptions{UseProtoNames: true}.Marshal(abridged(req))
	if err != nil {
		return store.Request{}, err
	}
	sum := sha256.Sum256(body)
	method, _ := grpc.Method(ctx)
	return store.Request{Method: method, ID: req.GetRequestId(), Body: sum[:], Asked: string(asked)}, nil
}

var errPreview = errors.New("only a preview")

// preview runs fn like change does and rolls back: nothing is recorded.
func preview[R proto.Message](ctx context.Context, s *store.Store, fn func(*store.Tx) (R, error)) (R, error) {
	var answer R
	err := s.InTx(ctx, access.Caller(ctx), func(tx *store.Tx) error {
		var err error
		if answer, err = fn(tx); err != nil {
			return err
		}
		return errPreview
	})
	if errors.Is(err, errPreview) {
		err = nil
	}
	return answer, err
}

// read answers a call that only looks, from one snapshot.
func read[R any](ctx context.Context, s *store.Store, fn func(*store.Tx) (R, error)) (R, error) {
	var answer R
	err := s.Read(ctx, func(tx *store.Tx) error {
		var err error
		answer, err = fn(tx)
		return err
	})
	return answer, err
}
