package api

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/lot"
	"dyelot/server/store"
)

// withShades adds to encoded garments the shade group that each hangs in.
func withShades(tx *store.Tx, garments []lot.Garment, encoded []*dyelotv1.Garment) error {
	groups, err := tx.ShadeGroups(garmentIDs(garments))
	for i, g := range garments {
		if s, sorted := groups[g.ID]; sorted {
			encoded[i].Shade = fmt.Sprintf("%d of %d of %s", s.Number, s.Groups, s.Of)
		}
	}
	return err
}

func garmentIDs(garments []lot.Garment) []int64 {
	ids := make([]int64, len(garments))
	for i, g := range garments {
		ids[i] = g.ID
	}
	return ids
}

// mixedShades warns where a matched order gets garments of two shade groups of
// one sort, those that went before under the same order with them.
func mixedShades(tx *store.Tx, garments []lot.Garment, lots map[int64]lot.Lot, orderRef string) ([]*dyelotv1.Warning, error) {
	runs, err := tx.RunsOfLots(slices.Collect(maps.Values(lots)))
	if err != nil {
		return nil, err
	}
	matched := slices.DeleteFunc(slices.Clone(garments), func(g lot.Garment) bool { return !runs[lots[g.LotID].RunID].MatchedSet })
	if len(matched) == 0 {
		return nil, nil
	}
	gone, err := tx.ListGarments(store.GarmentFilter{OrderRef: orderRef, Place: lot.PlaceSold}, 0, maxPage)
	if err != nil {
		return nil, err
	}
	all := append(slices.Clone(matched), gone...)
	groups, err := tx.ShadeGroups(garmentIDs(all))
	if err != nil {
		return nil, err
	}
	sorts := map[int64]map[int][]string{} // tags by sort and group
	for _, g := range all {
		s, sorted := groups[g.ID]
		if !sorted {
			continue
		}
		if sorts[s.SortID] == nil {
			sorts[s.SortID] = map[int][]string{}
		}
		sorts[s.SortID][s.Number] = append(sorts[s.SortID][s.Number], g.Tag)
	}
	var said []*dyelotv1.Warning
	for _, g := range matched {
		s, sorted := groups[g.ID]
		tags := sorts[s.SortID]
		if !sorted || len(tags) < 2 {
			continue
		}
		delete(sorts, s.SortID) // told once
		var words []string
		for _, n := range slices.Sorted(maps.Keys(tags)) {
			words = append(words, fmt.Sprintf("group %d: %s", n, fewTags(tags[n])))
		}
		said = append(said, &dyelotv1.Warning{Key: "two-shades", Source: "shade sort of " + s.Of,
			Text: fmt.Sprintf("order %s gets a matched set from %d shade groups, some more than %s apart (CIEDE2000): %s", orderRef, len(tags), lot.Tolerance(s.Tolerance), strings.Join(words, "; "))})
	}
	return said, nil
}

// namedTags is how many tags a warning names before it counts the rest.
const namedTags = 12

func fewTags(tags []string) string {
	if len(tags) <= namedTags {
		return strings.Join(tags, ", ")
	}
	return fmt.Sprintf("%s and %d more", strings.Join(tags[:namedTags], ", "), len(tags)-namedTags)
}
