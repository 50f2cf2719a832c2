package api

import (
	"context"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"google.golang.org/grpc"
	"google.golang.org/grpc/encoding"
	encodingproto "google.golang.org/grpc/encoding/proto"
	"google.golang.org/grpc/mem"
	"google.golang.org/protobuf/encoding/protowire"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	"dyelot/inventory/fault"
)

// One sweep over every request, so that no handler forgets: text is bounded,
// and free of characters that would forge a log line or that the database
// refuses.
const (
	maxText = 200  // characters of a code, a name, a place
	maxNote = 4000 // characters of a note, a reason, a complaint
	maxList = 10_000
	// maxMessage lets a message that is too long arrive, so that the refusal
	// can name the field.
	maxMessage = 16 << 20
)

var notes = map[protoreflect.Name]bool{"note": true, "reason": true, "complaint": true, "override_reason": true, "direction": true, "evidence": true, "basis": true, "because": true, "found": true, "might_not_take": true, "cut_off": true}

// checkText refuses, with fault.Invalid and the field's path, text that is too
// long or holds control characters, and lists longer than 10 000.
func checkText(m protoreflect.Message, path string) (err error) {
	m.Range(func(fd protoreflect.FieldDescriptor, v protoreflect.Value) bool {
		at := strings.TrimPrefix(path+"."+string(fd.Name()), ".")
		switch {
		case fd.IsMap():
			v.Map().Range(func(k protoreflect.MapKey, v protoreflect.Value) bool {
				entry := fmt.Sprintf("%s[%.40s]", at, k.String())
				if fd.MapKey().Kind() == protoreflect.StringKind {
					err = checkString(k.String(), maxText, entry)
				}
				if err == nil {
					err = checkValue(fd.MapValue(), v, entry)
				}
				return err == nil
			})
		case fd.IsList():
			list := v.List()
			if list.Len() > maxList {
				err = fault.BadField(at, "has %d entries, at most %d are taken at once", list.Len(), maxList)
			}
			for i := 0; i < list.Len() && err == nil; i++ {
				err = checkValue(fd, list.Get(i), fmt.Sprintf("%s[%d]", at, i))
			}
		default:
			err = checkValue(fd, v, at)
		}
		return err == nil
	})
	return err
}

func checkValue(fd protoreflect.FieldDescriptor, v protoreflect.Value, at string) error {
	switch fd.Kind() {
	case protoreflect.MessageKind, protoreflect.GroupKind:
		return checkText(v.Message(), at)
	case protoreflect.StringKind:
		if notes[fd.Name()] {
			return checkString(v.String(), maxNote, at)
		}
		return checkString(v.String(), maxText, at)
	}
	return nil
}

func checkString(s string, limit int, at string) error {
	if !utf8.ValidString(s) {
		return fault.BadField(at, "is not valid UTF-8 text")
	}
	if n := utf8.RuneCountInString(s); n > limit {
		return fault.BadField(at, "has %d characters, at most %d are kept", n, limit)
	}
	bad := strings.IndexFunc(s, func(r rune) bool {
		return r != '\n' && r != '\t' && (unicode.IsControl(r) || unicode.In(r, unicode.Zl, unicode.Zp, unicode.Bidi_Control))
	})
	if bad >= 0 {
		return fault.BadField(at, "holds a control character")
	}
	return nil
}

func unaryText(ctx context.Context, req any, _ *grpc.UnaryServerInfo, next grpc.UnaryHandler) (any, error) {
	if err := checkRequest(req); err != nil {
		return nil, err
	}
	return next(ctx, req)
}

func checkRequest(req any) error {
	m, ok := req.(proto.Message)
	if !ok {
		return nil
	}
	if why := unreadable(m); why != "" {
		return fault.BadField("request", "cannot be read: %s", why)
	}
	return checkText(m.ProtoReflect(), "")
}

// lenient is the proto codec, except that a request that cannot be read
// reaches the interceptors, with the reason in an unknown field. Left alone,
// the library would answer INTERNAL, which tells a caller that it is our fault.
type lenient struct{ encoding.CodecV2 }

const unreadableField = protowire.Number(536870911) // the last number: no contract uses it

func newLenient() lenient { return lenient{encoding.GetCodecV2(encodingproto.Name)} }

func (c lenient) Unmarshal(data mem.BufferSlice, v any) error {
	err := c.CodecV2.Unmarshal(data, v)
	if m, ok := v.(proto.Message); ok && err != nil {
		proto.Reset(m)
		b := protowire.AppendTag(nil, unreadableField, protowire.BytesType)
		m.ProtoReflect().SetUnknown(protowire.AppendString(b, strings.ToValidUTF8(err.Error(), "?")))
		return nil
	}
	return err
}

func unreadable(m proto.Message) string {
	num, typ, n := protowire.ConsumeTag(m.ProtoReflect().GetUnknown())
	if n < 0 || num != unreadableField || typ != protowire.BytesType {
		return ""
	}
	s, _ := protowire.ConsumeString(m.ProtoReflect().GetUnknown()[n:])
	return s
}
