package api

import (
	"encoding/hex"
	"fmt"
	"strings"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/colour"
	"dyelot/inventory/fastness"
	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/swatch"
	"dyelot/server/store"
)

// decodeSwatch reads a page as far as its words alone say. Days that must lie in
// the past, and what the books hold, completeSwatch adds.
func decodeSwatch(m *dyelotv1.Swatch) (s store.Swatch, err error) {
	if m == nil {
		return s, fault.BadField("", "is needed")
	}
	s.Page = swatch.Page{Name: m.GetName(), Fibre: m.GetFibre(), Plant: m.GetPlant(), Part: m.GetPart(), Family: m.GetDyeFamily(), Place: m.GetPlace(),
		Recipe: m.GetRecipeWords(), Where: m.GetPage(), By: m.GetBy(), Note: m.GetNote()}
	if s.Picked, err = day("picked_on", m.GetPickedOn()); err != nil {
		return s, err
	}
	if s.Dyed, err = day("dyed_on", m.GetDyedOn()); err != nil {
		return s, err
	}
	if s.WOF, err = swatchDose("percent_wof", m.GetPercentWof()); err != nil {
		return s, err
	}
	for i, b := range m.GetBaths() {
		one := swatch.Bath{Kind: b.GetKind(), Substance: b.GetSubstance(), Metal: b.GetMetal()}
		if one.WOF, err = swatchDose(fmt.Sprintf("baths[%d].percent_wof", i), b.GetPercentWof()); err != nil {
			return s, err
		}
		s.Baths = append(s.Baths, one)
	}
	if m.GetParcelCode() != "" {
		if s.ParcelID, err = store.ID('P', "parcel_code", m.GetParcelCode()); err != nil {
			return s, err
		}
	}
	if m.GetLotCode() != "" {
		if s.LotID, err = store.ID('L', "lot_code", m.GetLotCode()); err != nil {
			return s, err
		}
	}
	if m.GetRecipeVersion() < 0 {
		return s, fault.BadField("recipe_version", "%d is not a version: they count from 1", m.GetRecipeVersion())
	}
	s.Measured, err = decodeCardColour(m)
	return s, err
}

// decodeCardColour reads the colour, or the spectrum that it is computed from; nil
// where there is neither.
func decodeCardColour(m *dyelotv1.Swatch) (*swatch.Measured, error) {
	if m.GetColour() == nil && m.GetSpectrum() == nil {
		for _, of := range []struct {
			field string
			said  bool
		}{{"ground", m.GetGround() != nil}, {"instrument", m.GetInstrument() != ""}, {"file", m.GetFile() != nil}, {"read_on", m.GetReadOn() != ""}} {
			if of.said {
				return nil, fault.BadField(of.field, "is of no colour: give colour or spectrum too")
			}
		}
		return nil, nil
	}
	r := &swatch.Measured{Instrument: m.GetInstrument(), Specular: m.GetSpectrum().GetSpecular(), FileName: m.GetFile().GetName()}
	var err error
	if c := m.GetColour(); c != nil {
		if r.Lab, r.View, err = decodeLab(c); err != nil {
			return nil, fault.In("colour", err)
		}
		if m.GetSpectrum() != nil && (c.GetL() != 0 || c.GetA() != 0 || c.GetB() != 0) {
			return nil, fault.BadField("colour", "is computed from the spectrum: give its illuminant and observer alone")
		}
	}
	r.Spectrum, r.Ground = decodeReflectance(m.GetSpectrum()), decodeReflectance(m.GetGround())
	if r.Read, err = day("read_on", m.GetReadOn()); err != nil {
		return nil, err
	}
	if sum := m.GetFile().GetSha256(); sum != "" {
		if r.FileSHA256, err = hex.DecodeString(sum); err != nil || len(r.FileSHA256) != 32 {
			return nil, fault.BadField("file.sha256", "is not the 64 hexadecimal digits of a SHA-256")
		}
	}
	if name := m.GetFile().GetSample(); name != "" {
		r.FileName = strings.TrimPrefix(r.FileName+", sample "+name, ", ")
	}
	return r, nil
}

func decodeReflectance(m *dyelotv1.Spectrum) *colour.Curve {
	if m == nil {
		return nil
	}
	return &colour.Curve{FirstNM: int(m.GetFirstNm()), StepNM: int(m.GetStepNm()), Reflectance: m.GetReflectance()}
}

// completeSwatch adds what the books know: the lot's own records, the recipe's
// version, the day.
func completeSwatch(tx *store.Tx, s store.Swatch, m *dyelotv1.Swatch) (store.Swatch, error) {
	var err error
	if s.LotID != 0 {
		if s, err = ofLot(tx, s, m); err != nil {
			return s, err
		}
	}
	if m.GetRecipeCode() != "" && s.LotID == 0 {
		v, err := tx.RecipeVersion(m.GetRecipeCode(), int(m.GetRecipeVersion()))
		if err != nil {
			return s, onField("recipe_code", err)
		}
		s.VersionID, s.RecipeCode, s.Fibre = v.ID, v.Code, otherwise(s.Fibre, v.Fibre)
	}
	if s.ParcelID != 0 && s.LotID == 0 {
		p, err := tx.Parcel(s.ParcelID)
		if err != nil {
			return s, onField("parcel_code", err)
		}
		s.Plant, s.Part = otherwise(s.Plant, p.Item.Plant), otherwise(s.Part, otherwise(p.Harvest.Part, p.Item.Part))
		s.Place = otherwise(s.Place, p.Harvest.Place)
		if s.Picked.IsZero() {
			s.Picked = p.Harvest.PickedOn
		}
	}
	if s.Dyed.IsZero() {
		if s.Dyed, err = tx.Today(); err != nil {
			return s, err
		}
	}
	s.By = otherwise(s.By, tx.By.Name)
	return s, nil
}

// decodeSwatchFilter reads a filter; an absent one lets every page through.
func decodeSwatchFilter(m *dyelotv1.SwatchFilter) (f swatch.Filter, err error) {
	f = swatch.Filter{Fibre: m.GetFibre(), Plant: m.GetPlant(), Part: m.GetPart(), Metal: m.GetMetal(), Mordant: m.GetMordant(),
		Month: monthOf(m.GetInSeason()), Food: m.GetFoodPlants(), Words: m.GetWords()}
	for i, l := range m.GetLeast() {
		least, err := swatch.LeastOf(l.GetKind(), l.GetGrade())
		if err != nil {
			return f, fault.In(fmt.Sprintf("least[%d]", i), err)
		}
		f.Least = append(f.Least, least)
	}
	return f.Check()
}

// decodeSwatchTest reads what one test of a swatch found.
func decodeSwatchTest(m *dyelotv1.AddSwatchGradeRequest) (t fastness.Test, err error) {
	t = fastness.Test{Method: m.GetMethod(), Edition: m.GetEdition(), Variant: m.GetVariant()}
	t.Grades, err = decodeGrades(&dyelotv1.FastnessTest{Method: m.GetMethod(), Grades: m.GetGrades()})
	return t, err
}

// countingReadings are a lot's readings that make its colour, in the standard's
// view.
func countingReadings(c store.Case) []lot.Reading {
	var counting []lot.Reading
	for _, r := range c.Lot.Readings {
		one := lot.Measured{Readings: []lot.Reading{r}, LastBath: c.Lot.LastBath}
		if _, counts := one.Colour(c.Standard.View); counts {
			counting = append(counting, r)
		}
	}
	return counting
}
