package api

import (
	"encoding/hex"
	"time"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/colour"
	"dyelot/inventory/quantity"
	"dyelot/inventory/swatch"
	"dyelot/server/store"
)

func encodeSwatch(s store.Swatch) *dyelotv1.Swatch {
	m := &dyelotv1.Swatch{
		Code: s.Code(), Name: s.Name, Fibre: s.Fibre, Plant: s.Plant, Part: s.Part, DyeFamily: s.Family, Place: s.Place, PickedOn: showDay(s.Picked),
		ParcelCode: codeOr('P', s.ParcelID), RecipeCode: s.RecipeCode, RecipeVersion: int32(s.RecipeVersion), LotCode: codeOr('L', s.LotID),
		RecipeWords: s.Recipe, PercentWof: dosed(s.WOF), DyedOn: showDay(s.Dyed), Page: s.Where, By: s.By, Note: s.Note, Text: s.Page.String(),
		Metals: s.Metals(), StruckBy: s.Struck.By, StruckReason: s.Struck.Reason, StruckAt: stamp(s.Struck.At),
	}
	m.Season, m.FoodPlant, m.SeasonKnown = s.Season()
	for _, b := range s.Baths {
		m.Baths = append(m.Baths, &dyelotv1.SwatchBath{Kind: b.Kind, Substance: b.Substance, Name: b.Name(), Metal: otherwise(b.Metal, swatch.None), PercentWof: dosed(b.WOF)})
	}
	for _, g := range s.Grades {
		m.Grades = append(m.Grades, encodeSwatchGrade(g))
	}
	encodeCardColour(m, s.Measured)
	return m
}

func encodeCardColour(m *dyelotv1.Swatch, r *swatch.Measured) {
	if r == nil {
		return
	}
	m.Colour = encodeLab(r.Lab, r.View)
	m.Spectrum, m.Ground = encodeReflectance(r.Spectrum, r.Specular), encodeReflectance(r.Ground, "")
	m.Instrument, m.ReadOn = r.Instrument, showDay(r.Read)
	if r.FileName != "" || r.FileSHA256 != nil {
		m.File = &dyelotv1.InstrumentFile{Name: r.FileName, Sha256: hex.EncodeToString(r.FileSHA256)}
	}
}

func encodeReflectance(r *colour.Curve, specular string) *dyelotv1.Spectrum {
	if r == nil {
		return nil
	}
	return &dyelotv1.Spectrum{FirstNm: int32(r.FirstNM), StepNm: int32(r.StepNM), Reflectance: r.Reflectance, Specular: specular}
}

func encodeSwatchGrade(g swatch.Grade) *dyelotv1.SwatchGrade {
	return &dyelotv1.SwatchGrade{Method: g.Method, Edition: g.Edition, Variant: g.Variant, Component: g.Component, Grade: g.Text(), Assessor: g.Assessor,
		Evidence: g.Evidence, TestedOn: showDay(g.Tested), Kind: g.Kind}
}

// dosed is % WOF, and nothing where nobody knows.
func dosed(p quantity.Percent) string {
	if p == 0 {
		return ""
	}
	return p.Decimal()
}

func monthOf(n int32) time.Month { return time.Month(n) }

func encodeSwatches(all []store.Swatch) []*dyelotv1.Swatch {
	var ms []*dyelotv1.Swatch
	for _, s := range all {
		ms = append(ms, encodeSwatch(s))
	}
	return ms
}
