package paper

import (
	"strings"

	"charm.land/lipgloss/v2"

	"dyelot/inventory/colour"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

// Block is two columns filled with a colour, for a terminal of 24-bit colour;
// several colours of one view touch, so that an eye can compare them. The screen
// is told L*a*b* as if for D65/2° (IEC 61966-2-1), so for any other light and eye
// the block is approximate and "≈" stands behind it; "!" does where no such
// screen shows a colour, which is then the nearest it has.
func Block(v colour.View, cs ...colour.Lab) string {
	blocks, beyond := "", ""
	for _, c := range cs {
		hex, inGamut := c.SRGB()
		blocks += lipgloss.NewStyle().Foreground(lipgloss.Color(hex)).Render("██")
		if !inGamut {
			beyond = "!"
		}
	}
	if v != (colour.View{Illuminant: colour.D65, Observer: colour.TwoDegrees}) {
		blocks += "≈"
	}
	return blocks + beyond
}

// blockWords say what the marks behind a block mean.
var blockWords = []struct{ mark, says string }{
	{"≈", "≈ approximate: the screen shows it as if for D65, 2° observer."},
	{"!", "! beyond what this screen can show: the nearest it has."},
}

// Legend is what to say below some blocks: a sentence for each mark they carry.
func Legend(blocks string) []string {
	var says []string
	for _, b := range blockWords {
		if strings.Contains(blocks, b.mark) {
			says = append(says, b.says)
		}
	}
	return says
}

// swatch is a block of the colour, or nothing where the terminal cannot show it.
// What its marks mean is written when the sheet is closed.
func (s *Sheet) swatch(c *dyelotv1.Lab) string {
	if !s.swatches || c == nil {
		return ""
	}
	lab, view, ok := asColour(c)
	if !ok {
		return ""
	}
	block := Block(view, lab)
	s.blocks += block
	return block
}

// shade is a colour for whoever looks: a block where that can be seen, its
// numbers, and plain words.
func (s *Sheet) shade(c *dyelotv1.Lab) string {
	return joined(" ", s.swatch(c), spoken(c))
}

// spoken is a colour in numbers and in plain words: "L* 62, a* -2, b* 38,
// yellow".
func spoken(c *dyelotv1.Lab) string { return lab(c) + prefixed(", ", words(c)) }

// words are plain words for a colour; none where it is none.
func words(c *dyelotv1.Lab) string {
	l, _, ok := asColour(c)
	if !ok {
		return ""
	}
	return colour.Words(l)
}

// asColour is a colour of the contract as package colour has it; ok is false where
// it is none.
func asColour(c *dyelotv1.Lab) (l colour.Lab, v colour.View, ok bool) {
	l = colour.Lab{L: c.GetL(), A: c.GetA(), B: c.GetB()}
	var err error
	if v.Illuminant, err = colour.NewIlluminant("illuminant", otherwise(c.GetIlluminant(), "D65")); err != nil {
		return l, v, false
	}
	if c.GetObserver() == 2 { // else 10, said or not
		v.Observer = colour.TwoDegrees
	}
	return l, v, c != nil && l.Check() == nil
}
