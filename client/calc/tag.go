package calc

import (
	"encoding/json"
	"fmt"

	"dyelot/inventory/fault"
	"dyelot/inventory/trace"
)

var tag = calculation{
	name:  "tag",
	short: "Write a garment's tag, or check one",
	long: `The tag of a serial: Crockford's base 32 with its check character, the serial
modulo 37. Serials whose check character would be one of * ~ $ = U are never
issued, and are refused. In the document a serial that is a text is a tag to be
checked; small letters, O for 0, I and L for 1, hyphens and spaces are read.
With flags, --tag checks one.`,
	example:  `dyelot calc tag --serial 1234`,
	says:     `16JD`,
	document: `{"serial": 1234}`,
	ask:      func() question { return &tagQuestion{} },
}

// tagQuestion holds a serial, or the text of a tag.
type tagQuestion struct {
	serial int64
	text   *string
}

func (q *tagQuestion) fields() []field {
	return []field{{
		name:  "serial",
		usage: "whole number above 0 to write as a tag; as a text, a tag to check",
		value: value{"integer", q.take, oneNumber},
		also:  &alias{"tag", "a tag to check, as it was typed", value{"text", q.take, func(texts []string) (any, error) { return last(texts), nil }}},
	}}
}

func (q *tagQuestion) take(at string, v any) error {
	if _, isNumber := v.(json.Number); isNumber {
		return aWhole(&q.serial).take(at, v)
	}
	s, isText := v.(string)
	if !isText {
		return fault.BadField(at, "a whole number or a text is needed, not %s", kindOf(v))
	}
	q.text = &s
	return nil
}

func (q *tagQuestion) answer(func() bool) (answer, error) {
	if q.text == nil {
		tag, err := trace.Tag(q.serial)
		return &tagAnswer{Tag: tag, Valid: true, serial: q.serial}, err
	}
	serial, err := trace.ParseTag(*q.text)
	if f, ok := fault.Of(err); ok {
		return &tagAnswer{wrong: f.Say}, nil
	}
	if err != nil {
		return nil, err
	}
	tag, err := trace.Tag(serial)
	return &tagAnswer{Tag: tag, Valid: true, serial: serial, checked: true}, err
}

type tagAnswer struct {
	serial  int64
	checked bool   // a tag was read, not written
	wrong   string // why it is no tag

	Tag   string `json:"tag,omitempty"`
	Valid bool   `json:"valid"`
}

func (a *tagAnswer) tell(p *page) {
	if !a.Valid {
		p.note("Not valid: %s.", a.wrong)
		return
	}
	if a.checked {
		p.note("Valid: %s.", a.Tag)
	} else {
		p.note("%s", a.Tag)
	}
	p.rows([2]string{"serial", fmt.Sprint(a.serial)}, [2]string{"check", a.Tag[len(a.Tag)-1:] + ", the serial modulo 37 (Crockford, Base 32)"})
}
