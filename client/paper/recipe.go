package paper

import (
	"fmt"

	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

// Standards lists the shade standards.
func (s *Sheet) Standards(r *dyelotv1.ListShadeStandardsResponse) {
	for i, st := range r.GetStandards() {
		if i > 0 {
			s.Gap()
		}
		s.standard(st)
	}
	if len(r.GetStandards()) == 0 {
		s.Line("No shade standard yet.")
	}
}

// StandardAdded confirms one standard.
func (s *Sheet) StandardAdded(r *dyelotv1.CreateShadeStandardResponse) { s.standard(r.GetStandard()) }

func (s *Sheet) standard(st *dyelotv1.ShadeStandard) {
	s.Title("%s", named(st.GetName(), st.GetCode()))
	s.Para(2, "%s (%s)", s.shade(st.GetColour()), light(st.GetColour()))
	s.Para(2, "tolerance %s to it, %s within a set, by CIEDE2000 for %s", or(st.GetTolerance()), otherwise(st.GetSetTolerance(), or(st.GetTolerance())), light(st.GetColour()))
	if st.GetSpectrum() != nil {
		s.Para(2, "its spectrum is kept: %s%s%s", spectrumWords(st.GetSpectrum()), prefixed(", ", st.GetInstrument()), fromFile(st.GetFile()))
	}
	s.Line("  made %s, to be made again %s", or(st.GetDatedOn()), or(st.GetRenewOn()))
	if st.GetNote() != "" {
		s.Para(2, "%s", st.GetNote())
	}
}

// Recipe shows one version of a recipe in the words that it is typed in.
func (s *Sheet) Recipe(r *dyelotv1.GetRecipeResponse) {
	s.recipe(r.GetRecipe())
	s.warn(0, r.GetWarnings())
}

// RecipeWritten confirms a new version.
func (s *Sheet) RecipeWritten(r *dyelotv1.CreateRecipeVersionResponse) {
	s.recipe(r.GetRecipe())
	s.warn(0, r.GetWarnings())
}

func (s *Sheet) recipe(r *dyelotv1.Recipe) {
	s.Title("%s, version %d", named(r.GetName(), r.GetCode()), r.GetVersion())
	s.Para(0, "for %s, 1 : %s (litres of bath to a kilogram of air-dry fibre)", r.GetFibre(), r.GetLiquorRatio())
	for _, st := range r.GetStages() {
		s.hang(plain, fmt.Sprintf("%3d  ", st.GetPosition()), StageWords(st))
		s.implied(st, otherwise(st.GetLiquorRatio(), r.GetLiquorRatio()))
	}
	s.Para(0, "%% is %% WOF: grams for 100 g of air-dry fibre; of a liquor, of the salt in it.")
	if r.GetNote() != "" {
		s.Para(0, "note: %s", r.GetNote())
	}
	s.Line("written %s by %s", s.when(r.GetWrittenAt()), or(r.GetWrittenBy()))
}

// implied says of each dose in grams a litre what % WOF it makes at the stage's
// liquor ratio, for the two are easily muddled.
func (s *Sheet) implied(st *dyelotv1.RecipeStage, liquorRatio string) {
	ratio, err := quantity.ParseRatio(liquorRatio)
	if err != nil {
		return
	}
	for _, d := range st.GetDoses() {
		ask, err := recipe.ParseAsk(d.GetBasis(), d.GetValue())
		if err != nil || ask.Basis != recipe.InBath {
			continue
		}
		if wof := ask.Implied(ratio); wof != nil {
			s.Para(7, "%s at %s is %s WOF at 1 : %s", d.GetItemCode(), ask, wof, liquorRatio)
		}
	}
}

// Recipes lists the newest versions.
func (s *Sheet) Recipes(r *dyelotv1.ListRecipesResponse) {
	var rows [][]string
	for _, one := range r.GetRecipes() {
		rows = append(rows, []string{one.GetCode(), one.GetName(), fmt.Sprint(one.GetVersion()), one.GetFibre(), "1 : " + one.GetLiquorRatio(), one.GetNote()})
	}
	s.Table([]string{"recipe", "name", ">version", "fibre", "ratio", "note"}, rows)
}

// StageKinds lists the kinds that a stage may be of.
func (s *Sheet) StageKinds(r *dyelotv1.ListStageKindsResponse) {
	var rows [][]string
	for _, k := range r.GetKinds() {
		rows = append(rows, []string{k.GetKey(), k.GetWhat()})
	}
	s.Table([]string{"kind", "what is done"}, rows)
}

// Colourways lists the colourways, each with the colour of its standard.
func (s *Sheet) Colourways(r *dyelotv1.ListColourwaysResponse, standards []*dyelotv1.ShadeStandard) {
	colours := map[string]*dyelotv1.Lab{}
	for _, st := range standards {
		colours[st.GetCode()] = st.GetColour()
	}
	var rows [][]string
	for _, c := range r.GetColourways() {
		shade := ""
		if l := colours[c.GetStandardCode()]; l != nil {
			shade = joined(" ", s.swatch(l), words(l))
		}
		rows = append(rows, []string{c.GetCode(), c.GetName(), shade, c.GetStandardCode(), c.GetRecipeCode()})
	}
	s.Table([]string{"colourway", "name", "colour", "shade standard", "recipe"}, rows)
}

// ColourwayAdded confirms one colourway.
func (s *Sheet) ColourwayAdded(r *dyelotv1.CreateColourwayResponse) {
	c := r.GetColourway()
	s.Para(0, "%s: judged by %s, dyed by %s", named(c.GetName(), c.GetCode()), c.GetStandardCode(), c.GetRecipeCode())
}
