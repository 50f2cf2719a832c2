package recipe

import (
	"fmt"
	"slices"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
)

const (
	mostStages = 60
	// longestStage lets a cure of a season be written down; more is a slip.
	longestStage = 366 * 24 * 60
)

// Check holds a recipe that is being written against the rules of the trade
// and returns what to mind. kindOf finds a kind of stage by its key.
//
// Refused (fault.Invalid, naming the field as in "stages[2].doses[0].value"):
// no stage or more than 60, positions out of order, an unknown fibre or kind, a
// liquor ratio outside 1 : 1 to 1 : 1000, a time above a year, a pH or ratio of
// a stage without a bath, doses in a stage that has none, an item that is not
// dosed or stands there twice, a basis that does not fit the item's unit, a
// dose that Limit refuses. Refused as a rule (fault.Refused,
// OLD_RECORDS_ONLY): chrome and tin.
func (r Recipe) Check(kindOf func(key string) (StageKind, error)) ([]Warning, error) {
	read, err := r.read(kindOf)
	if err != nil {
		return nil, err
	}
	return read.warn()
}

// Warnings is what Check says of a version that is written already. One that
// today's rules would refuse is read all the same, without a word.
func (r Recipe) Warnings(kindOf func(key string) (StageKind, error)) []Warning {
	said, err := r.Check(kindOf)
	if err != nil {
		return nil
	}
	return said
}

// looked is a recipe with every name looked up.
type looked struct {
	Recipe
	fibre  Fibre
	stages []lookedStage
}

type lookedStage struct {
	Stage
	kind  StageKind
	lines []lookedLine
}

type lookedLine struct {
	Line
	substance Substance // empty where none is named, or the table and chemistry know none
	dye       string    // as DyeOf knows it; else empty
	family    string
	wof       *quantity.Percent
}

func (r Recipe) read(kindOf func(string) (StageKind, error)) (looked, error) {
	l := looked{Recipe: r}
	var err error
	if l.fibre, err = FibreOf(r.Fibre); err != nil {
		return l, err
	}
	if err := checkRatio(r.Ratio); err != nil {
		return l, err
	}
	if n := len(r.Stages); n == 0 || n > mostStages {
		return l, fault.BadField("stages", "a recipe has 1 to %d stages, not %d", mostStages, n)
	}
	for i, s := range r.Stages {
		read, err := r.readStage(s, i+1, kindOf)
		if err != nil {
			return l, fault.In(fmt.Sprintf("stages[%d]", i), err)
		}
		l.stages = append(l.stages, read)
	}
	return l, nil
}

func checkRatio(ratio quantity.Ratio) error {
	if ratio < 1000 || ratio > 1_000_000 {
		return fault.BadField("liquor_ratio", "%s is no bath: 1 to 1000 litres a kilogram of air-dry fibre", ratio)
	}
	return nil
}

func (r Recipe) readStage(s Stage, position int, kindOf func(string) (StageKind, error)) (lookedStage, error) {
	l := lookedStage{Stage: s}
	if s.Position != position {
		return l, fault.BadField("position", "%d stands where %d is next: stages are numbered 1, 2, 3 in the order of work", s.Position, position)
	}
	var err error
	if l.kind, err = kindOf(s.Kind); err != nil {
		return l, err
	}
	if err := l.checkTerms(); err != nil {
		return l, err
	}
	if len(s.Doses) > 0 && !l.kind.Doses {
		return l, fault.BadField("doses", "nothing is dosed in %s", l.kind.Name)
	}
	for i, d := range s.Doses {
		line, err := readLine(d, r.RatioOf(s))
		if err == nil && slices.ContainsFunc(s.Doses[:i], func(o Line) bool { return o.ItemCode == d.ItemCode }) {
			err = fault.BadField("item_code", "%s stands in this stage already: give its whole dose once", d.ItemCode)
		}
		if err != nil {
			return l, fault.In(fmt.Sprintf("doses[%d]", i), err)
		}
		l.lines = append(l.lines, line)
	}
	return l, nil
}

func (s lookedStage) checkTerms() error {
	switch {
	case s.Celsius < 0 || Degrees(int64(s.Celsius)) > hottest:
		return fault.BadField("celsius", "%d °C: 0 to %s is believed", s.Celsius, hottest)
	case s.kind.Bath && Degrees(int64(s.Celsius)) > boil:
		return fault.BadField("celsius", "%d °C: no open pot goes above %s", s.Celsius, boil)
	case s.Minutes < 0 || s.Minutes > longestStage:
		return fault.BadField("minutes", "%d minutes: 0 to a year (%d) is believed", s.Minutes, longestStage)
	case !s.kind.Bath && s.Ratio != 0:
		return fault.BadField("liquor_ratio", "%s has no liquor", s.kind.Name)
	case !s.kind.Bath && (s.PHLow != nil || s.PHHigh != nil):
		return fault.BadField("ph_low", "%s has no liquor to have a pH", s.kind.Name)
	case s.PHLow != nil && s.PHHigh != nil && *s.PHLow > *s.PHHigh:
		return fault.BadField("ph_low", "%s is above the upper limit, %s", *s.PHLow, *s.PHHigh)
	case s.Ratio != 0:
		return checkRatio(s.Ratio)
	}
	return nil
}

func readLine(d Line, ratio quantity.Ratio) (lookedLine, error) {
	l := lookedLine{Line: d, family: d.Family, wof: d.Ask.Implied(ratio)}
	if Limit(d.ItemKind, wholePercent) != nil { // a whole 100 % is within every kind's limit
		return l, fault.BadField("item_code", "%s is a %s: mordants, dyestuffs, auxiliaries and solutions are dosed", d.ItemCode, d.ItemKind)
	}
	// A word that the table does not know stops no recipe: nothing is known of it.
	if s, err := Lookup(d.Substance); err == nil {
		l.substance = s
	}
	for _, name := range []string{d.Plant + " " + d.Part, d.Plant, d.ItemName} {
		if dye, known := DyeOf(name); known && d.ItemKind != Mordant && l.dye == "" {
			l.dye, l.family = dye.Key, dye.Family
		}
	}
	if m := l.substance.Metal; m == "Cr" || m == "Sn" {
		return l, l.substance.RefuseNew()
	}
	return l, l.checkAsk(ratio)
}

// checkAsk holds the dose against its item and its bounds.
func (l lookedLine) checkAsk(ratio quantity.Ratio) error {
	if err := l.Ask.check(); err != nil {
		return at("value", err)
	}
	switch b := l.Ask.Basis; {
	case b == OfLiquor && l.Unit != quantity.Volume:
		return fault.BadField("basis", "%s is kept in %s: mL to a kilogram is for liquors", l.ItemCode, l.Unit.Name())
	case b == Counted && l.Unit != quantity.Count:
		return fault.BadField("basis", "%s is kept in %s: pieces to a kilogram is for what is counted", l.ItemCode, l.Unit.Name())
	case (b == OnFibre || b == InBath) && l.Unit == quantity.Count:
		return fault.BadField("basis", "%s is counted in pieces: give pieces to a kilogram", l.ItemCode)
	case b != OfLiquor && l.substance.HasIron() && !l.substance.HasFormula():
		return fault.BadField("basis", "%s is of unknown strength, so nothing can be weighed by it: give mL to a kilogram", l.substance.Name)
	case b == OfLiquor && l.Ask.PerKilo.N > 1000*int64(ratio):
		return fault.BadField("value", "%s is more than the whole bath at %s", l.Ask, ratio)
	case l.wof == nil:
		return nil
	}
	err := Limit(l.ItemKind, *l.wof)
	if f, bad := fault.Of(err); bad && l.Ask.Basis == InBath {
		return fault.BadField("value", "%s at %s is %s WOF: %s", l.Ask, ratio, *l.wof, f.Say)
	}
	return at("value", err)
}

// at moves a fault to the field that a recipe line has it in; an unknown basis
// stays at its own.
func at(field string, err error) error {
	if f, ok := fault.Of(err); ok && f.Field == "basis" {
		return err
	}
	return onField(field, err)
}
