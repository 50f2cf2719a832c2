package story_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// A winter's evening with next year's plan, by hand: 36 scarves of 92 g in two
// pots at 1:30 (40 L at 0.8 hold 1066.6 g, 20 g of it witness cloth: 11 scarves)
// are four loads, 3312 + 80 g; alum at 12 % is 407.04 g, 400 are there, 7 are
// short. Ten scarves in a run of the collection leave 26: three loads, 2392 + 60 g,
// 294.2 g of alum, with 112.8 g promised to the run.
func TestAWinterEveningWithNextYearsPlan(t *testing.T) {
	t.Parallel()
	s := open(t)
	due := time.Now().UTC().AddDate(0, 0, 90).Format(time.DateOnly)
	for _, line := range []string{
		"vessel add pot-40 --volume 40L --use dye", "vessel add tub-60 --volume 60L --use mordant",
		"item add mordant alum --substance alum --minimum 50g --pack 500g --lead-days 7", "item add dyestuff birch --plant birch",
		"item add blank scarf --fibre wool --piece-mass 92g", "item add witness-cloth swatch --fibre wool",
		"stock receive alum 400g", "stock receive scarf 40pc", "stock receive swatch 500g",
		"standard add tarn --lab 46,-3,24 --tolerance 2 --set-tolerance 1.5 --dated 2026-01-01",
	} {
		s.do(strings.Fields(line)...)
	}
	s.do("recipe", "add", "birch-gold", "--fibre", "wool", "--ratio", "30", "--stage", "mordant shared 80C 60min alum=12%", "--stage", "dye 80C 60min birch=80%", "--stage", "dry")
	s.do("colourway", "add", "tarn", "--standard", "tarn", "--recipe", "birch-gold")
	s.do("collection", "add", "spring-27")
	s.do("collection", "set", "spring-27", "tarn", "scarf=36", "--due", due).at("collection", "pieces").is("36")

	why := s.do("season", "needs", "spring-27", "--why", "alum")
	why.at("items", 0, "needed").is("407 g")
	why.at("items", 0, "short").is("7 g")
	why.at("items", 0, "why", 0, "text").has("36 × scarf of 92 g = 3.312 kg", "80 g of witness cloth", "alum 12 % WOF = 407 g")
	why.at("pots", 0, "pot_days").is("4")
	if said := s.show("season", "needs"); !strings.Contains(said, "SHORT  7 g of alum by ") || !strings.Contains(said, "none: no history yet") {
		t.Error(said)
	}
	if said := s.show("reorder"); !strings.Contains(said, "Order 500 g of alum") || !strings.Contains(said, "spring-27") {
		t.Error(said)
	}
	s.do("run", "plan", "tarn", "--blanks", "P2x10", "--witness", "P3=20", "--pots", "pot-40", "--collection", "spring-27")
	left := s.do("season", "needs", "spring-27", "--why", "alum")
	left.at("planned").is("10")
	left.at("items", 0, "needed").is("294.2 g")
	left.at("items", 0, "free").is("287.2 g")
	s.do("collection", "show", "spring-27").at("collection", "lines", 0, "planned").is("10")

	file := filepath.Join(t.TempDir(), "needs.csv")
	s.show("season", "needs", "--csv", file)
	text, err := os.ReadFile(file)
	if err != nil || !strings.Contains(string(text), "\nalum,alum,mordant,g,") || strings.Count(string(text), "\n") != 6 {
		t.Errorf("%s %v", text, err)
	}
	s.refused(2, "collection", "set", "spring-27", "tarn", "scarf=3", "--due", "2020-01-01")
	s.refused(3, "collection", "set", "spring-27", "tarn", "kilt=3", "--due", due)
	s.refused(3, "season", "needs", "winter")
	s.do("verify").at("findings")
}
