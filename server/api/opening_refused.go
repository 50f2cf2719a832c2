package api

import (
	"crypto/sha256"
	"fmt"
	"strconv"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/opening"
)

// openingRefused is the one refusal that names many fields: each as
// "parcels:12:amount", sheet, line and column, where a column may be absent.
func openingRefused(off opening.Notes) error { return notesRefused("OPENING_OFF", off) }

func notesRefused(reason string, off opening.Notes) error {
	bad := &errdetails.BadRequest{}
	for _, n := range off.List {
		bad.FieldViolations = append(bad.FieldViolations, &errdetails.BadRequest_FieldViolation{Field: noteField(n), Description: n.Text})
	}
	say := fmt.Sprintf("%d things are off, and nothing was imported: put them right and try again", off.Count)
	switch {
	case off.Count == 1:
		say = "one thing is off, and nothing was imported: put it right and try again"
	case off.Count > len(off.List):
		say = fmt.Sprintf("%d things are off, the first %d are told, and nothing was imported: put them right and try again", off.Count, len(off.List))
	}
	s := status.New(codes.InvalidArgument, say)
	info := &errdetails.ErrorInfo{Reason: reason, Domain: "dyelot", Metadata: map[string]string{"findings": strconv.Itoa(off.Count)}}
	if with, err := s.WithDetails(info, bad); err == nil {
		s = with
	}
	return s.Err()
}

func noteField(n opening.Note) string {
	field := string(n.Sheet)
	if n.Line > 0 || n.Column != "" {
		field += ":" + strconv.Itoa(n.Line)
	}
	if n.Column != "" {
		field += ":" + n.Column
	}
	return field
}

// longBytes: a token's hash has 32 and stays as it is.
const longBytes = 1000

// abridged is a request as the audit keeps it: a file's SHA-256 stands in the
// place of its bytes, which would be read again with every page of the audit.
func abridged(req proto.Message) proto.Message {
	if m, spectra := req.(*dyelotv1.RecordMeasurementsRequest); spectra {
		return withoutCurves(m)
	}
	if !holdsLongBytes(req.ProtoReflect()) {
		return req
	}
	short := proto.Clone(req)
	abridge(short.ProtoReflect())
	return short
}

func holdsLongBytes(m protoreflect.Message) (found bool) {
	m.Range(func(fd protoreflect.FieldDescriptor, v protoreflect.Value) bool {
		switch {
		case fd.IsList() || fd.IsMap():
		case fd.Kind() == protoreflect.BytesKind:
			found = len(v.Bytes()) > longBytes
		case fd.Kind() == protoreflect.MessageKind:
			found = holdsLongBytes(v.Message())
		}
		return !found
	})
	return found
}

func abridge(m protoreflect.Message) {
	m.Range(func(fd protoreflect.FieldDescriptor, v protoreflect.Value) bool {
		switch {
		case fd.IsList() || fd.IsMap():
		case fd.Kind() == protoreflect.BytesKind && len(v.Bytes()) > longBytes:
			sum := sha256.Sum256(v.Bytes())
			m.Set(fd, protoreflect.ValueOfBytes(sum[:]))
		case fd.Kind() == protoreflect.MessageKind:
			abridge(v.Message())
		}
		return true
	})
}
