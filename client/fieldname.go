package client

import (
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// fieldNote marks a flag with the request fields it fills, where its own name
// does not say so.
const fieldNote = "dyelot-field"

// flagFor names the flag or the argument that a request field came from:
// "supplier_lot" is --supplier-lot, "item_code" is ITEM. Empty when it came
// from neither.
func flagFor(cmd *cobra.Command, field string) string {
	if strings.HasPrefix(field, "--") {
		return field
	}
	if cmd == nil || field == "" {
		return ""
	}
	if name := noted(cmd, field); name != "" {
		return name
	}
	name := last(field)
	if hyphen := strings.ReplaceAll(name, "_", "-"); cmd.Flag(hyphen) != nil {
		return "--" + hyphen
	}
	word := strings.ToUpper(strings.TrimSuffix(name, "_code"))
	for _, p := range placesOf(cmd.Use) {
		if p.name == word {
			return word
		}
	}
	return ""
}

// noted finds the flag or argument whose note covers the field, the closest
// where several do.
func noted(cmd *cobra.Command, field string) (name string) {
	best := 0
	try := func(note, as string) {
		if len(note) > best && covers(note, field) {
			best, name = len(note), as
		}
	}
	cmd.Flags().VisitAll(func(f *pflag.Flag) {
		for _, note := range f.Annotations[fieldNote] {
			try(note, "--"+f.Name)
		}
	})
	for note, as := range cmd.Annotations {
		try(note, as)
	}
	return name
}

// covers is true of a field and of everything inside it: "recipe.stages"
// covers "recipe.stages[2].kind".
func covers(note, field string) bool {
	rest, ok := strings.CutPrefix(field, note)
	return ok && (rest == "" || strings.ContainsAny(rest[:1], ".[ "))
}

// nearFlags are the flags that a mistyped one may have meant.
func nearFlags(cmd *cobra.Command, typed string) []string {
	var near []string
	cmd.Flags().VisitAll(func(f *pflag.Flag) {
		if !f.Hidden && (distance(typed, f.Name) <= 2 || strings.HasPrefix(f.Name, typed)) {
			near = append(near, "--"+f.Name)
		}
	})
	slices.Sort(near)
	return near
}

// distance is Levenshtein's: letters to put in, take out or swap.
func distance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := 1; i <= len(a); i++ {
		diagonal := row[0]
		row[0] = i
		for j := 1; j <= len(b); j++ {
			swap := diagonal
			if a[i-1] != b[j-1] {
				swap++
			}
			diagonal = row[j]
			row[j] = min(row[j]+1, row[j-1]+1, swap)
		}
	}
	return row[len(b)]
}
