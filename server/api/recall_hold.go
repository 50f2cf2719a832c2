package api

import (
	"fmt"
	"slices"
	"strings"
	"time"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/server/store"
)

// letting is who lets go what a recall holds, and why; empty: nobody does.
type letting struct{ by, reason, orderRef string }

// pastRecalls is nil where no open recall holds any of some garments that are to
// leave the house. An owner may let them go by name and with a reason, which
// stands with the recall and with the garment from then on.
//
// fault.Refused, HELD_BY_RECALL, with the recall and the tags; fault.Invalid,
// override_reason; fault.Forbidden where no owner calls.
func pastRecalls(tx *store.Tx, garments []lot.Garment, o letting, at time.Time) ([]*dyelotv1.Warning, error) {
	ids, tags := make([]int64, len(garments)), map[int64]string{}
	for i, g := range garments {
		ids[i], tags[g.ID] = g.ID, g.Tag
	}
	holds, err := tx.HeldByRecalls(ids)
	if err != nil || len(holds) == 0 {
		return nil, err
	}
	first := holds[0].Recall
	var held []string
	for _, h := range holds {
		if h.Recall.ID == first.ID {
			held = append(held, tags[h.Garment])
		}
	}
	o.by, o.reason = strings.TrimSpace(o.by), strings.TrimSpace(o.reason)
	switch {
	case o.by == "":
		return nil, fault.Refuse("HELD_BY_RECALL", "%s held by recall %s (%s: %s) until checked and kept", isOrAre(held), first.Code(), first.Node.Title, first.Reason).
			With("recall", first.Code()).With("tag", held[0]).With("tags", strings.Join(held, ", "))
	case o.reason == "":
		return nil, fault.BadField("override_reason", "is needed: why %s let go although %s holds them", strings.Join(held, ", "), first.Code())
	case !slices.Contains(tx.By.Roles, "owner"):
		return nil, fault.New(fault.Forbidden, "ROLE_MISSING", "%s is %s, and to let go what %s holds needs owner", tx.By.Name, strings.Join(tx.By.Roles, " and "), first.Code())
	}
	if err := tx.LetGo(holds, o.orderRef, o.by, o.reason, at); err != nil {
		return nil, err
	}
	var said []*dyelotv1.Warning
	for _, h := range holds {
		said = append(said, &dyelotv1.Warning{Key: "recalled", Source: "recall " + h.Recall.Code(),
			Text: fmt.Sprintf("%s is recalled (%s), let go by %s: %s", tags[h.Garment], h.Recall.Node.Title, o.by, o.reason)})
	}
	return said, nil
}

func isOrAre(tags []string) string {
	if len(tags) == 1 {
		return tags[0] + " is"
	}
	const most = 5
	if len(tags) > most {
		return fmt.Sprintf("%s and %d more are", strings.Join(tags[:most], ", "), len(tags)-most)
	}
	return strings.Join(tags, ", ") + " are"
}

// recallsOf are the recalls that a garment is on.
func recallsOf(tx *store.Tx, garmentID int64) ([]*dyelotv1.GarmentRecall, error) {
	rs, err := tx.RecallsOfGarment(garmentID)
	var ms []*dyelotv1.GarmentRecall
	for _, r := range rs {
		ms = append(ms, &dyelotv1.GarmentRecall{RecallCode: store.Code('K', r.ID), Title: r.Title, Reason: r.Reason, Closed: r.Closed, Told: r.Told, Accounted: r.Accounted,
			OverrideBy: r.OverrideBy, OverrideReason: r.OverrideWhy})
	}
	return ms, err
}
