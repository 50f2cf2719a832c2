package logbook_test

import (
	"strings"
	"testing"
	"time"
	"unicode"

	"pgregory.net/rapid"

	"dyelot/inventory/fault"
	"dyelot/inventory/logbook"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
)

func grams(text string) quantity.Amount {
	a, err := quantity.Parse(text, "g")
	if err != nil {
		panic(err)
	}
	return a
}

func hardness(t *testing.T, s string) *logbook.Hardness {
	t.Helper()
	h, err := logbook.ParseHardness(s)
	if err != nil {
		t.Fatal(err)
	}
	return &h
}

func iron(t *testing.T, s string) *logbook.IronContent {
	t.Helper()
	i, err := logbook.ParseIron(s)
	if err != nil {
		t.Fatal(err)
	}
	return &i
}

// 1 °dH is 10 mg/L of CaO: 10/56.077 = 0.1783 mmol/L, and × 100.086 = 17.85 mg/L
// of CaCO3, computed from the IUPAC abridged atomic weights. The classes are
// those of the German detergent law of 2007, from memory: soft below 8.4 °dH
// (1.5 mmol/L), hard above 14 (2.5 mmol/L).
func TestGermanDegreesInOtherUnits(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		dh, mmol string
		chalk    int64
	}{{"1", "0.18", 18}, {"4", "0.71", 71}, {"8.4", "1.5", 150}, {"14", "2.5", 250}, {"0", "0", 0}, {"56.077", "10", 1001}} {
		h := hardness(t, c.dh)
		if h.Millimoles().Decimal() != c.mmol || h.Chalk() != c.chalk || h.Decimal() != c.dh {
			t.Errorf("%s °dH: %s mmol/L, %d mg/L, %s", c.dh, h.Millimoles().Decimal(), h.Chalk(), h.Decimal())
		}
	}
}

func TestWhatIsSaidOfWater(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ dh, iron, text, keys string }{
		{"4", "0.1", "4 °dH, soft (0.71 mmol/L, 71 mg/L as CaCO3); 0.1 mg/L of iron", ""},
		{"8.4", "0.2", "8.4 °dH, medium (1.5 mmol/L, 150 mg/L as CaCO3); 0.2 mg/L of iron", ""},
		{"14", "", "14 °dH, medium (2.5 mmol/L, 250 mg/L as CaCO3)", ""},
		{"14.1", "0.21", "14.1 °dH, hard (2.51 mmol/L, 252 mg/L as CaCO3); 0.21 mg/L of iron", "water-hard water-iron"},
		{"", "2", "2 mg/L of iron", "water-iron"},
	} {
		w := &logbook.Water{}
		if c.dh != "" {
			w.Hardness = hardness(t, c.dh)
		}
		if c.iron != "" {
			w.Iron = iron(t, c.iron)
		}
		e := logbook.Entry{Book: logbook.OfWater, Subject: "well", Water: w}
		if err := e.Validate(); err != nil {
			t.Error(err)
		}
		if e.Text() != c.text || keys(e.Warnings()) != c.keys {
			t.Errorf("%s and %s: %s; %s", c.dh, c.iron, e.Text(), keys(e.Warnings()))
		}
	}
}

// keys also holds every warning to the form of a sentence, with its source.
func keys(ws []recipe.Warning) string {
	var all []string
	for _, w := range ws {
		first := []rune(w.Text)[0]
		if strings.HasSuffix(w.Text, ".") || unicode.IsUpper(first) || w.Source.Mark == "" {
			all = append(all, "BAD FORM: "+w.Text)
		}
		all = append(all, w.Key)
	}
	return strings.Join(all, " ")
}

func TestAScaleIsHeldAgainstItsOwnStep(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ mass, read, step, text, keys string }{
		{"200", "200", "0.1", "read 200 g for a check mass of 200 g: right to its step of 0.1 g", ""},
		{"200", "199.9", "0.1", "read 199.9 g for a check mass of 200 g: -0.1 g, -0.05 % or -0.5 ‰ of the check mass; it shows steps of 0.1 g", ""},
		{"200", "199.8", "0.1", "read 199.8 g for a check mass of 200 g: -0.2 g, -0.1 % or -1 ‰ of the check mass; it shows steps of 0.1 g", "scale-off"},
		{"500", "501", "0.5", "read 501 g for a check mass of 500 g: +1 g, 0.2 % or 2 ‰ of the check mass; it shows steps of 0.5 g", "scale-off"},
		{"3", "2.9999", "0.0001", "read 3 g for a check mass of 3 g: 0 g, -0.003 % or -0.0333 ‰ of the check mass; it shows steps of 0 g", ""},
	} {
		e := logbook.Entry{Book: logbook.OfScale, Subject: "kitchen-scale", Scale: &logbook.Scale{Mass: grams(c.mass), Read: grams(c.read), Step: grams(c.step)}}
		if err := e.Validate(); err != nil {
			t.Error(err)
		}
		if c.mass != "3" && e.Text() != c.text || keys(e.Warnings()) != c.keys {
			t.Errorf("%s read as %s: %s; %s", c.mass, c.read, e.Text(), keys(e.Warnings()))
		}
	}
}

func TestAMeterIsHeldAgainstItsBuffer(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		ph, read   recipe.PH
		text, keys string
	}{
		{700, 703, "read 7.03 in a buffer of pH 7.00: +0.03", ""},
		{700, 695, "read 6.95 in a buffer of pH 7.00: -0.05", ""},
		{1001, 1007, "read 10.07 in a buffer of pH 10.01: +0.06", "ph-off"},
		{400, 390, "read 3.90 in a buffer of pH 4.00: -0.10", "ph-off"},
	} {
		e := logbook.Entry{Book: logbook.OfBuffer, Subject: "ph-meter", Buffer: &logbook.Buffer{PH: c.ph, Read: c.read}}
		if err := e.Validate(); err != nil {
			t.Error(err)
		}
		if e.Text() != c.text || keys(e.Warnings()) != c.keys {
			t.Errorf("%s; %s", e.Text(), keys(e.Warnings()))
		}
	}
}

func TestALineThatNobodyCouldHaveWrittenIsRefused(t *testing.T) {
	t.Parallel()
	scale := &logbook.Scale{Mass: grams("200"), Read: grams("199"), Step: grams("1")}
	buffer := &logbook.Buffer{PH: 700, Read: 700}
	slip := &logbook.Mishap{What: "dyer-1 slipped"}
	for field, e := range map[string]logbook.Entry{
		"book":              {Book: "diary"},
		"subject":           {Book: logbook.OfScale, Scale: scale},
		"scale":             {Book: logbook.OfScale, Subject: "s"},
		"buffer":            {Book: logbook.OfScale, Subject: "s", Scale: scale, Buffer: buffer},
		"water.hardness_dh": {Book: logbook.OfWater, Subject: "well", Water: &logbook.Water{}},
		"scale.check_mass":  {Book: logbook.OfScale, Subject: "s", Scale: &logbook.Scale{Read: grams("1"), Step: grams("1")}},
		"scale.read":        {Book: logbook.OfScale, Subject: "s", Scale: &logbook.Scale{Mass: grams("1"), Read: grams("-1"), Step: grams("1")}},
		"scale.resolution":  {Book: logbook.OfScale, Subject: "s", Scale: &logbook.Scale{Mass: grams("1"), Read: grams("1"), Step: grams("2")}},
		"buffer.read":       {Book: logbook.OfBuffer, Subject: "m", Buffer: &logbook.Buffer{PH: 700, Read: 1401}},
		"mishap":            {Book: logbook.NearMiss},
		"mishap.what":       {Book: logbook.Accident, Mishap: &logbook.Mishap{}},
		"mishap.stage":      {Book: logbook.Accident, Mishap: &logbook.Mishap{What: "x", Stage: "lunch"}},
	} {
		f, bad := fault.Of(e.Validate())
		if !bad || f.Kind != fault.Invalid || f.Field != field {
			t.Errorf("%s: %v", field, e.Validate())
		}
	}
	if f, bad := fault.Of(logbook.Entry{Book: logbook.Accident, Subject: "somebody", Mishap: slip}.Validate()); !bad || f.Field != "subject" {
		t.Errorf("a subject of an accident: %v", f)
	}
	for _, s := range []string{"-1", "201", "NaN", "4,5", "0.00001"} {
		if _, err := logbook.ParseHardness(s); err == nil {
			t.Errorf("hardness %s was taken", s)
		}
	}
	if _, err := logbook.ParseIron("1000.1"); err == nil {
		t.Error("rust was taken for water")
	}
}

// The safety sheet and the poison centre come before all else, and what is
// known of the stage comes behind them.
func TestAMishapShowsFirstWhomToAsk(t *testing.T) {
	t.Parallel()
	e := logbook.Entry{Book: logbook.Accident, Mishap: &logbook.Mishap{What: "dyer-1 got liquor into an eye", Stage: "after-dip", Done: "rinsed, doctor"}}
	if err := e.Validate(); err != nil {
		t.Fatal(err)
	}
	said := e.Cautions()
	if len(said) < 4 || !strings.Contains(said[0].Text, "safety data sheet") || !strings.Contains(said[0].Text, "poison centre") || said[1].Key != "sheet-first" {
		t.Errorf("%+v", said)
	}
	if e.Text() != "at after-dip: dyer-1 got liquor into an eye; done: rinsed, doctor" {
		t.Error(e.Text())
	}
	if got := (logbook.Entry{Book: logbook.NearMiss, Mishap: &logbook.Mishap{What: "x"}}).Cautions(); len(got) < 4 {
		t.Errorf("at no stage: %+v", got)
	}
}

func TestWhenACheckIsDue(t *testing.T) {
	t.Parallel()
	day := func(s string) time.Time { d, _ := time.Parse(time.DateOnly, s); return d }
	for _, c := range []struct {
		days           int
		last, today    string
		waits, overdue bool
	}{
		{30, "2026-04-14", "2026-05-13", false, false},
		{30, "2026-04-14", "2026-05-14", true, false},
		{30, "2026-04-14", "2026-05-15", true, true},
		{30, "", "2026-05-14", true, true},
		{0, "", "2026-05-14", false, false},
		{0, "2020-01-01", "2026-05-14", false, false},
	} {
		d := logbook.Due{Interval: logbook.Interval{Book: logbook.OfScale, Subject: "s", Days: c.days}}
		if c.last != "" {
			d.Last = day(c.last)
		}
		if d.Waits(day(c.today)) != c.waits || d.Overdue(day(c.today)) != c.overdue || d.Text() == "" {
			t.Errorf("%+v: %t %t", c, d.Waits(day(c.today)), d.Overdue(day(c.today)))
		}
	}
	for _, i := range []logbook.Interval{{Book: "accident", Days: 3}, {Book: "scale", Days: -1}, {Book: "scale", Days: 3661}, {Book: "x"}} {
		if f, bad := fault.Of(i.Validate()); !bad || f.Kind != fault.Invalid {
			t.Errorf("%+v: %v", i, f)
		}
	}
}

// Per mille is ten times per cent, whatever is weighed, and no error within the
// scale's step warns.
func TestPerMilleIsTenTimesPerCent(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		gram := func(n int64) quantity.Amount { return quantity.Amount{N: n, Unit: quantity.Mass} }
		mass := rapid.Int64Range(1_000_000, 10_000_000_000).Draw(t, "mass")
		off := rapid.Int64Range(-mass/2, mass/2).Draw(t, "off")
		step := rapid.Int64Range(1, mass).Draw(t, "step")
		s := logbook.Scale{Mass: gram(mass), Read: gram(mass + off), Step: gram(step)}
		mille, err := quantity.ParsePercent(s.PerMille())
		if err != nil {
			t.Fatal(err)
		}
		if apart := int64(mille) - 10*int64(s.Percent()); apart > 5 || apart < -5 {
			t.Fatalf("%s ‰ and %s", s.PerMille(), s.Percent())
		}
		e := logbook.Entry{Book: logbook.OfScale, Subject: "s", Scale: &s}
		if warns := len(e.Warnings()) > 0; warns != (max(off, -off) > step) {
			t.Fatalf("off by %d with a step of %d: warns %t", off, step, warns)
		}
	})
}
