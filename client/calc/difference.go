package calc

import (
	"fmt"
	"strings"

	"dyelot/inventory/colour"
	"dyelot/inventory/fastness"
	"dyelot/inventory/fault"
)

var difference = calculation{
	name:  "difference",
	short: "Measure a sample against its standard",
	long: `How far a sample lies from its standard, by CIEDE2000, CMC(l:c) and plain ΔE*ab,
in which direction, and which grade of change (ISO 105-A05) or of staining (ISO
105-A04) an instrument would give the pair. Always sample − standard. Both
L*a*b* must be of one illuminant and one observer.`,
	example:  `dyelot calc difference --standard 62,-2,38 --sample 60.8,-1.4,36.6`,
	says:     `CIEDE2000 1.23, CMC(2:1) 0.89, ΔE*ab 1.94: darker by 1.20, duller by 1.43,`,
	document: `{"standard": [62,-2,38], "sample": [60.8,-1.4,36.6]}`,
	ask:      func() question { return &differenceQuestion{cmc: [2]float64{colour.Acceptance.L, colour.Acceptance.C}} },
}

type differenceQuestion struct {
	standard, sample [3]float64
	cmc              [2]float64
}

func (q *differenceQuestion) fields() []field {
	return []field{
		need("standard", "L*,a*,b* of the standard, or of the cloth before its test", tuple(q.standard[:], "L,a,b")),
		need("sample", "L*,a*,b* of the sample, or of the cloth after its test", tuple(q.sample[:], "L,a,b")),
		may("cmc", "l,c of the CMC formula; 2,1 unless given", tuple(q.cmc[:], "l,c")),
	}
}

func (q *differenceQuestion) answer(func() bool) (answer, error) {
	standard, sample := labOf(q.standard), labOf(q.sample)
	d, err := colour.Compare(standard, sample, colour.Ratio{L: q.cmc[0], C: q.cmc[1]})
	if err != nil {
		return nil, asEntry(err)
	}
	change, err := fastness.ChangeGrade(q.standard, q.sample)
	if err != nil {
		return nil, err
	}
	stain, err := fastness.StainGrade(q.standard, q.sample)
	if err != nil {
		return nil, err
	}
	return &differenceAnswer{*q, change, stain, real(d.CIEDE2000), real(d.CMC), real(d.E), real(d.L), real(d.C), real(d.H), change.Grade.String(), stain.Grade.String()}, nil
}

func labOf(c [3]float64) colour.Lab { return colour.Lab{L: c[0], A: c[1], B: c[2]} }

// asEntry names a coordinate as the document does: "standard.a" is standard[1].
func asEntry(err error) error {
	f, ok := fault.Of(err)
	if !ok {
		return err
	}
	list, part, _ := strings.Cut(f.Field, ".")
	order := []string{"l", "a", "b"}
	if list == "cmc" {
		order = []string{"l", "c"}
	}
	for i, name := range order {
		if name == part {
			return f.At(entry(list, i))
		}
	}
	return err
}

type differenceAnswer struct {
	asked  differenceQuestion
	change fastness.Change
	stain  fastness.Stain

	DE2000      real   `json:"de_2000"`
	DECMC       real   `json:"de_cmc"`
	DEab        real   `json:"de_ab"`
	DL          real   `json:"dl"`
	DC          real   `json:"dc"`
	DH          real   `json:"dh"`
	ChangeGrade string `json:"change_grade"`
	StainGrade  string `json:"stain_grade"`
}

func (a *differenceAnswer) tell(p *page) {
	cmc := fmt.Sprintf("CMC(%s:%s)", shown(a.asked.cmc[0], 3), shown(a.asked.cmc[1], 3))
	p.note("CIEDE2000 %s, %s %s, ΔE*ab %s: %s.", two(a.DE2000), cmc, two(a.DECMC), two(a.DEab), a.direction())
	line := func(name string, c [3]float64) []string {
		lch := labOf(c).LCh()
		hue := "–" // a grey has none
		if lch.C > 0 {
			hue = fixed(lch.H, 1) + "°"
		}
		return []string{name, fixed(c[0], 2), fixed(c[1], 2), fixed(c[2], 2), fixed(lch.C, 2), hue}
	}
	p.table([]string{"", "L*", "a*", "b*", "C*", "h"}, [][]string{line("standard", a.asked.standard), line("sample", a.asked.sample)})
	standard, sample := labOf(a.asked.standard), labOf(a.asked.sample)
	unsaid := colour.View{} // so that the swatch is approximate
	p.rows(
		[2]string{"seen as", p.swatch(unsaid, standard, sample) + colour.Words(standard) + ", the standard; " + colour.Words(sample) + ", the sample"},
		[2]string{"CIEDE2000", two(a.DE2000) + ", ISO/CIE 11664-6, weights 1:1:1"},
		[2]string{cmc, two(a.DECMC) + ", ISO 105-J03, weighed by the standard"},
		[2]string{"CIELAB", fmt.Sprintf("ΔE*ab %s: ΔL* %s, ΔC* %s, ΔH* %s", two(a.DEab), two(a.DL), two(a.DC), two(a.DH))},
		[2]string{"change", fmt.Sprintf("grade %s, ΔE_F %s (ISO 105-A05 [M])", a.ChangeGrade, fixed(a.change.DeltaEF, 2))},
		[2]string{"staining", fmt.Sprintf("grade %s, ΔE_GS %s (ISO 105-A04 [M])", a.StainGrade, fixed(a.stain.DeltaEGS, 2))},
	)
	p.note("Name the illuminant and the observer of both readings beside these figures; the two must be the same, and the grades ask for D65/10°. " +
		"A grade belongs to cloth that was tested; this one is a lot's own only if both readings are of its own witness swatch, or of the strip that lay against it.")
	p.legend()
}

// direction says which way the sample has moved, in a dyer's words.
func (a *differenceAnswer) direction() string {
	var words []string
	for _, d := range []struct {
		by           real
		more, less   string
		none, behind string
	}{
		{a.DL, "lighter by ", "darker by ", "as light", ""},
		{a.DC, "brighter by ", "duller by ", "as bright", ""},
		{a.DH, "turned ", "turned ", "the same hue", " towards " + a.towards()},
	} {
		switch by := two(d.by); {
		case by == "0.00":
			words = append(words, d.none)
		case d.by > 0:
			words = append(words, d.more+by+d.behind)
		default:
			words = append(words, d.less+strings.TrimPrefix(by, "-")+d.behind)
		}
	}
	return strings.Join(words, ", ")
}

// towards is the hue that the sample has turned to: the next of red 0°, yellow
// 90°, green 180° and blue 270° on its way round from the standard.
func (a *differenceAnswer) towards() string {
	from := labOf(a.asked.standard).LCh().H
	if a.DH > 0 {
		return [4]string{"yellow", "green", "blue", "red"}[int(from/90)%4]
	}
	return [4]string{"red", "yellow", "green", "blue"}[int((360-from)/90+3)%4]
}

// two is a figure to two decimals, as colour differences are quoted.
func two(r real) string { return fixed(float64(r), 2) }
