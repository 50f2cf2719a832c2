package recipe

import (
	"dyelot/inventory/fault"
)

// A formula is read by descent:
//
//	formula = part { separator part }        separator = · . *
//	part    = [ number ] group               number may have decimals: 14.3H2O
//	group   = item { item }
//	item    = ( "(" group ")" | "[" group "]" | "OAc" | symbol ) [ digits ]
//
// Counts are in hundredths throughout. The first problem ends the reading.
type formulaReader struct {
	text    []rune
	at      int
	problem error
}

var closing = map[rune]rune{'(': ')', '[': ']'}

func (r *formulaReader) parts() map[string]int64 {
	total := map[string]int64{}
	for {
		r.spaces()
		times := r.coefficient()
		r.spaces()
		r.add(total, r.group(0), times, waterStep)
		r.spaces()
		if r.problem != nil || r.at == len(r.text) {
			return total
		}
		if c := r.text[r.at]; c != '·' && c != '.' && c != '*' {
			r.fail("%q at character %d is not part of a formula", string(c), r.at+1)
			return total
		}
		r.at++
	}
}

// group reads items up to a separator, a closing bracket or the end.
func (r *formulaReader) group(depth int) map[string]int64 {
	found := map[string]int64{}
	start := r.at
	for r.problem == nil && r.at < len(r.text) {
		c := r.text[r.at]
		switch {
		case closing[c] != 0:
			r.bracket(found, depth)
		case c == ')' || c == ']':
			if depth == 0 {
				r.fail("the bracket %q at character %d was never opened", string(c), r.at+1)
			}
			return r.nonempty(found, start)
		case upper(c):
			r.symbol(found)
		case c == '·' || c == '.' || c == '*' || c == ' ':
			return r.nonempty(found, start)
		default:
			r.unreadable(c)
		}
	}
	return r.nonempty(found, start)
}

func (r *formulaReader) nonempty(found map[string]int64, start int) map[string]int64 {
	if len(found) == 0 {
		r.fail("there is no element at character %d", start+1)
	}
	return found
}

func (r *formulaReader) bracket(into map[string]int64, depth int) {
	open := r.at
	if depth == deepestBracket {
		r.fail("brackets lie more than %d deep", deepestBracket)
		return
	}
	r.at++
	inside := r.group(depth + 1)
	if r.problem != nil {
		return
	}
	if want := closing[r.text[open]]; r.at == len(r.text) || r.text[r.at] != want {
		r.fail("the bracket %q at character %d is not closed by %q", string(r.text[open]), open+1, string(want))
		return
	}
	r.at++
	r.add(into, inside, r.subscript(), 1)
}

func (r *formulaReader) symbol(into map[string]int64) {
	start := r.at
	if r.at+3 <= len(r.text) && string(r.text[r.at:r.at+3]) == "OAc" {
		r.at += 3
		r.add(into, map[string]int64{"C": 2 * waterStep, "H": 3 * waterStep, "O": 2 * waterStep}, r.subscript(), 1)
		return
	}
	for r.at++; r.at < len(r.text) && lower(r.text[r.at]); r.at++ {
	}
	name := string(r.text[start:r.at])
	if _, known := elements[name]; !known {
		hint := ""
		if name == "Ac" {
			hint = ": write acetate as OAc"
		}
		r.fail("%q at character %d is no element with an atomic weight%s", name, start+1, hint)
		return
	}
	r.add(into, map[string]int64{name: waterStep}, r.subscript(), 1)
}

// unreadable says what is wrong with a character that starts nothing.
func (r *formulaReader) unreadable(c rune) {
	switch {
	case c == 'x' || c == 'n':
		r.fail("the number of waters is open at character %d: write how many, or the formula without water", r.at+1)
	case c == '+' || c == '-' || c == '^':
		r.fail("%q at character %d looks like a charge: a salt on the shelf has none", string(c), r.at+1)
	case lower(c):
		r.fail("%q at character %d: a symbol begins with a capital letter", string(c), r.at+1)
	default:
		r.fail("%q at character %d is not part of a formula", string(c), r.at+1)
	}
}

// coefficient reads the number before a part, in hundredths. Digits after a
// point belong to it only when something follows that they can count.
func (r *formulaReader) coefficient() int64 {
	if r.at == len(r.text) || !digit(r.text[r.at]) {
		return waterStep
	}
	start := r.at
	n := r.number()
	n *= waterStep
	if r.at+1 < len(r.text) && r.text[r.at] == '.' && digit(r.text[r.at+1]) {
		r.at++
		for step := int64(waterStep / 10); r.at < len(r.text) && digit(r.text[r.at]); r.at++ {
			if step == 0 {
				r.fail("the number at character %d has more than two decimals", start+1)
				return n
			}
			n += step * int64(r.text[r.at]-'0')
			step /= 10
		}
	}
	if n == 0 {
		r.fail("the number at character %d is 0", start+1)
	}
	return n
}

// subscript reads the whole number behind an item, 1 where there is none.
func (r *formulaReader) subscript() int64 {
	if r.at == len(r.text) || !digit(r.text[r.at]) {
		return 1
	}
	start := r.at
	n := r.number()
	if n == 0 {
		r.fail("the number at character %d is 0", start+1)
	}
	return n
}

func (r *formulaReader) number() int64 {
	start, n := r.at, int64(0)
	for ; r.at < len(r.text) && digit(r.text[r.at]); r.at++ {
		if n = n*10 + int64(r.text[r.at]-'0'); n > largestNumber {
			r.fail("the number at character %d is more than %d", start+1, largestNumber)
			return n
		}
	}
	return n
}

// add puts times/per of some atoms into a total.
func (r *formulaReader) add(into, some map[string]int64, times, per int64) {
	for symbol, count := range some {
		into[symbol] += count * times / per
		if into[symbol] > mostAtoms*waterStep {
			r.fail("holds more than %d atoms of %s", mostAtoms, elements[symbol].name)
			return
		}
	}
}

func (r *formulaReader) spaces() {
	for r.at < len(r.text) && r.text[r.at] == ' ' {
		r.at++
	}
}

func (r *formulaReader) fail(format string, args ...any) {
	if r.problem == nil {
		r.problem = fault.BadField("formula", format, args...)
	}
}

func upper(c rune) bool { return 'A' <= c && c <= 'Z' }
func lower(c rune) bool { return 'a' <= c && c <= 'z' }
func digit(c rune) bool { return '0' <= c && c <= '9' }
