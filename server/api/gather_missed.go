package api

import (
	"context"
	"fmt"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/inventory/recipe"
	"dyelot/inventory/season"
	"dyelot/server/store"
)

// NoteMissed gives a plant's year up: the list keeps the note, and nobody is
// reminded any more.
func (s *GatherServer) NoteMissed(ctx context.Context, req *dyelotv1.NoteMissedRequest) (*dyelotv1.NoteMissedResponse, error) {
	if err := needed("reason", req.GetReason()); err != nil {
		return nil, err
	}
	if req.GetSwatchCode() != "" && req.GetColourwayCode() != "" {
		return nil, fault.BadField("swatch_code", "name a swatch or a colourway that stands in, not both")
	}
	var swatchID int64
	if req.GetSwatchCode() != "" {
		var err error
		if swatchID, err = store.ID('T', "swatch_code", req.GetSwatchCode()); err != nil {
			return nil, err
		}
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.NoteMissedResponse, error) {
		plants, err := plantsOf(tx, 0)
		if err != nil {
			return nil, err
		}
		note := store.MissedNote{Year: int(req.GetYear()), Reason: req.GetReason(), SwatchID: swatchID, Colourway: req.GetColourwayCode(),
			By: otherwise(req.GetBy(), tx.By.Name), RecordedAt: tx.Now}
		if note.Plant, note.Part, err = plantNamed(plants, req.GetPlant(), req.GetPart(), true); err != nil {
			return nil, err
		}
		if note.Year == 0 {
			note.Year = lastYear(plants, note)
		}
		if this := plants.Today.Year(); note.Year < 1900 || note.Year > this {
			return nil, fault.BadField("year", "%d is not from 1900 to %d: a year that has not come is not missed", note.Year, this)
		}
		if swatchID != 0 {
			page, err := tx.Swatch(swatchID)
			if err != nil {
				return nil, onField("swatch_code", err)
			}
			if err := page.Unstruck(); err != nil {
				return nil, err
			}
		}
		if err := tx.AddMissedNote(note); err != nil {
			return nil, err
		}
		return &dyelotv1.NoteMissedResponse{Note: encodeMissed(note), Warnings: encodeWarnings(notYetOver(plants, note))}, nil
	})
}

// lastYear is that of the weeks that are on, else of the last ones; this year
// where nobody knows any.
func lastYear(plants store.Plants, n store.MissedNote) int {
	w, known := season.WeeksOf(n.Plant, n.Part, plants.Own(n.Plant, n.Part), 0)
	if !known {
		return plants.Today.Year()
	}
	if span, open := w.On(plants.Today); open {
		return span.Year()
	}
	return w.Before(plants.Today).Year()
}

// notYetOver: a hedge that was cut is missed before its weeks are over, so this
// is told and not refused.
func notYetOver(plants store.Plants, n store.MissedNote) []recipe.Warning {
	w, known := season.WeeksOf(n.Plant, n.Part, plants.Own(n.Plant, n.Part), 0)
	if !known || w.In(n.Year).Closes.Before(plants.Today) {
		return nil
	}
	return []recipe.Warning{{Key: "weeks-not-over", Source: recipe.Source{Mark: recipe.Practice},
		Text: fmt.Sprintf("the weeks of %s of %d run until %s: given up before they are over", season.PlantWord(n.Plant, n.Part), n.Year, showDay(w.In(n.Year).Closes))}}
}
