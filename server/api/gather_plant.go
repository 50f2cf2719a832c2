package api

import (
	"cmp"
	"context"
	"slices"
	"strings"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/caution"
	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/season"
	"dyelot/server/store"
)

// GetPlantYear shows a plant's weeks, and what the own harvests say of it.
func (s *GatherServer) GetPlantYear(ctx context.Context, req *dyelotv1.GetPlantYearRequest) (*dyelotv1.GetPlantYearResponse, error) {
	widen, err := widening(req.GetWidenDays())
	if err != nil {
		return nil, err
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.GetPlantYearResponse, error) {
		plants, err := plantsOf(tx, widen)
		if err != nil {
			return nil, err
		}
		plant, part, err := plantNamed(plants, req.GetPlant(), req.GetPart(), false)
		if err != nil {
			return nil, err
		}
		resp := &dyelotv1.GetPlantYearResponse{Today: showDay(plants.Today), Plant: plant, Cautions: encodeCautions(caution.ForStage("gather", nil, false))}
		lines := plants.Lines()
		for _, of := range plantParts(plants, plant) {
			if part != "" && of != part {
				continue
			}
			one, err := s.plantPart(ctx, tx, plants, plant, of, widen, lines)
			if err != nil {
				return nil, err
			}
			resp.Parts = append(resp.Parts, one)
		}
		return resp, nil
	})
}

func (s *GatherServer) plantPart(ctx context.Context, tx *store.Tx, plants store.Plants, plant, part string, widen int, lines []season.GatherLine) (*dyelotv1.PlantPart, error) {
	own := plants.Own(plant, part)
	w, known := season.WeeksOf(plant, part, own, widen)
	m := &dyelotv1.PlantPart{Part: part, Weeks: encodeWeeks(w, known, plants.Today), Ratio: encodeDrying(season.DryingOf(plant, part, own)), Years: harvestYears(own)}
	for _, y := range season.YieldsOf(own) {
		m.Places = append(m.Places, encodeYield(y))
	}
	for _, n := range plants.Notes {
		if n.Plant == plant && n.Part == part {
			m.Missed = append(m.Missed, encodeMissed(n))
		}
	}
	for _, l := range lines {
		if l.Plant != plant || l.Part != part {
			continue
		}
		line, err := s.encodeLine(ctx, tx, plants, l)
		if err != nil {
			return nil, err
		}
		m.Lines = append(m.Lines, line)
	}
	return m, nil
}

// harvestYears sorts harvests by year, the newest first.
func harvestYears(own []season.Harvested) (years []*dyelotv1.PlantHarvestYear) {
	sums := func(h season.Harvested) [2]int64 { return [2]int64{h.Fresh.N, h.Dry.N} }
	var sum [2]int64
	for _, h := range slices.Backward(own) {
		if n := len(years); n == 0 || years[n-1].Year != int32(h.Picked.Year()) {
			years = append(years, &dyelotv1.PlantHarvestYear{Year: int32(h.Picked.Year())})
			sum = [2]int64{}
		}
		y := years[len(years)-1]
		y.Harvests = append(y.Harvests, encodeHarvest(h))
		add := sums(h)
		sum[0], sum[1] = sum[0]+add[0], sum[1]+add[1]
		y.Fresh, y.Dry = encode(quantity.Amount{N: sum[0], Unit: quantity.Mass}), encode(quantity.Amount{N: sum[1], Unit: quantity.Mass})
	}
	return years
}

// plantParts are the parts of a plant: of the table, of the own harvests, of the
// items that are kept; an unnamed one only where there is no other.
func plantParts(plants store.Plants, plant string) (parts []string) {
	add := func(p, part string) {
		if p == plant && !slices.Contains(parts, part) {
			parts = append(parts, part)
		}
	}
	for _, g := range season.GatheringsOf(plant, "") {
		add(g.Plant, g.Part)
	}
	for _, h := range plants.Harvests {
		add(h.Plant, h.Part)
	}
	for _, s := range plants.Supplies {
		add(s.Plant, s.Part)
	}
	if len(parts) > 1 {
		parts = slices.DeleteFunc(parts, func(p string) bool { return p == "" })
	}
	return parts
}

// plantNamed brings a plant and its part to the words that the books have them
// by. Refused (fault.Invalid): a plant that nobody knows, a part that it is not
// gathered by, and no part where one is needed and there are several.
func plantNamed(plants store.Plants, plant, part string, onePart bool) (string, string, error) {
	if err := needed("plant", plant); err != nil {
		return "", "", err
	}
	typed := plant
	if len(season.GatheringsOf(plant, "")) == 0 { // an item's code is a name of its plant
		for _, s := range plants.Stands {
			if s.Item == strings.ToLower(strings.TrimSpace(plant)) {
				plant, part = s.Plant, cmp.Or(part, s.Part)
				break
			}
		}
	}
	plant, of := season.PlantOf(plant, part)
	parts := plantParts(plants, plant)
	switch {
	case len(parts) == 0:
		return "", "", fault.BadField("plant", "%.40q is no plant of the table of weeks, of your items or of your harvests", typed)
	case of != "" && !slices.Contains(parts, of):
		return "", "", fault.BadField("part", "%.40q is no part of %s that is known here: %s", of, plant, strings.Join(parts, ", "))
	case of == "" && len(parts) == 1:
		of = parts[0]
	case of == "" && onePart:
		return "", "", fault.BadField("part", "is needed: %s is gathered as %s", plant, strings.Join(parts, ", "))
	}
	return plant, of, nil
}
