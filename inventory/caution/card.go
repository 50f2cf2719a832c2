package caution

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// Lines sets cautions for a bench card: a dash before each, wrapped at spaces
// to a width in characters (at least 20), the rest of a caution indented.
func Lines(cs []Caution, width int) []string {
	width = max(width, 20)
	var card []string
	for _, c := range cs {
		line, length := "-", 1
		for _, word := range strings.Fields(c.Text) {
			if n := len([]rune(word)); length+1+n > width && length > 1 {
				card = append(card, line)
				line, length = "  "+word, 2+n
			} else {
				line, length = line+" "+word, length+1+n
			}
		}
		card = append(card, line)
	}
	return card
}

// capital begins a sentence with a name; a formula begins with one already.
func capital(name string) string {
	first, size := utf8.DecodeRuneInString(name)
	return string(unicode.ToUpper(first)) + name[size:]
}

// clip keeps a name that somebody typed to a card's width.
func clip(s string) string {
	s = strings.Join(strings.Fields(strings.ToValidUTF8(s, "?")), " ")
	if r := []rune(s); len(r) > 40 {
		return string(r[:40]) + "…"
	}
	return s
}
