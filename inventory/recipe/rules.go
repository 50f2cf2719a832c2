package recipe

import (
	"fmt"
	"slices"

	"dyelot/inventory/quantity"
)

func willNotTake(s stage) []Warning {
	var w []Warning
	for _, f := range s.fibres {
		if f.Class == Synthetic {
			w = append(w, Warning{"will-not-take", f.Key + " will not take plant dye as the rest does: seams, thread and labels stay another colour", practice})
		}
	}
	return w
}

func unusualDose(s stage) []Warning {
	var w []Warning
	for _, r := range ranges {
		f, held := s.holds(r.Groups...)
		if s.WOF == nil || !held || r.Substance != s.substance.Key || r.Stage != "" && r.Stage != s.Stage || *s.WOF <= r.Warn {
			continue
		}
		w = append(w, Warning{"dose-unusual", fmt.Sprintf("%s of %s is above what is usual on %s: %s", *s.WOF, s.substance.Name, f.Key, r), r.Source})
	}
	return w
}

func unusualBath(s stage) []Warning {
	return aboveLine(s, s.PerLitre, bathLines, "bath-unusual", "in the bath")
}

func stockCrystallises(s stage) []Warning {
	return aboveLine(s, s.Stock, stockLines, "stock-crystallises", "as a stock solution")
}

func aboveLine(s stage, is *quantity.Concentration, lines []strengthLine, key, where string) []Warning {
	for _, l := range lines {
		if is != nil && l.substance == s.substance.Key && *is > l.most {
			return []Warning{{key, fmt.Sprintf("%s of %s %s is above %s: %s", *is, s.substance.Name, where, l.most, l.why), l.source}}
		}
	}
	return nil
}

// alkalis that harm wool, hair and silk.
var alkalis = []string{"soda-ash", "washing-soda", "slaked-lime", "lye"}

// alkaliOnProtein spares the vat, where an alkali belongs and the pH is held
// instead.
func alkaliOnProtein(s stage) []Warning {
	if f, held := s.holds(Wool, Hair, Silk); held && slices.Contains(alkalis, s.substance.Key) && s.Stage != "vat-dip" {
		return []Warning{{"alkali-on-protein", fmt.Sprintf("%s on %s: alkali harms protein fibre, scour it with neutral soap alone", s.substance.Name, f.Key), practice}}
	}
	return nil
}

// HeatLimit is the hottest that a liquor may be with these fibres in it and
// this dyestuff: the lowest of them, and whose it is. ok is false where
// neither is known.
func HeatLimit(fs []Fibre, d Dye) (most Celsius, whose string, ok bool) {
	for _, f := range fs {
		if !ok || f.Cap < most {
			most, whose, ok = f.Cap, f.Key, true
		}
	}
	if d.Cap > 0 && (!ok || d.Cap < most) {
		most, whose, ok = d.Cap, d.Key, true
	}
	return most, whose, ok
}

// tooHot gives one warning for the lowest limit that the stage breaks.
func tooHot(s stage) []Warning {
	if s.Heat == nil || !s.inLiquor() {
		return nil
	}
	fs := s.fibres
	if s.Stage == "brew" { // no cloth in it yet
		fs = nil
	}
	most, whose, known := HeatLimit(fs, s.dye)
	source := practice
	for _, l := range heatLines {
		f, held := s.holds(l.groups...)
		if held && l.stage == s.Stage && (l.metal == "" || l.metal == s.substance.Metal) && (!known || l.most < most) {
			most, whose, known, source = l.most, f.Key+", "+l.why, true, l.source
		}
	}
	if !known || *s.Heat <= most {
		return nil
	}
	return []Warning{{"too-hot", fmt.Sprintf("%s is above %s for %s", *s.Heat, most, whose), source}}
}

func vatPH(s stage) []Warning {
	if s.PH == nil || s.Stage != "vat-dip" {
		return nil
	}
	for _, l := range vatLines {
		f, held := s.holds(l.groups...)
		switch {
		case !held:
			continue
		case *s.PH < l.low || *s.PH > l.high:
			return []Warning{{"vat-ph", fmt.Sprintf("%s is outside %s to %s for a vat with %s: %s", *s.PH, l.low, l.high.Decimal(), f.Key, l.why), l.source}}
		}
		return nil
	}
	return nil
}

func greyerWithIron(s stage) []Warning {
	if s.Tannin && s.family.Key == "flavonoid" && (s.substance.Metal == "Fe" || s.Iron != Iron{}) {
		return []Warning{{"greyer-with-iron", "tannin under a yellow turns greyer with iron than the yellow alone would", practice}}
	}
	return nil
}

func fugitive(s stage) []Warning {
	if !s.family.Fugitive {
		return nil
	}
	source, found := s.family.Source, ""
	for _, study := range s.dye.Studies() {
		if len(study.On) > 0 {
			source, found = study.Source, ": "+study.Found
		}
	}
	return []Warning{{"fugitive", fmt.Sprintf("%s is fugitive, it fades or washes out fast%s", s.dye.Key, found), source}}
}

func oldRecordsOnly(s stage) []Warning {
	if !s.substance.OldRecordsOnly() {
		return nil
	}
	return []Warning{{"old-records-only", s.substance.oldRecordsSay(), practice}}
}
