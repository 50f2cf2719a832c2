package client

import (
	"bytes"
	"context"
	"encoding/json"

	"google.golang.org/grpc"
	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"

	"dyelot/client/paper"
)

// asJSON writes every field, so that a program need not guess whether one was
// left out or is empty. What has a presence of its own (an amount, a time) is
// absent when it is not known: absent is not zero.
var asJSON = protojson.MarshalOptions{UseProtoNames: true, EmitDefaultValues: true}

// show answers: the message as one JSON document, or what people read.
func (s *session) show(ctx context.Context, answer proto.Message, write func(*paper.Sheet)) error {
	if s.flags.JSON {
		text, err := asJSON.Marshal(answer)
		if err != nil {
			return err
		}
		return s.writeJSON(text)
	}
	sheet := s.sheet(ctx)
	write(sheet)
	return sheet.Close()
}

// answer asks one call and shows what came back.
func answer[Q any, A proto.Message](ctx context.Context, s *session, call func(context.Context, Q, ...grpc.CallOption) (A, error), request Q, write func(*paper.Sheet, A)) error {
	resp, err := call(ctx, request)
	if err != nil {
		return err
	}
	return s.show(ctx, resp, func(p *paper.Sheet) { write(p, resp) })
}

// showValue is show for an answer that is not a message of the contract.
func (s *session) showValue(ctx context.Context, answer any, write func(*paper.Sheet)) error {
	if s.flags.JSON {
		text, err := json.Marshal(answer)
		if err != nil {
			return err
		}
		return s.writeJSON(text)
	}
	sheet := s.sheet(ctx)
	write(sheet)
	return sheet.Close()
}

// writeJSON puts a document on one line, or on several where a person looks.
// The library's own spacing varies from build to build on purpose.
func (s *session) writeJSON(text []byte) error {
	var out bytes.Buffer
	shape := json.Compact
	if _, tty := terminal(s.Out); tty {
		shape = func(dst *bytes.Buffer, src []byte) error { return json.Indent(dst, src, "", "  ") }
	}
	if err := shape(&out, text); err != nil {
		return err
	}
	out.WriteByte('\n')
	_, err := s.Out.Write(out.Bytes())
	return err
}

// pageSize is the most that the service gives at once.
const pageSize = 1000

// pages turns the pages of a list into the whole of it.
func pages[T any](page func(token string) (items []T, next string, err error)) ([]T, error) {
	var all []T
	for token := ""; ; {
		items, next, err := page(token)
		if err != nil {
			return nil, err
		}
		all = append(all, items...)
		if next == "" {
			return all, nil
		}
		token = next
	}
}
