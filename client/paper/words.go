package paper

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"google.golang.org/protobuf/types/known/timestamppb"

	"dyelot/inventory/quantity"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

// nothing stands where a value is not known: absent is not zero.
const nothing = "–"

// amount shows an amount rounded once, for people: "162 g", "43.2 L". What
// cannot be read is shown as it came.
func amount(a *dyelotv1.Amount) string {
	if a.GetValue() == "" {
		return nothing
	}
	q, err := quantity.Parse(a.GetValue(), a.GetUnit())
	if err != nil {
		return a.GetValue() + " " + a.GetUnit()
	}
	return q.String()
}

// milligrams shows a mass to the milligram.
func milligrams(a *dyelotv1.Amount) string {
	q, err := quantity.Parse(a.GetValue(), a.GetUnit())
	if err != nil || q.Unit != quantity.Mass {
		return amount(a)
	}
	return q.Round(1000).String()
}

// litres shows a bath in litres to a hundredth, whatever it holds.
func litres(a *dyelotv1.Amount) string {
	q, err := quantity.Parse(a.GetValue(), a.GetUnit())
	if err != nil || q.Unit != quantity.Volume {
		return amount(a)
	}
	hundredths := quantity.RoundTo(q.N, 10_000) / 10_000
	text := fmt.Sprintf("%d.%02d", hundredths/100, hundredths%100)
	return strings.TrimSuffix(strings.TrimRight(text, "0"), ".") + " L"
}

// some is true of an amount above or below zero.
func some(a *dyelotv1.Amount) bool {
	q, err := quantity.Parse(a.GetValue(), a.GetUnit())
	return err == nil && q.N != 0
}

// money shows a sum in hundredths.
func money(m *dyelotv1.Money) string {
	if m.GetValue() == "" {
		return nothing
	}
	q, err := quantity.ParseMoney(m.GetValue(), m.GetCurrency())
	if err != nil {
		return m.GetValue() + " " + m.GetCurrency()
	}
	return q.String()
}

// percent shows a decimal with its sign, and nothing for nothing.
func percent(text string) string {
	p, err := quantity.ParsePercent(text)
	if err != nil {
		return nothing
	}
	return p.String()
}

// when shows a time in the sheet's zone, to the minute.
func (s *Sheet) when(at *timestamppb.Timestamp) string { return s.clock(at, "2006-01-02 15:04") }

// day shows the day of a time in the sheet's zone.
func (s *Sheet) day(at *timestamppb.Timestamp) string { return s.clock(at, time.DateOnly) }

func (s *Sheet) clock(at *timestamppb.Timestamp, layout string) string {
	if at == nil {
		return nothing
	}
	if s.zone == nil {
		s.zone = time.UTC
		if s.ask != nil {
			s.zone = s.ask()
		}
	}
	return at.AsTime().In(s.zone).Format(layout)
}

// or shows a text, and a dash where it is empty.
func or(text string) string {
	if text == "" {
		return nothing
	}
	return text
}

// named is "alum (P9)" and the like.
func named(name, code string) string {
	switch {
	case name == "" || name == code:
		return code
	case code == "":
		return name
	}
	return name + " (" + code + ")"
}

// joined puts the texts that are there in a row.
func joined(between string, texts ...string) string {
	var there []string
	for _, t := range texts {
		if t != "" {
			there = append(there, t)
		}
	}
	return strings.Join(there, between)
}

// RoleName is the word for a role: "owner".
func RoleName(r dyelotv1.Role) string {
	return strings.ToLower(strings.TrimPrefix(r.String(), "ROLE_"))
}

func roleNames(roles []dyelotv1.Role) string {
	names := make([]string, len(roles))
	for i, r := range roles {
		names[i] = RoleName(r)
	}
	return strings.Join(names, ", ")
}

// light names what a colour was computed for: "D65, 10° observer". Without a
// word the contract means D65 and 10°.
func light(c *dyelotv1.Lab) string {
	illuminant, observer := c.GetIlluminant(), c.GetObserver()
	if illuminant == "" {
		illuminant = "D65"
	}
	if observer == 0 {
		observer = 10
	}
	return fmt.Sprintf("%s, %d° observer", illuminant, observer)
}

// lab shows a colour: "L* 62, a* -2, b* 38".
func lab(c *dyelotv1.Lab) string {
	return fmt.Sprintf("L* %s, a* %s, b* %s", hundredths(c.GetL()), hundredths(c.GetA()), hundredths(c.GetB()))
}

// hundredths rounds to two decimals, and writes no more of them than there are.
func hundredths(x float64) string {
	return strconv.FormatFloat(math.Round(x*100)/100+0, 'f', -1, 64)
}

// usual is where most cautions are from. On a card it is said once.
const usual = "common practice"

// source names where a sentence is from, without the marks that the program's
// own tables carry.
func source(text string) string { return strings.TrimSuffix(text, " [CP]") }

// warn writes warnings, each with where it is from.
func (s *Sheet) warn(indent int, warnings []*dyelotv1.Warning) {
	for _, w := range warnings {
		text := w.GetText()
		if from := source(w.GetSource()); from != "" {
			text += " (" + from + ")"
		}
		s.hang(mind, strings.Repeat(" ", indent)+"Mind: ", text)
	}
}

// shout writes shortages before anything else is read.
func (s *Sheet) shout(shortages []*dyelotv1.Shortage) {
	for _, sh := range shortages {
		text := fmt.Sprintf("%s of %s%s%s", amount(sh.GetShort()), sh.GetItemCode(), prefixed(" for ", sh.GetOf()), prefixed(", from ", sh.GetParcelCode()))
		s.hang(loud, "SHORT  ", joined("\n", text, sh.GetText()))
	}
}

// minutes shows a time as it is said at the pot: "60 min", "24 h", "2 h 30 min".
func minutes(n int32) string {
	switch {
	case n < 120:
		return fmt.Sprintf("%d min", n)
	case n%60 == 0:
		return fmt.Sprintf("%d h", n/60)
	}
	return fmt.Sprintf("%d h %d min", n/60, n%60)
}
