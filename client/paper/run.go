package paper

import (
	"fmt"
	"strings"

	"dyelot/inventory/quantity"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

// Planned shows a run as it was planned; a dry run says that nothing was kept.
func (s *Sheet) Planned(r *dyelotv1.PlanRunResponse) { s.run(r.GetRun()) }

// Picked shows a run after picking.
func (s *Sheet) Picked(r *dyelotv1.PickRunResponse) { s.run(r.GetRun()) }

// Run shows a run.
func (s *Sheet) Run(r *dyelotv1.GetRunResponse) { s.run(r.GetRun()) }

// Cancelled confirms that a run was given up.
func (s *Sheet) Cancelled(r *dyelotv1.CancelRunResponse) {
	s.Line("%s is cancelled; what it was promised is free again", r.GetRun().GetCode())
}

// Runs lists runs.
func (s *Sheet) Runs(r *dyelotv1.ListRunsResponse) {
	if len(r.GetRuns()) == 0 {
		s.Line("No run is open.")
		return
	}
	var rows [][]string
	for _, one := range r.GetRuns() {
		var lots []string
		for _, l := range one.GetLots() {
			lots = append(lots, l.GetCode())
		}
		rows = append(rows, []string{one.GetCode(), named(one.GetColourwayName(), one.GetColourwayCode()), one.GetState(), or(one.GetDueOn()), strings.Join(lots, ", ")})
	}
	s.Table([]string{"run", "colourway", "state", "due", "lots"}, rows)
}

func (s *Sheet) run(r *dyelotv1.Run) {
	s.shout(r.GetShortages())
	s.warn(0, r.GetWarnings())
	if len(r.GetShortages())+len(r.GetWarnings()) > 0 {
		s.Gap()
	}
	code := r.GetCode()
	if code == "" {
		code = "Only looked at, nothing recorded"
	}
	s.Title("%s: %s", code, named(r.GetColourwayName(), r.GetColourwayCode()))
	s.Para(0, "%s", joined("; ", r.GetState(), fmt.Sprintf("recipe %s version %d", r.GetRecipeCode(), r.GetRecipeVersion()),
		"judged by "+or(r.GetStandardCode()), matched(r), prefixed("for ", r.GetCollectionCode()), prefixed("due ", r.GetDueOn())))
	if r.GetNote() != "" {
		s.Para(0, "note: %s", r.GetNote())
	}
	s.Gap()
	s.runLots(r.GetLots())
	for _, l := range r.GetLots() {
		s.before(l)
	}
	for _, st := range r.GetStages() {
		s.Gap()
		s.bath(st)
	}
	if len(r.GetStages()) > 0 {
		s.Gap()
		begin := ""
		if r.GetState() == "planned" {
			begin = "; to begin: dyelot lot issue LOT"
		}
		s.Para(0, "All fibre is weighed scoured and air-dry, witness cloth included; %% WOF is per cent of that. Cards: dyelot lot card LOT%s", begin)
	}
}

func matched(r *dyelotv1.Run) string {
	if !r.GetMatchedSet() {
		return ""
	}
	return "a matched set" + prefixed(" for ", r.GetCommissionCode())
}

func (s *Sheet) runLots(lots []*dyelotv1.Lot) {
	var rows [][]string
	for _, l := range lots {
		rows = append(rows, []string{or(l.GetCode()), l.GetVesselCode(), fmt.Sprint(len(l.GetGarments())), amount(l.GetGarmentMass()), amount(l.GetWitnessMass()),
			amount(l.GetFibreMass()), litres(l.GetBathVolume()), l.GetState()})
	}
	s.Table([]string{"lot", "pot", ">pieces", ">garments", ">witness", ">air-dry", ">bath", "state"}, rows)
}

// bath writes one planned bath: its conditions, its doses with parcels, and how
// it is shared.
func (s *Sheet) bath(st *dyelotv1.PlannedStage) {
	s.Title("%d %s%s", st.GetPosition(), otherwise(st.GetKindName(), st.GetKind()), forLots(st))
	if c := conditions(st); c != "" {
		s.Para(2, "%s", c)
	}
	for _, d := range st.GetDoses() {
		s.dose(d)
		s.falls(4, st.GetShares(), d.GetItemCode())
	}
	for _, b := range st.GetBrewed() {
		s.Para(2, "takes its share of the brew: what %s of %s gave", amount(b.GetAmount()), b.GetItemCode())
	}
	for _, b := range st.GetBrewedLiquor() {
		s.Para(2, "of the brew as measured: %s", litres(b.GetAmount()))
	}
	if st.GetNote() != "" {
		s.hang(plain, "  note: ", st.GetNote())
	}
	if rec := st.GetRecord(); rec != nil {
		s.Para(2, "%s", s.doneLine(rec))
	}
}

func forLots(st *dyelotv1.PlannedStage) string {
	lots := strings.Join(st.GetLotCodes(), ", ")
	switch {
	case lots == "":
		return ""
	case st.GetShared():
		return ", one bath for " + lots
	}
	return ", " + lots
}

// conditions: "tub-60; 43.2 L for 1080 g air-dry; 55 °C; 60 min; pH 9 to 9.5".
func conditions(st *dyelotv1.PlannedStage) string {
	var parts []string
	if st.GetVesselCode() != "" {
		parts = append(parts, st.GetVesselCode())
	}
	if some(st.GetBathVolume()) {
		parts = append(parts, litres(st.GetBathVolume())+" for "+amount(st.GetFibreMass())+" air-dry")
	}
	if st.GetCelsius() != 0 {
		parts = append(parts, fmt.Sprintf("%d °C", st.GetCelsius()))
	}
	if st.GetMinutes() != 0 {
		parts = append(parts, minutes(st.GetMinutes()))
	}
	if ph := acidity(st); ph != "" {
		parts = append(parts, ph)
	}
	return strings.Join(parts, "; ")
}

func acidity(st *dyelotv1.PlannedStage) string {
	switch low, high := st.GetPhLow(), st.GetPhHigh(); {
	case low == "" && high == "":
		return ""
	case low == "":
		return "pH up to " + high
	case high == "":
		return "pH from " + low
	case low == high:
		return "pH " + low
	default:
		return "pH " + low + " to " + high
	}
}

// dose: "alum: 15 % WOF = 162 g, from P9". What a liquor holds is said with it;
// of unknown strength no % WOF is shown.
func (s *Sheet) dose(d *dyelotv1.PlannedDose) {
	text := fmt.Sprintf("%s: %s = %s", named(d.GetItemName(), d.GetItemCode()), d.GetAsked(), amount(d.GetAmount()))
	s.hang(plain, "  ", joined(", ", text, makes(d), picks(d.GetPicks(), d.GetAmount())))
	switch {
	case some(d.GetShort()):
		s.hang(loud, "    SHORT  ", amount(d.GetShort())+" is not promised"+prefixed(": ", d.GetNote()))
	case d.GetNote() != "":
		s.hang(plain, "    ", d.GetNote())
	}
}

// makes says what is in a measure of liquor, and what % WOF a dose in another
// basis makes.
func makes(d *dyelotv1.PlannedDose) string {
	holds, wof := "", ""
	switch {
	case some(d.GetSolute()):
		holds = "holding " + amount(d.GetSolute())
	case liquid(d.GetAmount()) && len(d.GetPicks()) > 0:
		holds = unknownStrength
	}
	if d.GetWofPercent() != "" && !strings.Contains(d.GetAsked(), "WOF") {
		wof = percent(d.GetWofPercent()) + " WOF"
	}
	return joined(", ", holds, wof)
}

// unknownStrength is said of a liquor that nobody knows the grams of.
const unknownStrength = "strength unknown, so no % WOF can be said"

func liquid(a *dyelotv1.Amount) bool { return a.GetUnit() == quantity.Volume.Name() }

// picks names the parcels, each with its part where there are several.
func picks(taken []*dyelotv1.Taken, whole *dyelotv1.Amount) string {
	switch {
	case len(taken) == 0:
		return ""
	case len(taken) == 1 && amount(taken[0].GetAmount()) == amount(whole):
		return "from " + taken[0].GetParcelCode()
	}
	var from []string
	for _, t := range taken {
		from = append(from, amount(t.GetAmount())+" from "+t.GetParcelCode())
	}
	return strings.Join(from, ", ")
}

// falls says how one dose of a shared bath falls to its lots.
func (s *Sheet) falls(indent int, shares []*dyelotv1.LotShare, item string) {
	var parts []string
	for _, sh := range shares {
		if sh.GetItemCode() == item {
			parts = append(parts, amount(sh.GetAmount())+" to "+sh.GetLotCode())
		}
	}
	if len(parts) > 1 {
		s.Para(indent, "by fibre mass %s", strings.Join(parts, ", "))
	}
}
