package opening_test

import (
	"fmt"
	"math/big"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"dyelot/inventory/opening"
)

// A number that is read is never a thousand times off: written with either
// mark, with spaces between thousands or none, it comes back as it was, or is
// refused.
func TestNoNumberIsMisread(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		whole := rapid.Int64Range(0, 999_999_999).Draw(t, "whole")
		decimals := rapid.StringMatching(`[0-9]{0,5}`).Draw(t, "decimals")
		mark := rapid.SampledFrom([]opening.Mark{opening.Comma, opening.Point}).Draw(t, "mark")
		group := rapid.SampledFrom([]string{"", " ", "\u00a0", "\u202f", "other"}).Draw(t, "group")
		said := rapid.Bool().Draw(t, "said")
		separator := rapid.SampledFrom([]rune{',', ';', '\t'}).Draw(t, "separator")
		if group == "other" {
			group = map[opening.Mark]string{opening.Comma: ".", opening.Point: ","}[mark]
		}
		text := grouped(whole, group)
		plain := fmt.Sprint(whole)
		if decimals != "" {
			text, plain = text+string(mark)+decimals, plain+"."+decimals
		}
		form := opening.Unsaid
		if said {
			form = mark
		}
		got, err := opening.Number(text, form, separator)
		switch {
		case err != nil && said:
			t.Fatalf("%q with its mark said: %v", text, err)
		case err != nil:
			return // ambiguous, and nobody said
		}
		// Unsaid, only a comma-separated file may hold a point between what could
		// be thousands: there a point is a decimal point, as everywhere here.
		if !said && group == "." && decimals == "" && separator == ',' && strings.Count(text, ".") == 1 {
			return
		}
		want, _ := new(big.Rat).SetString(plain)
		have, ok := new(big.Rat).SetString(got)
		if !ok || want.Cmp(have) != 0 {
			t.Fatalf("%q in a file with %q is read as %s, not %s", text, separator, got, plain)
		}
	})
}

func grouped(n int64, mark string) string {
	s := fmt.Sprint(n)
	for i := len(s) - 3; i > 0; i -= 3 {
		s = s[:i] + mark + s[i:]
	}
	return s
}

// Whatever bytes come, they are answered: no panic, an end, and nothing that is
// planned is negative.
func FuzzAnySheetIsRead(f *testing.F) {
	for _, seed := range []string{shelfCSV, "item,amount\nalum,\"1,5 g\"\n", "\ufeffitem;amount\r\nalum;8 oz\r\n", "item,amount\n\"", "ref;item;amount\na;tunic;1\n", "a\tb\n\t\n"} {
		f.Add(seed, "colourway;vessel;dyed_on;pieces;blanks;used\nolive;pot-40;2024-05-01;2;stack;alum=1 g | P7=2 mL\n", byte(0))
	}
	f.Fuzz(func(t *testing.T, parcels, lots string, form byte) {
		var off opening.Notes
		var s opening.Sheets
		s.Items, _ = opening.Read(opening.Items, strings.NewReader(parcels), &off)
		s.Parcels, _ = opening.Read(opening.Parcels, strings.NewReader(parcels), &off)
		s.Lots, _ = opening.Read(opening.Lots, strings.NewReader(lots), &off)
		s.Wants()
		u := opening.Understand(s, withLots(), opening.Form{Mark: []opening.Mark{opening.Unsaid, opening.Comma, opening.Point}[form%3], Days: []opening.Order{"", "dmy", "mdy"}[form/3%3]}, off)
		u.Plan.InWords()
		if u.Off.Count > 0 {
			return
		}
		for _, p := range u.Plan.Parcels {
			if p.Has.N < 0 || p.Used.N < 0 || p.Gone().N < 0 || p.Received.N < 0 {
				t.Fatalf("%+v", p)
			}
		}
		for _, l := range u.Plan.Lots {
			if len(l.Masses) == 0 || l.Mass().N <= 0 || l.Sold > len(l.Masses) || len(l.Records) == 0 || l.Bath.N <= 0 {
				t.Fatalf("%+v", l)
			}
		}
	})
}

// The columns that are shown can be typed: each example is read by its own
// sheet's rules.
func TestTheExamplesOfTheColumnsCanBeTyped(t *testing.T) {
	t.Parallel()
	for _, k := range opening.Kinds() {
		var header, row []string
		for _, c := range opening.Columns(k) {
			header, row = append(header, c.Name), append(row, c.Example)
		}
		var off opening.Notes
		s, err := opening.Read(k, strings.NewReader(strings.Join(header, "\t")+"\n"+strings.Join(row, "\t")+"\n"), &off)
		if err != nil || off.Count > 0 || len(s.Rows) != 1 || len(s.Columns) != len(header) {
			t.Errorf("%s: %v, %v, %v", k, err, off.List, s.Columns)
		}
	}
}

// 8 oz of alum on the shelf, in a sheet of a country with decimal commas.
func ExampleUnderstand() {
	var off opening.Notes
	sheet, err := opening.Read(opening.Parcels, strings.NewReader("item;amount\nalum;8,0 oz\n"), &off)
	if err != nil {
		panic(err)
	}
	u := opening.Understand(opening.Sheets{Parcels: sheet}, bare(), opening.Form{}, off)
	grams, unit := u.Plan.Parcels[0].Has.Decimal()
	fmt.Println(grams, unit)
	// Output: 226.796185 g
}
