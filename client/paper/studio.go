package paper

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"dyelot/inventory/quantity"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

// Studio shows the studio and who is asking.
func (s *Sheet) Studio(r *dyelotv1.GetStudioResponse) {
	s.studio(r.GetStudio())
	s.hang(plain, "you are        ", fmt.Sprintf("%s (%s)", or(r.GetPrincipal()), roleNames(r.GetRoles())))
}

// StudioChanged shows the studio as it is now.
func (s *Sheet) StudioChanged(r *dyelotv1.UpdateStudioResponse) { s.studio(r.GetStudio()) }

func (s *Sheet) studio(st *dyelotv1.Studio) {
	s.Title("%s", st.GetName())
	s.hang(plain, "today          ", st.GetToday()+" in "+st.GetTimeZone())
	s.hang(plain, "currency       ", st.GetCurrency())
	s.hang(plain, "poison centre  ", otherwise(st.GetPoisonCentre(), "not set: dyelot studio set --poison-centre NUMBER"))
	s.hang(plain, "service        ", fmt.Sprintf("%s, schema %d", or(st.GetServerVersion()), st.GetSchemaVersion()))
}

func otherwise(text, instead string) string {
	if text == "" {
		return instead
	}
	return text
}

// Today lists what wants doing, late ones first.
func (s *Sheet) Today(r *dyelotv1.GetTodayResponse) {
	s.Title("Today, %s", r.GetToday())
	if len(r.GetTasks()) == 0 {
		s.Line("Nothing waits.")
		return
	}
	tasks := slices.Clone(r.GetTasks())
	slices.SortStableFunc(tasks, func(a, b *dyelotv1.Task) int {
		if a.GetLate() != b.GetLate() {
			if a.GetLate() {
				return -1
			}
			return 1
		}
		return 0
	})
	for _, t := range tasks {
		due, st := "", plain
		if t.GetDueOn() != "" {
			due = " (by " + t.GetDueOn() + ")"
		}
		lead := "[ ] "
		if t.GetLate() {
			lead, st = "[ ] LATE  ", loud
		}
		s.hang(st, lead, joined(": ", t.GetSubject(), t.GetText())+due)
	}
}

// Vessels lists the vessels with the liquor each may hold.
func (s *Sheet) Vessels(r *dyelotv1.ListVesselsResponse) {
	if len(r.GetVessels()) == 0 {
		s.Line("No vessel yet. Add one with: dyelot vessel add pot-40 --volume 40L --use dye")
		return
	}
	var rows [][]string
	for _, v := range r.GetVessels() {
		rows = append(rows, []string{v.GetCode(), v.GetName(), amount(v.GetVolume()), percent(v.GetFillPercent()), holds(v), strings.Join(v.GetUses(), ", "), v.GetNote()})
	}
	s.Table([]string{"vessel", "name", ">brim", ">filled to", ">liquor", "kept for", "note"}, rows)
}

// holds is the liquor that a vessel may hold: brim × fill.
func holds(v *dyelotv1.Vessel) string {
	brim, err := quantity.Parse(v.GetVolume().GetValue(), v.GetVolume().GetUnit())
	fill, bad := quantity.ParsePercent(v.GetFillPercent())
	if err != nil || bad != nil {
		return nothing
	}
	return brim.Percent(fill).String()
}

// VesselAdded confirms one vessel.
func (s *Sheet) VesselAdded(r *dyelotv1.AddVesselResponse) {
	v := r.GetVessel()
	s.Line("%s added: %s to the brim, %s of liquor, kept for %s", v.GetCode(), amount(v.GetVolume()), holds(v), strings.Join(v.GetUses(), ", "))
}

// TokenMade shows a token, or where it was written: this once.
func (s *Sheet) TokenMade(t *dyelotv1.Token, secret, file string) {
	s.Line("Token for %s (%s), %s", t.GetName(), roleNames(t.GetRoles()), s.expiry(t))
	if file != "" {
		s.Line("written to %s, which only you can read", file)
		return
	}
	s.Gap()
	s.Line("  %s", secret)
	s.Gap()
	s.Para(0, "It is shown this once and kept nowhere. Put it in DYELOT_TOKEN, or as token in the configuration file, of whoever it is for.")
}

func (s *Sheet) expiry(t *dyelotv1.Token) string {
	if t.GetExpiresAt() == nil {
		return "works until it is revoked"
	}
	return "works until " + s.when(t.GetExpiresAt())
}

// Tokens lists whose tokens there are.
func (s *Sheet) Tokens(r *dyelotv1.ListTokensResponse) {
	var rows [][]string
	for _, t := range r.GetTokens() {
		state := s.expiry(t)
		if t.GetRevokedAt() != nil {
			state = "revoked " + s.when(t.GetRevokedAt())
		}
		rows = append(rows, []string{t.GetName(), roleNames(t.GetRoles()), s.day(t.GetCreatedAt()), state})
	}
	s.Table([]string{"token", "may act as", "made on", "state"}, rows)
}

// TokenRevoked confirms that a token is dead.
func (s *Sheet) TokenRevoked(r *dyelotv1.RevokeTokenResponse) {
	s.Line("%s may do nothing any more, since %s", r.GetToken().GetName(), s.when(r.GetToken().GetRevokedAt()))
}

// Verified says whether the books are whole, and what was looked at.
func (s *Sheet) Verified(r *dyelotv1.VerifyBooksResponse) {
	for _, f := range r.GetFindings() {
		s.hang(loud, "NOT WHOLE  ", fmt.Sprintf("%s: %s (check %s)", or(f.GetSubject()), f.GetText(), f.GetCheck()))
	}
	if len(r.GetFindings()) == 0 {
		s.emit(s.mark(good, "The books are whole."))
	}
	var looked []string
	for _, table := range slices.Sorted(maps.Keys(r.GetCounts())) {
		looked = append(looked, fmt.Sprintf("%s %d", table, r.GetCounts()[table]))
	}
	s.Para(0, "Rows looked at: %s", strings.Join(looked, ", "))
	s.Para(0, "Balances, SHA-256: %s", r.GetBalancesSha256())
}

// Audit lists who asked for what.
func (s *Sheet) Audit(r *dyelotv1.ListAuditEntriesResponse) {
	for _, e := range r.GetEntries() {
		s.Line("%d  %s  %s  %s", e.GetId(), s.when(e.GetAt()), e.GetPrincipal(), strings.TrimPrefix(e.GetAct(), "/dyelot.v1."))
		s.Para(4, "%s", strings.ReplaceAll(e.GetBody(), `,"`, `, "`)) // room to wrap
	}
}
