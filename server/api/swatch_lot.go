package api

import (
	"time"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/swatch"
	"dyelot/server/store"
)

// swatchDose reads % WOF; zero where it is empty, for nobody doses 0 %.
func swatchDose(field, s string) (quantity.Percent, error) {
	p, said, err := percent(field, s)
	if err == nil && said && p <= 0 {
		err = fault.BadField(field, "%s is no dose: leave it out where nobody knows", p)
	}
	return p, err
}

// ofLot copies a lot onto a page; what the request says of it wins.
func ofLot(tx *store.Tx, s store.Swatch, m *dyelotv1.Swatch) (store.Swatch, error) {
	c, err := tx.CaseOf(s.LotID)
	if err != nil {
		return s, onField("lot_code", err)
	}
	if m.GetFibre() != "" || m.GetRecipeCode() != "" || m.GetParcelCode() != "" || m.GetDyedOn() != "" {
		return s, fault.BadField("lot_code", "the lot's own fibre, recipe, parcel and day are copied: leave out fibre, recipe_code, parcel_code and dyed_on")
	}
	records, err := tx.RecordsOfLots(s.LotID)
	if err != nil {
		return s, err
	}
	parcels, err := tx.ParcelsByID(pouredParcels(records))
	if err != nil {
		return s, err
	}
	zone, err := tx.Zone()
	if err != nil {
		return s, err
	}
	page, parcel, err := swatch.FromLot(store.Code('L', s.LotID), c.Run.Fibre, records, parcels, zone)
	if err != nil {
		return s, err
	}
	s.Page = over(page, s.Page)
	s.VersionID, s.ParcelID, s.RecipeCode = c.Run.VersionID, parcel, c.Run.RecipeCode
	if m.GetPlant() != "" { // another one than that parcel's
		s.ParcelID = 0
	}
	s.Name = otherwise(s.Name, c.Run.ColourwayName)
	if s.Measured == nil {
		s.Measured, err = colourOfLot(tx, c)
	}
	return s, err
}

func pouredParcels(records []lot.Standing) []int64 {
	var ids []int64
	for _, r := range records {
		for _, u := range r.Used {
			ids = append(ids, u.ParcelID)
		}
		ids = append(ids, r.Liquor...)
	}
	return ids
}

// over puts what a person said over what the records say.
func over(page, said swatch.Page) swatch.Page {
	page.Name, page.Where, page.By, page.Note, page.Measured = said.Name, said.Where, said.By, said.Note, said.Measured
	if said.Plant != "" {
		page.Plant, page.Part, page.Family, page.WOF = said.Plant, said.Part, said.Family, said.WOF
		page.Place, page.Picked = "", time.Time{}
	}
	page.Part, page.Family = otherwise(said.Part, page.Part), otherwise(said.Family, page.Family)
	page.Place, page.Recipe = otherwise(said.Place, page.Place), otherwise(said.Recipe, page.Recipe)
	if said.WOF != 0 {
		page.WOF = said.WOF
	}
	if len(said.Baths) > 0 {
		page.Baths = said.Baths
	}
	if !said.Picked.IsZero() {
		page.Picked = said.Picked
	}
	return page
}

// colourOfLot is the mean of the readings that count; where the last of them has
// spectra, it is that reading's own, so that it can be seen in every light. nil
// where no reading counts.
func colourOfLot(tx *store.Tx, c store.Case) (*swatch.Measured, error) {
	mean, ok := c.Lot.Colour(c.Standard.View)
	if !ok {
		return nil, nil
	}
	zone, err := tx.Zone()
	if err != nil {
		return nil, err
	}
	counting := countingReadings(c)
	last := counting[len(counting)-1]
	read := last.HappenedAt.In(zone)
	m := &swatch.Measured{Lab: mean, View: c.Standard.View, Instrument: last.Instrument}
	m.Read, err = day("read_on", showDay(read))
	if err == nil {
		m.Spectrum, m.Specular, err = tx.SpectrumOfReading(last.ID)
	}
	return m, err
}
