package paper

import (
	"encoding/csv"
	"io"
	"slices"
	"strings"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

var runCostColumns = []string{"run", "lot", "kind", "key", "name", "quantity", "unit", "cost", "currency", "known", "planned_quantity", "planned_cost", "notes"}

// RunCostCSV writes a row a line of each lot, exact to the millionth, as RFC 4180
// has it.
func RunCostCSV(w io.Writer, r *dyelotv1.GetRunCostResponse) error {
	out := csv.NewWriter(w)
	if err := out.Write(runCostColumns); err != nil {
		return err
	}
	for _, l := range r.GetLots() {
		planned := map[string]*dyelotv1.CostLine{}
		for _, p := range l.GetEstimate().GetLines() {
			planned[p.GetKind()+" "+p.GetKey()] = p
		}
		row := func(line, a, p *dyelotv1.CostLine) error {
			whole := "yes"
			if len(a.GetUnknown()) > 0 {
				whole = "no"
			}
			return out.Write([]string{r.GetRunCode(), l.GetLotCode(), line.GetKind(), inert(line.GetKey()), inert(line.GetName()), a.GetQuantity().GetValue(), line.GetQuantity().GetUnit(),
				a.GetMoney().GetValue(), l.GetCurrency(), whole, p.GetQuantity().GetValue(), p.GetMoney().GetValue(), inert(strings.Join(slices.Concat(a.GetUnknown(), a.GetNotes()), "; "))})
		}
		for _, a := range l.GetLines() {
			key := a.GetKind() + " " + a.GetKey()
			if err := row(a, a, planned[key]); err != nil {
				return err
			}
			delete(planned, key)
		}
		for _, p := range l.GetEstimate().GetLines() {
			if planned[p.GetKind()+" "+p.GetKey()] != nil {
				if err := row(p, &dyelotv1.CostLine{}, p); err != nil {
					return err
				}
			}
		}
	}
	out.Flush()
	return out.Error()
}
