package paper

import dyelotv1 "dyelot/proto/dyelot/v1"

// Rates lists what is in force.
func (s *Sheet) Rates(rates []*dyelotv1.CostRate, on string) {
	if len(rates) == 0 {
		s.Para(0, "No rate is in force on %s: dyelot cost set-rates --labour 24 --pot-day 6", on)
		return
	}
	s.Title("In force on %s", on)
	words := map[string]string{"labour": "an hour of work", "pot-day": "a day of a vessel", "test": "a test", "normal-loss": "usual loss", "pooled": "one heap, moving average"}
	var rows [][]string
	for _, r := range rates {
		value := money(r.GetMoney())
		switch r.GetKind() {
		case "normal-loss":
			value = percent(r.GetPercent()) + " of the pieces"
		case "pooled":
			value = "no longer"
			if r.GetPooled() {
				value = "yes"
			}
		}
		rows = append(rows, []string{words[r.GetKind()], r.GetSubject(), value, r.GetFromOn()})
	}
	s.Table([]string{"rate", "of", ">is", "from"}, rows)
}

// Laboured says what is written now.
func (s *Sheet) Laboured(r *dyelotv1.RecordLabourResponse) {
	e := r.GetEntry()
	did := "written"
	n := e.GetMinutes()
	if n < 0 {
		did, n = "taken off", -n
	}
	s.Title("%s: %s %s, %s by %s%s", e.GetOf(), minutes(n), did, e.GetOn(), e.GetBy(), prefixed(", ", e.GetNote()))
	s.Line("%s in all", minutes(r.GetMinutes()))
}
