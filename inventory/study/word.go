package study

import (
	"strings"

	"dyelot/inventory/recipe"
)

// Mordant is a mordant's word as a search or a paper has it.
type Mordant struct {
	Word  string // lower case, spaces single
	Salt  string // formula without its water; empty where the word fits no one salt
	Name  string // our name for the salt
	Metal string // symbol; empty where there is none or nobody can tell
}

// metals are the words for a metal alone: which salt it was, they do not say.
var metals = map[string]string{"aluminium": "Al", "aluminum": "Al", "iron": "Fe", "copper": "Cu", "tin": "Sn", "chrome": "Cr", "chromium": "Cr"}

// noMordant is how a paper says that there was none.
const noMordant = "none"

// MordantOf understands a word through the table of salts of package recipe; what
// fits no salt keeps its word, and its metal where that is told.
func MordantOf(word string) Mordant {
	word = strings.Join(strings.Fields(word), " ")
	m := Mordant{Word: strings.ToLower(word), Metal: metals[strings.ToLower(word)]}
	if m.Word == noMordant || m.Word == "" || m.Metal != "" {
		return m
	}
	s, err := recipe.Lookup(word)
	if err != nil {
		return m
	}
	m.Name, m.Metal = s.Name, s.Metal
	if m.Salt = dry(s.Formula.String()); m.Salt != "" && s.Key == "" {
		m.Name = named(m.Salt, s.Name)
	}
	return m
}

// dry is a formula without its crystal water, as papers print it.
func dry(formula string) string {
	salt, _, _ := strings.Cut(formula, "·")
	return salt
}

// named finds our word for a salt whose water was left out: that of the first in
// the table, which is the one a dye house keeps.
func named(salt, otherwise string) string {
	for _, s := range recipe.Substances() {
		if s.HasFormula() && dry(s.Formula.String()) == salt {
			return s.Name
		}
	}
	return otherwise
}

// FibreWords are the fibres of a word such as "jute/wool", by the keys of package
// recipe; what is no fibre known there keeps its own word.
func FibreWords(printed string) []string {
	var words []string
	for _, part := range strings.FieldsFunc(printed, func(r rune) bool { return r == '/' || r == ',' || r == '+' }) {
		word := strings.ToLower(strings.Join(strings.Fields(part), " "))
		if f, err := recipe.FibreOf(word); err == nil {
			word = f.Key
		}
		if word != "" {
			words = append(words, word)
		}
	}
	return words
}
