package api

import (
	"fmt"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
	"dyelot/server/store"
)

// decodeRecipe reads a recipe whose lines know their items by code only.
func decodeRecipe(m *dyelotv1.Recipe) (r recipe.Recipe, err error) {
	if err = handCode("code", m.GetCode()); err != nil {
		return r, err
	}
	r.Code, r.Name, r.Note = m.GetCode(), m.GetName(), m.GetNote()
	if r.Name == "" {
		r.Name = r.Code
	}
	fibre, err := recipe.FibreOf(m.GetFibre())
	if err != nil {
		return r, err
	}
	r.Fibre = fibre.Key
	if r.Ratio, err = ratio("liquor_ratio", m.GetLiquorRatio()); err != nil {
		return r, err
	}
	for i, s := range m.GetStages() {
		stage, err := decodeStage(s, i+1)
		if err != nil {
			return r, fault.In(fmt.Sprintf("stages[%d]", i), err)
		}
		r.Stages = append(r.Stages, stage)
	}
	return r, nil
}

func ratio(field, s string) (quantity.Ratio, error) {
	r, err := quantity.ParseRatio(s)
	return r, onField(field, err)
}

// decodeStage reads one stage; without a position it stands where it is listed.
func decodeStage(m *dyelotv1.RecipeStage, place int) (s recipe.Stage, err error) {
	s = recipe.Stage{Position: int(m.GetPosition()), Kind: m.GetKind(), Shared: m.GetShared(), Celsius: int(m.GetCelsius()), Minutes: int(m.GetMinutes()), Note: m.GetNote()}
	if s.Position == 0 {
		s.Position = place
	}
	if m.GetLiquorRatio() != "" {
		if s.Ratio, err = ratio("liquor_ratio", m.GetLiquorRatio()); err != nil {
			return s, err
		}
	}
	if s.PHLow, err = ph("ph_low", m.GetPhLow()); err != nil {
		return s, err
	}
	if s.PHHigh, err = ph("ph_high", m.GetPhHigh()); err != nil {
		return s, err
	}
	for i, d := range m.GetDoses() {
		line, err := decodeDose(d)
		if err != nil {
			return s, fault.In(fmt.Sprintf("doses[%d]", i), err)
		}
		s.Doses = append(s.Doses, line)
	}
	return s, nil
}

// ph reads an optional pH; absent is nil.
func ph(field, s string) (*recipe.PH, error) {
	if s == "" {
		return nil, nil
	}
	p, err := recipe.ParsePH(s)
	return &p, onField(field, err)
}

func decodeDose(m *dyelotv1.Dose) (recipe.Line, error) {
	if err := needed("item_code", m.GetItemCode()); err != nil {
		return recipe.Line{}, err
	}
	ask, err := recipe.ParseAsk(m.GetBasis(), m.GetValue())
	if f, bad := fault.Of(err); bad && f.Field != "basis" {
		err = f.At("value")
	}
	return recipe.Line{ItemCode: m.GetItemCode(), Ask: ask}, err
}

// withItems looks up the items of every line, in one go.
func withItems(tx *store.Tx, asked recipe.Recipe) (recipe.Recipe, error) {
	var codes []string
	for _, s := range asked.Stages {
		for _, d := range s.Doses {
			codes = append(codes, d.ItemCode)
		}
	}
	known, err := tx.RecipeLines(codes)
	if err != nil {
		return asked, err
	}
	r := asked
	r.Stages = nil
	for i, s := range asked.Stages {
		doses := s.Doses
		s.Doses = nil
		for j, d := range doses {
			line, found := known[d.ItemCode]
			if !found {
				return r, fault.Missing("item", d.ItemCode).At(fmt.Sprintf("stages[%d].doses[%d].item_code", i, j))
			}
			line.Ask = d.Ask
			s.Doses = append(s.Doses, line)
		}
		r.Stages = append(r.Stages, s)
	}
	return r, nil
}

func encodeRecipe(v store.RecipeVersion) *dyelotv1.Recipe {
	m := &dyelotv1.Recipe{
		Code: v.Code, Name: v.Name, Version: int32(v.Version), Fibre: v.Fibre, LiquorRatio: v.Ratio.Decimal(),
		Note: v.Note, WrittenAt: stamp(v.WrittenAt), WrittenBy: v.WrittenBy, Used: v.Used,
	}
	for _, s := range v.Stages {
		m.Stages = append(m.Stages, encodeStage(s))
	}
	return m
}

func encodeStage(s recipe.Stage) *dyelotv1.RecipeStage {
	m := &dyelotv1.RecipeStage{
		Position: int32(s.Position), Kind: s.Kind, Shared: s.Shared, Celsius: int32(s.Celsius), Minutes: int32(s.Minutes),
		PhLow: showPH(hundredths(s.PHLow)), PhHigh: showPH(hundredths(s.PHHigh)), Note: s.Note, KindName: s.Kind,
	}
	if k, err := lot.KindOf(s.Kind); err == nil {
		m.KindName = k.Name
	}
	if s.Ratio > 0 {
		m.LiquorRatio = s.Ratio.Decimal()
	}
	for _, d := range s.Doses {
		m.Doses = append(m.Doses, &dyelotv1.Dose{ItemCode: d.ItemCode, Basis: string(d.Ask.Basis), Value: d.Ask.Value()})
	}
	return m
}
