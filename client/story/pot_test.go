package story_test

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// Two runs from one tub, by hand: 1000 g of wool in two lots, alum 12 % = 120 g
// shared; the tub kept at 35 L, topped up with 20 g and 2 L, and used again for
// 500 g with 30 g more. The first lot was too pale: 30 g of weld on 500 g more,
// 6 %. The brew gave 20 L, 2 L were left: 9 L to each lot.
func TestATubAVatAndOneMoreHandfulOfWeld(t *testing.T) {
	t.Parallel()
	s := open(t)
	for _, v := range []string{"pot-40 40L dye", "pot-41 40L dye", "tub-60 60L mordant,brew", "vat-50 50L vat"} {
		f := strings.Fields(v)
		s.do("vessel", "add", f[0], "--volume", f[1], "--use", f[2])
	}
	s.do("item", "add", "mordant", "alum", "--substance", "potassium alum")
	s.do("item", "add", "dyestuff", "weld", "--plant", "weld", "--family", "flavonoid")
	s.do("item", "add", "dyestuff", "woad", "--plant", "woad", "--family", "indigoid")
	s.do("item", "add", "blank", "cap", "--style", "cap", "--size", "M", "--fibre", "wool=100", "--piece-mass", "100g")
	for i, in := range []string{"alum 500g", "weld 2000g", "woad 100g", "cap 30pc"} {
		f := strings.Fields(in)
		s.do("stock", "receive", f[0], f[1], "--at", "2026-05-01").at("parcel", "code").is("P" + string(rune('1'+i)))
	}
	s.do("standard", "add", "gold", "--lab", "68,-3,46", "--tolerance", "2.0", "--dated", "2026-03-01")
	s.do("recipe", "add", "gold", "--fibre", "wool", "--ratio", "30", "--stage", "mordant shared 80C 60min alum=12%", "--stage", "brew shared 90C weld=60%", "--stage", "dye 75C 60min", "--stage", "rinse")
	s.do("colourway", "add", "gold", "--standard", "gold", "--recipe", "gold")
	s.do("recipe", "add", "blue", "--fibre", "wool", "--ratio", "30", "--stage", "vat-dip", "--stage", "rinse")
	s.do("colourway", "add", "blue", "--standard", "gold", "--recipe", "blue")
	s.do("run", "plan", "gold", "--load", "pot-40:P4x5", "--load", "pot-41:P4x5", "--at", "2026-05-02")
	s.do("run", "plan", "gold", "--load", "pot-40:P4x5", "--at", "2026-05-02")
	s.do("run", "plan", "blue", "--load", "pot-41:P4x5", "--at", "2026-05-02")
	for _, l := range []string{"L1", "L2", "L3", "L4"} {
		s.do("lot", "issue", l, "--at", "2026-05-03")
	}
	s.tubAndBrew()
	s.onePaleLot()
	s.oneVat()
	s.says(s.show("verify"), "The books are whole.")
}

// says asks for words in what a person reads, however the lines are broken.
func (s *studio) says(text string, words ...string) {
	s.t.Helper()
	flat := strings.Join(strings.Fields(text), " ")
	for _, w := range words {
		if !strings.Contains(flat, w) {
			s.t.Errorf("it does not say %q:\n%s", w, text)
		}
	}
}

func (s *studio) tubAndBrew() {
	s.t.Helper()
	s.do("stage", "record", "L1,L2", "mordant", "--as-planned", "--vessel", "tub-60", "--at", "2026-05-04 10:00")
	s.says(s.show("bath", "keep", "S1", "--litres", "35", "--at", "2026-05-04 12:00"), "B1, mordant in tub-60: kept", "35 L", "dyelot bath undo E1")
	s.says(s.show("bath", "top-up", "B1", "--used", "P1=20g", "--litres", "2", "--at", "2026-05-05 09:00"), "37 L", "20 g of alum (P1)", "left: 360 g of alum (P1)")
	again := s.show("stage", "record", "L3", "mordant", "--bath", "B1", "--used", "P1=30g", "--at", "2026-05-05 10:00")
	s.says(again, "B1, use 2: how much is left in it", "in tub-60 (B1, use 2)", "30 g of alum (P1), 6 % WOF")
	s.says(s.show("bath", "list"), "B1 mordant tub-60 kept", "2 37 L", "L1, L2, L3")
	s.says(s.show("today"), "B1: mordant bath in tub-60 kept", "used twice: use it or log it spent")
	if said := s.refused(4, "stage", "undo", "S1", "--reason", "slip"); !strings.Contains(said, "dyelot stage undo S2") {
		s.t.Errorf("%s", said)
	}
	s.says(s.show("stage", "record", "L1,L2", "brew", "--as-planned", "--vessel", "tub-60", "--litres", "20", "--at", "2026-05-06 10:00"), "the brew by fibre mass: 10 L to L1, 10 L to L2")
	s.do("bath", "spend", "S3", "--litres", "2", "--ph", "6.5", "--route", "foul sewer", "--at", "2026-05-06 12:00")
	s.says(s.show("lot", "show", "L1"), "the brew by fibre mass: 9 L to L1, 9 L to L2", "left over: 2 L, foul sewer", "of the brew as measured: 9 L")
	s.says(s.show("bath", "spend", "B1", "--litres", "37", "--route", "foul sewer"), "spent", "! Pour to a foul sewer where the utility allows. Never to a stream.")
	if said := s.refused(4, "stage", "record", "L4", "1", "--bath", "B1"); !strings.Contains(said, "a bath for mordant, and this is vat dip") {
		s.t.Errorf("%s", said)
	}
}

func (s *studio) onePaleLot() {
	s.t.Helper()
	s.do("stage", "record", "L1", "dye", "--minutes", "60", "--at", "2026-05-07 10:00").at("record", "code").is("S4")
	s.says(s.show("addition", "add", "S4", "--used", "P2=30g", "--look", "too pale on a dried corner", "--after", "there", "--minutes", "20", "--at", "2026-05-07 12:00"),
		"3 dye, addition to S4, L1: S5", "looked: too pale on a dried corner", "looked again: there", "30 g of weld (P2), 6 % WOF", "dyelot recipe from-lot L1")
	s.do("stage", "record", "L1", "rinse", "--vessel", "pot-40", "--at", "2026-05-08 10:00")
	s.says(s.show("recipe", "from-lot", "L1"), "Offered, not written: the next version of gold", "3 dye: weld 6 % WOF is new, of it added 30 g (S5)", "--stage 'dye 75C 80min weld=6%'")
	out, said, code := s.call("recipe", "from-lot", "L1", "--json")
	file := filepath.Join(s.t.TempDir(), "gold.json")
	if err := os.WriteFile(file, []byte(out), 0o600); err != nil || code != 0 || !json.Valid([]byte(out)) {
		s.t.Fatalf("%v, exit %d: %s", err, code, said)
	}
	s.do("recipe", "add", "gold", "--file", file).at("recipe", "version").is("2")
	s.says(s.show("trace", "P2"), "L1")
}

func (s *studio) oneVat() {
	s.t.Helper()
	s.says(s.show("vat", "set", "vat-50", "--litres", "38", "--used", "P3=50g", "--ph", "9.3", "--fibre", "wool", "--at", "2026-05-09"), "vat dip in vat-50: kept", "Work outdoors or well ventilated.")
	vat := s.do("bath", "list").at("baths", 0, "code").text()
	s.says(s.show("vat", "note", vat, "--ph", "10.2", "--celsius", "28", "--used", "P3=5g", "--at", "2026-05-10"), "pH 10.2 is outside pH 9 to 9.5 for a vat with wool", "left: 45 g of woad (P3)")
	s.says(s.show("stage", "record", "L4", "vat-dip", "--bath", vat, "--dips", "3", "--airings", "3", "--at", "2026-05-11"), "3 dips, 3 airings: the whole lot", "at its last reading pH 10.2 is outside")
	s.says(s.show("bath", "show", vat), "set by", "note by", "use 1 by", "3 dips, 3 airings")
	s.do("trace", "P3").at("lot_codes", 0).is("L4")
	s.says(s.show("bath", "undo", "E6", "--reason", "the meter was dry"), "E6 is taken back", "5 g back to P3")
}
