package calc

import (
	"encoding/json"
	"math/big"
	"strings"

	"dyelot/inventory/fault"
)

// The kinds of value. Each writes into the variable it is given; of an optional
// field that is absent nothing is written.

// anExact is a decimal, read as written.
func anExact(into **big.Rat) value {
	return value{"number", func(at string, v any) (err error) {
		n, err := numberIn(at, v)
		if err == nil {
			*into, err = exactly(at, n)
		}
		return err
	}, oneNumber}
}

// aReal is a number that is estimated or measured.
func aReal(into *float64) value {
	return value{"number", func(at string, v any) (err error) {
		n, err := numberIn(at, v)
		if err == nil {
			*into, err = nearly(at, n)
		}
		return err
	}, oneNumber}
}

// aWhole is an integer.
func aWhole(into *int64) value {
	return value{"integer", func(at string, v any) (err error) {
		n, err := numberIn(at, v)
		if err == nil {
			*into, err = whole(at, n)
		}
		return err
	}, oneNumber}
}

// aText is a name.
func aText(into *string) value {
	return value{"text", func(at string, v any) (err error) {
		*into, err = textIn(at, v)
		return err
	}, func(texts []string) (any, error) { return last(texts), nil }}
}

// anID is a name or a number that is given back as it came.
func anID(into *any) value {
	return value{"text", func(at string, v any) error {
		if n, isNumber := v.(json.Number); isNumber {
			*into = n
			_, err := whole(at, n)
			return err
		}
		s, err := textIn(at, v)
		*into = s
		return err
	}, nil}
}

// aTruth is true or false.
func aTruth(into *bool) value {
	return value{"true|false", func(at string, v any) error {
		b, ok := v.(bool)
		if !ok {
			return fault.BadField(at, "true or false is needed, not %s", kindOf(v))
		}
		*into = b
		return nil
	}, func(texts []string) (any, error) {
		switch t := last(texts); t {
		case "true", "yes":
			return true, nil
		case "false", "no":
			return false, nil
		default:
			return t, nil // take refuses it by name
		}
	}}
}

// exacts is a list of decimals, least entries or more.
func exacts(into *[]*big.Rat, least int) value {
	return value{"list", func(at string, v any) error {
		return eachIn(at, v, least, func(at string, v any) error {
			var r *big.Rat
			if err := anExact(&r).take(at, v); err != nil {
				return err
			}
			*into = append(*into, r)
			return nil
		})
	}, manyNumbers}
}

// realList is a list of measured numbers, not empty.
func realList(into *[]float64) value {
	return value{"list", func(at string, v any) error {
		return eachIn(at, v, 1, func(at string, v any) error {
			var f float64
			if err := aReal(&f).take(at, v); err != nil {
				return err
			}
			*into = append(*into, f)
			return nil
		})
	}, manyNumbers}
}

// exactOrList is one decimal for all, or a list of them.
func exactOrList(one **big.Rat, many *[]*big.Rat) value {
	return value{"number or list", func(at string, v any) error {
		if _, isList := v.([]any); isList {
			return exacts(many, 1).take(at, v)
		}
		return anExact(one).take(at, v)
	}, func(texts []string) (any, error) {
		if len(texts) == 1 && !strings.Contains(texts[0], ",") {
			return oneNumber(texts)
		}
		return manyNumbers(texts)
	}}
}

// tuple is a list of exactly so many measured numbers, such as [L, a, b].
func tuple(into []float64, word string) value {
	return value{word, func(at string, v any) error {
		list, err := listIn(at, v, 0)
		if err != nil {
			return err
		}
		if len(list) != len(into) {
			return fault.BadField(at, "%d numbers are needed here, %s, not %d", len(into), word, len(list))
		}
		for i, v := range list {
			if err := aReal(&into[i]).take(entry(at, i), v); err != nil {
				return err
			}
		}
		return nil
	}, manyNumbers}
}

func numberIn(at string, v any) (json.Number, error) {
	n, ok := v.(json.Number)
	switch {
	case ok && isNumber(n.String()):
		return n, nil
	case ok: // from a flag: a document's own numbers are well formed
		return "", fault.BadField(at, "%q is not a number such as 12 or 12.5", clip(n.String()))
	}
	return "", fault.BadField(at, "a number is needed, not %s", kindOf(v))
}

func textIn(at string, v any) (string, error) {
	s, ok := v.(string)
	switch {
	case !ok:
		return "", fault.BadField(at, "a text is needed, not %s", kindOf(v))
	case strings.TrimSpace(s) == "":
		return "", fault.BadField(at, "the text is empty")
	}
	return s, checkText(at, s)
}

func listIn(at string, v any, least int) ([]any, error) {
	list, ok := v.([]any)
	switch {
	case !ok:
		return nil, fault.BadField(at, "a list is needed, not %s", kindOf(v))
	case len(list) == 0 && least > 0:
		return nil, fault.BadField(at, "the list is empty")
	case len(list) > maxList: // from a flag: a document's lists were counted
		return nil, fault.BadField(at, "the list is longer than %d", maxList)
	}
	return list, nil
}

func eachIn(at string, v any, least int, take func(at string, v any) error) error {
	list, err := listIn(at, v, least)
	for i, v := range list {
		if err := take(entry(at, i), v); err != nil {
			return err
		}
	}
	return err
}

// objectsIn reads a list of objects, each with the fields that make returns.
func objectsIn[T any](at string, v any, into *[]T, fields func(*T) []field) error {
	return eachIn(at, v, 1, func(at string, v any) error {
		o, ok := v.(*object)
		if !ok {
			return fault.BadField(at, "an object is needed, not %s", kindOf(v))
		}
		var one T
		if err := fill(at, fields(&one), o); err != nil {
			return err
		}
		*into = append(*into, one)
		return nil
	})
}

// Flags say the same in fewer strokes: numbers of a list with commas between.

func oneNumber(texts []string) (any, error) { return numberOf(last(texts)), nil }

func manyNumbers(texts []string) (any, error) {
	list := []any{}
	for _, word := range strings.Split(strings.Join(texts, ","), ",") {
		list = append(list, numberOf(word))
	}
	return list, nil
}

func numberOf(word string) json.Number { return json.Number(strings.TrimSpace(word)) }

func last(texts []string) string { return texts[len(texts)-1] }
