package api

import (
	"fmt"
	"slices"
	"strings"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
	"dyelot/inventory/stock"
	"dyelot/server/store"
)

// exchange puts items in the place of others, in a recipe that is not written.
type exchange struct {
	tx   *store.Tx
	said []string
	// unknown are salts that the books have no item of; their ids are below zero.
	unknown map[string]recipe.Line
}

// stages are a recipe's stages with what a change exchanges.
func (e *exchange) stages(r recipe.Recipe, change *dyelotv1.WhatIfChange) ([]recipe.Stage, error) {
	open := map[string]bool{}
	for old := range change.GetReplace() {
		open[old] = true
	}
	mordants := 0
	stages := slices.Clone(r.Stages)
	for i := range stages {
		stages[i].Doses = slices.Clone(stages[i].Doses)
		for j, line := range stages[i].Doses {
			field, into := "replace["+line.ItemCode+"]", change.GetReplace()[line.ItemCode]
			if change.GetMordant() != "" && stages[i].Kind == "mordant" && line.ItemKind == recipe.Kind(stock.Mordant) {
				field, into = "mordant", change.GetMordant()
				mordants++
			}
			delete(open, line.ItemCode)
			if into == "" || into == line.ItemCode {
				continue
			}
			swapped, err := e.swap(field, line, into)
			if err != nil {
				return nil, err
			}
			stages[i].Doses[j] = swapped
		}
	}
	for old := range open {
		return nil, fault.BadField("replace["+old+"]", "recipe %s has no %s", r.Code, old)
	}
	if change.GetMordant() != "" && mordants == 0 {
		return nil, fault.BadField("mordant", "recipe %s has no mordant stage with a mordant in it", r.Code)
	}
	return stages, nil
}

// swap puts an item in a line's place: one salt for another by equal metal, said;
// anything else as much of one as of the other, said too. Salts of two metals are
// refused.
func (e *exchange) swap(field string, old recipe.Line, code string) (recipe.Line, error) {
	now, err := e.line(field, code)
	if err != nil {
		return now, err
	}
	now.Ask = old.Ask
	a, errA := recipe.Lookup(old.Substance)
	b, errB := recipe.Lookup(now.Substance)
	if errA == nil && errB == nil && a.Metal != "" && b.Metal != "" {
		if old.Ask.Basis != recipe.OnFibre {
			return now, fault.BadField(field, "%s is dosed in %s: equal metal is reckoned from %% WOF only", old.ItemCode, old.Ask)
		}
		eq, err := recipe.SameMetal(old.Substance, now.Substance, old.Ask.Percent)
		if f, bad := fault.Of(err); bad {
			return now, f.At(field)
		} else if err != nil {
			return now, err
		}
		now.Ask.Percent = eq.WOF
		e.said = append(e.said, fmt.Sprintf("%s WOF of %s for %s of %s, by equal metal; %s", eq.WOF, now.ItemCode, old.Ask.Percent, old.ItemCode, eq.Caution))
		return now, nil
	}
	if now.Unit != old.Unit {
		return now, fault.BadField(field, "%s is kept in %s and %s in %s: nobody can say how much of one stands for the other", now.ItemCode, now.Unit, old.ItemCode, old.Unit)
	}
	e.said = append(e.said, fmt.Sprintf("as much %s as %s (%s): a first guess for a trial, dyestuffs differ in strength", now.ItemCode, old.ItemCode, old.Ask))
	return now, nil
}

// line is an empty line of an item, or of a salt that no item is of yet.
func (e *exchange) line(field, code string) (recipe.Line, error) {
	if l, ok := e.unknown[code]; ok {
		return l, nil
	}
	lines, err := e.tx.RecipeLines([]string{code})
	if err != nil {
		return recipe.Line{}, err
	}
	if l, ok := lines[code]; ok {
		return l, nil
	}
	s, err := recipe.Lookup(code)
	if f, vague := fault.Of(err); vague && strings.Contains(f.Say, "more than one salt") {
		return recipe.Line{}, f.At(field)
	}
	if err != nil {
		return recipe.Line{}, fault.BadField(field, "%.40q is neither an item nor a salt that is known here", code)
	}
	l := recipe.Line{ItemID: -int64(len(e.unknown) + 1), ItemCode: code, ItemName: s.Name, ItemKind: recipe.Kind(stock.Mordant), Unit: quantity.Mass, Substance: code}
	e.unknown[code] = l
	return l, nil
}

// laid are the stages as a plan lays them, each line with its item.
func (e exchange) laid(stages []recipe.Stage) ([]lot.Stage, []int64, error) {
	v := store.RecipeVersion{Recipe: recipe.Recipe{Stages: stages}}
	laid, items, err := stagesOf(e.tx, v)
	if err != nil {
		return nil, nil, err
	}
	var real []int64
	for i, s := range stages {
		for j, d := range s.Doses {
			if d.ItemID < 0 {
				laid[i].Lines[j].Item = stock.Item{ID: d.ItemID, Code: d.ItemCode, Name: d.ItemName, Kind: stock.Mordant, Unit: d.Unit, Substance: d.Substance, Resolution: milligrams(100)}
			}
		}
	}
	for _, id := range items {
		if id > 0 {
			real = append(real, id)
		}
	}
	return laid, real, nil
}

func milligrams(n int64) quantity.Amount { return quantity.Amount{N: n * 1000, Unit: quantity.Mass} }
