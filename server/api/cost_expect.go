package api

import (
	"fmt"
	"slices"
	"strings"

	"dyelot/inventory/fastness"
	"dyelot/server/store"
)

// expected is what lots of this very version wore like, a sentence a method, the
// worst grade of each component. It is an expectation, and never a lot's own
// grade.
func expected(tx *store.Tx, r store.RecipeVersion) ([]string, error) {
	wore, err := tx.WoreLike(r.ID)
	var all []string
	for i := 0; i < len(wore); {
		first := wore[i]
		method, err := fastness.MethodOf(first.Method)
		if err != nil {
			return nil, err
		}
		var grades []string
		lots := 0
		for ; i < len(wore) && wore[i].Method == first.Method; i++ {
			lots = max(lots, wore[i].Lots)
			if worst := worstOf(method, wore[i]); worst != "" {
				grades = append(grades, wore[i].Component+" "+worst)
			}
		}
		if len(grades) > 0 {
			all = append(all, fmt.Sprintf("expect %s by %s, the worst of %s", strings.Join(grades, ", "), first.Method, countOf(int64(lots), "lot")))
		}
	}
	return all, err
}

func worstOf(m fastness.Method, w store.Wore) string {
	i := slices.IndexFunc(m.Components, func(c fastness.Component) bool { return c.Key == w.Component })
	if i < 0 {
		return ""
	}
	scale := m.Components[i].Scale
	worst, known := fastness.Grade(0), false
	for _, word := range strings.Split(w.Grades, ",") {
		if g, err := fastness.Parse(word, scale); err == nil && (!known || g < worst) {
			worst, known = g, true
		}
	}
	if !known {
		return ""
	}
	return scale.Text(worst)
}
