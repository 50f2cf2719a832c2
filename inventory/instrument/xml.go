package instrument

import (
	"encoding/xml"
	"errors"
	"io"
	"maps"
	"slices"
	"strings"
)

// element is a piece of XML without its name space, with the line it begins on.
type element struct {
	name string
	attr map[string]string // by names in small letters
	text string
	kids []*element
	line int

	runs []string // of text, until the element ends
}

// tree reads XML whole. Entities of the file's own are not known, so that none
// can grow; depth and number of elements are bounded.
func tree(text string) (*element, error) {
	in := xml.NewDecoder(strings.NewReader(text))
	in.CharsetReader = func(_ string, r io.Reader) (io.Reader, error) { return r, nil } // it is UTF-8 by now
	root := &element{}
	open, count := []*element{root}, 0
	for {
		line, _ := in.InputPos()
		token, err := in.Token()
		var off *xml.SyntaxError
		switch {
		case errors.Is(err, io.EOF):
			return root, nil
		case errors.As(err, &off):
			return nil, refuse(off.Line, "is not well-formed XML: %s", clip(off.Msg))
		case err != nil:
			at, _ := in.InputPos()
			return nil, refuse(at, "is not XML that can be read: %s", clip(err.Error()))
		}
		top := open[len(open)-1]
		switch t := token.(type) {
		case xml.StartElement:
			if count++; count > MaxElements {
				return nil, refuse(line, "has more than %d elements", MaxElements)
			}
			if len(open) > MaxDepth {
				return nil, refuse(line, "has elements more than %d deep", MaxDepth)
			}
			e := &element{name: t.Name.Local, attr: map[string]string{}, line: line}
			for _, a := range t.Attr {
				e.attr[strings.ToLower(a.Name.Local)] = strings.TrimSpace(a.Value)
			}
			top.kids = append(top.kids, e)
			open = append(open, e)
		case xml.EndElement:
			top.text, top.runs = strings.Join(top.runs, " "), nil
			open = open[:len(open)-1]
		case xml.CharData:
			if s := strings.TrimSpace(string(t)); s != "" {
				top.runs = append(top.runs, s)
			}
		}
	}
}

// all are the elements at a path below e.
func (e *element) all(path ...string) []*element {
	if e == nil {
		return nil
	}
	if len(path) == 0 {
		return []*element{e}
	}
	var out []*element
	for _, k := range e.kids {
		if strings.EqualFold(k.name, path[0]) {
			out = append(out, k.all(path[1:]...)...)
		}
	}
	return out
}

// one is the first element at a path; an empty one where there is none.
func (e *element) one(path ...string) *element {
	if all := e.all(path...); len(all) > 0 {
		return all[0]
	}
	return &element{}
}

// words are all texts and attributes of an element and below.
func (e *element) words(b *strings.Builder) {
	b.WriteString(e.text + " ")
	for _, name := range slices.Sorted(maps.Keys(e.attr)) {
		b.WriteString(name + "=" + e.attr[name] + " ")
	}
	for _, k := range e.kids {
		k.words(b)
	}
}
