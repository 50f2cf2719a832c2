package calc

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"dyelot/inventory/fault"
)

// What is read at all. A season of a studio is some kilobytes; the limits only
// keep a wrong file from filling the memory.
const (
	maxBytes  = 16 << 20
	maxValues = 1_000_000 // numbers, texts and lists together
	maxList   = 100_000   // entries of one list
	maxDepth  = 8         // jobs, the deepest, are four
	maxText   = 200       // characters of one text, as in the service
)

// object is a JSON object: its fields in the order of the document.
type object struct {
	names  []string
	values map[string]any // nil, bool, string, json.Number, []any or *object
}

// readDocument reads exactly one JSON object, strictly: no field twice, nothing
// behind it, nothing larger than the limits.
func readDocument(r io.Reader) (*object, error) {
	text, err := io.ReadAll(io.LimitReader(r, maxBytes+1))
	switch {
	case err != nil:
		return nil, fault.BadField("in", "cannot be read: %v", err)
	case len(text) > maxBytes:
		return nil, fault.BadField("in", "the document is larger than %d MiB", maxBytes>>20)
	case !utf8.Valid(text):
		return nil, fault.BadField("in", "the document is not UTF-8 text")
	case len(bytes.TrimSpace(text)) == 0:
		return nil, fault.BadField("in", "the document is empty: one JSON object is needed")
	}
	d := document{text: text, tokens: json.NewDecoder(bytes.NewReader(text))}
	d.tokens.UseNumber()
	v, err := d.value("", 0)
	if err != nil {
		return nil, err
	}
	o, ok := v.(*object)
	if !ok {
		return nil, fault.BadField("in", "%s is no question: one JSON object is needed", kindOf(v))
	}
	if _, err := d.tokens.Token(); !errors.Is(err, io.EOF) {
		return nil, fault.BadField("in", "something follows the JSON object: exactly one is read")
	}
	return o, nil
}

// objectOf makes an object from its fields in turn: name, value, name, value.
func objectOf(pairs ...any) *object {
	o := &object{values: map[string]any{}}
	for i := 0; i < len(pairs); i += 2 {
		o.add(pairs[i].(string), pairs[i+1])
	}
	return o
}

func (o *object) add(name string, v any) {
	o.names, o.values[name] = append(o.names, name), v
}

// document is one being read; at is always the path of the value in hand, so
// that whatever is wrong can be named.
type document struct {
	text   []byte
	tokens *json.Decoder
	values int
}

func (d *document) value(at string, depth int) (any, error) {
	if d.values++; d.values > maxValues {
		return nil, fault.BadField(orIn(at), "the document holds more than %d values", maxValues)
	}
	token, err := d.tokens.Token()
	if err != nil {
		return nil, d.syntax(at, err)
	}
	opened, isOpen := token.(json.Delim)
	switch {
	case isOpen && depth == maxDepth:
		return nil, fault.BadField(orIn(at), "lists lie more than %d deep", maxDepth)
	case isOpen && opened == '[':
		return d.list(at, depth+1)
	case isOpen && opened == '{':
		return d.object(at, depth+1)
	}
	if s, isText := token.(string); isText {
		return s, checkText(at, s)
	}
	return token, nil
}

func (d *document) list(at string, depth int) (any, error) {
	list := []any{}
	for d.tokens.More() {
		if len(list) == maxList {
			return nil, fault.BadField(orIn(at), "the list is longer than %d", maxList)
		}
		v, err := d.value(entry(at, len(list)), depth)
		if err != nil {
			return nil, err
		}
		list = append(list, v)
	}
	_, err := d.tokens.Token() // the closing bracket
	return list, d.syntax(entry(at, len(list)), err)
}

func (d *document) object(at string, depth int) (any, error) {
	o, here := objectOf(), at // here: the field last read, near which a mistake is
	for d.tokens.More() {
		token, err := d.tokens.Token()
		if err != nil {
			return nil, d.syntax(here, err)
		}
		name, isText := token.(string)
		if !isText {
			return nil, d.syntax(here, errors.New("a field needs a name in quotes"))
		}
		inside := within(at, name)
		if _, twice := o.values[name]; twice {
			return nil, fault.BadField(inside, "stands in the document twice")
		}
		v, err := d.value(inside, depth)
		if err != nil {
			return nil, err
		}
		o.add(name, v)
		here = inside
	}
	_, err := d.tokens.Token() // the closing brace
	return o, d.syntax(here, err)
}

// syntax says where a document stops being JSON, and says NaN plainly, since
// some languages write it into their JSON.
func (d *document) syntax(at string, err error) error {
	if err == nil {
		return nil
	}
	offset := min(d.tokens.InputOffset(), int64(len(d.text)))
	rest := strings.TrimLeft(string(d.text[offset:min(offset+80, int64(len(d.text)))]), " \t\r\n:,")
	for _, word := range []string{"NaN", "nan", "Infinity", "-Infinity", "Inf", "inf", "-Inf", "-inf"} {
		if strings.HasPrefix(rest, word) {
			return fault.BadField(orIn(at), "%s is not a number", word)
		}
	}
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		return fault.BadField(orIn(at), "the document ends too early to be JSON")
	}
	return fault.BadField(orIn(at), "behind byte %d the document is not JSON: %v", offset, err)
}

// checkText keeps texts short, and free of what would move a terminal's cursor.
func checkText(at, s string) error {
	if n := utf8.RuneCountInString(s); n > maxText {
		return fault.BadField(orIn(at), "the text has %d characters, at most %d are read", n, maxText)
	}
	if strings.ContainsFunc(s, func(r rune) bool { return !unicode.IsPrint(r) }) {
		return fault.BadField(orIn(at), "%q holds a character that cannot be printed", clip(s))
	}
	return nil
}

// within is the path of a field: "sets[2].mass_g". A name that is not a plain
// word stands in quotes, so that no message can be forged with it.
func within(at, name string) string {
	if strings.ContainsFunc(name, func(r rune) bool {
		return r != '_' && (r > unicode.MaxASCII || !unicode.IsLetter(r) && !unicode.IsDigit(r))
	}) || name == "" || len(name) > 40 {
		name = strconv.Quote(clip(name))
	}
	if at == "" {
		return name
	}
	return at + "." + name
}

// entry is the path of a list's entry: "demand[2]".
func entry(at string, i int) string { return at + "[" + strconv.Itoa(i) + "]" }

// orIn names the document itself where there is no field yet.
func orIn(at string) string {
	if at == "" {
		return "in"
	}
	return at
}

// kindOf says what a value is, for sentences.
func kindOf(v any) string {
	switch v := v.(type) {
	case nil:
		return "null"
	case bool:
		return fmt.Sprint(v)
	case string:
		return "the text " + strconv.Quote(clip(v))
	case json.Number:
		return "the number " + clip(v.String())
	case []any:
		return "a list"
	}
	return "an object"
}

// clip keeps a quoted input short in an error.
func clip(s string) string {
	if r := []rune(s); len(r) > 40 {
		return string(r[:40]) + "…"
	}
	return s
}
