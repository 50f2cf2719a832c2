package calc

import (
	"strings"

	"dyelot/inventory/fault"
)

// field is one field of a question: the same row serves the JSON document, the
// flag of that name (dry_mass_g is --dry-mass-g) and the help.
type field struct {
	name     string // as in the contract
	usage    string // with its unit
	optional bool
	value    value
	also     *alias   // a second flag, where one cannot tell a number from a text
	offers   []string // what the Tab key completes
}

// alias is another flag for a field.
type alias struct {
	flag, usage string
	value       value
}

func need(name, usage string, v value) field { return field{name: name, usage: usage, value: v} }

func may(name, usage string, v value) field {
	return field{name: name, usage: usage, value: v, optional: true}
}

// offering names the few answers that a field can have.
func (f field) offering(words ...string) field {
	f.offers = words
	return f
}

// value knows how one field is read.
type value struct {
	word string                            // what it is, for the help: "number", "list"
	take func(at string, v any) error      // from a value of a document
	flag func(texts []string) (any, error) // from a flag, told once or more, to such a value
}

// flags are the field's own flag and its alias.
func (f field) flags() []alias {
	flags := []alias{{strings.ReplaceAll(f.name, "_", "-"), f.usage, f.value}}
	if f.also != nil {
		flags = append(flags, *f.also)
	}
	return flags
}

// fill reads a whole object: every field that is needed, none unknown. at is
// the object's own path, empty for the question itself.
func fill(at string, fields []field, from *object) error {
	known := map[string]bool{}
	var names []string
	for _, f := range fields {
		known[f.name] = true
		names = append(names, f.name)
	}
	for _, name := range from.names {
		if !known[name] {
			return fault.BadField(within(at, name), "there is no such field here: use %s", strings.Join(names, ", "))
		}
	}
	for _, f := range fields {
		v, told := from.values[f.name]
		switch {
		case !told && f.optional:
			continue
		case !told:
			return fault.BadField(within(at, f.name), "is missing: %s", f.usage)
		}
		if err := f.value.take(within(at, f.name), v); err != nil {
			return err
		}
	}
	return nil
}
