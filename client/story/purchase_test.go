package story_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// A season's buying through the real programs, by hand: 900 g of alum are kept,
// none is there. Two packs of 500 g at 6.80 and 9.50 to send are 23.10, one of
// 1 kg at 12.00 costs 12.00. 600 g come, then 450 g.
func TestAlumIsBoughtAndComesInTwoBags(t *testing.T) {
	t.Parallel()
	s := open(t)
	s.do("studio", "set", "--currency", "EUR")
	s.do(strings.Fields("item add mordant alum --substance alum --minimum 900g")...)
	s.do("offer", "set", "alum", "salt works", "--pack", "500g", "--price", "6.80", "--price", "4=6.10", "--carriage", "9.50", "--lead-days", "7")
	s.do("offer", "set", "alum", "Northern Salts", "--pack", "1kg", "--price", "12.00", "--lead-days", "7")
	if said := s.show("offer", "list", "alum"); !strings.Contains(said, "packs of 500 g at 6.80 EUR, from 4 packs 6.10 EUR, carriage 9.50 EUR an order") {
		t.Error(said)
	}

	list := s.do("reorder", "--item", "alum")
	list.at("headline").is("1 to order today: alum 1000 g (Northern Salts, 12.00 EUR)")
	if said := s.show("reorder", "--why"); !strings.HasPrefix(said, "1 to order today: alum 1000 g (Northern Salts, 12.00 EUR)\n") ||
		!strings.Contains(said, "- other: 1000 g from salt works would cost 23.10 EUR, 11.10 EUR more") || !strings.Contains(said, "no cheaper plan exists") {
		t.Error(said)
	}
	file := filepath.Join(t.TempDir(), "to-order.csv")
	s.show("reorder", "--csv", file)
	if table, err := os.ReadFile(file); err != nil || !strings.Contains(string(table), "\nalum,alum,g,1000,1,1000,") {
		t.Error(string(table), err)
	}

	s.do("purchase", "from-reorder", "alum", "--by", "owner").at("purchases", 0, "code").is("Q1")
	s.do("reorder", "--item", "alum").at("lines", 0, "buy", "on_the_way").is("1000 g")
	if out, said, code := s.call("stock", "receive", "alum", "600g", "--order", "Q1"); code != 0 || !strings.Contains(out, "Q1: 600 g of 1000 g came, 400 g still to come") || !strings.Contains(out, "from Northern Salts, cost 7.20 EUR") {
		t.Error(code, out, said)
	}
	if out, said, code := s.call("stock", "receive", "alum", "450g", "--order", "Q1"); code != 0 || !strings.Contains(out, "Q1: 1050 g came, 50 g more than was ordered") || !strings.Contains(out, "cost 4.80 EUR") {
		t.Error(code, out, said)
	}
	if said := s.show("purchase", "show", "Q1"); !strings.Contains(said, "450 g as P2") {
		t.Error(said)
	}

	// Ordered three weeks ago, promised a week ago, and not here.
	past := func(days int) string { return time.Now().UTC().AddDate(0, 0, -days).Format(time.DateOnly) }
	s.do("purchase", "order", "salt works", "alum=500g@16.30", "--ordered", past(21), "--promised", past(7))
	if said := s.show("today"); !strings.Contains(said, "500 g of alum from salt works is 7 days late") {
		t.Error(said)
	}
	if said := s.show("purchase", "list", "--late"); !strings.Contains(said, "LATE") {
		t.Error(said)
	}
	s.do("purchase", "close", "Q2", "--reason", "sold out").at("purchase", "lines", 0, "state").is("closed")

	for _, c := range []struct {
		line, says string
		code       int
	}{
		{"stock receive alum 1g --order Q9", "see the orders with: dyelot purchase list", 3},
		{"purchase close Q1 --reason x", "see the order with: dyelot purchase show Q1", 4},
		{"offer set alum works --pack 500g --price 6.80", "--lead-days: is needed", 2},
		{"offer set alum works --pack 3pc --price 6.80 --lead-days 3", "--pack", 2},
		{"offer set alum works --pack 500g --price 6.80 --lead-days -3", "--lead-days", 2},
		{"purchase order works alum", "ITEM=AMOUNT", 2},
		{"purchase order works alum=1kg --promised 2020-01-01", "--promised", 2},
		{"purchase from-reorder alum", "need not be ordered", 2},
		{"purchase blanks alum --earns 3", "only blanks", 4},
		{"reorder --holding -3%", "--holding", 2},
		{"reorder --item alumm", "see the items with", 3},
	} {
		if _, said, code := s.call(strings.Fields(c.line)...); code != c.code || !strings.Contains(said, c.says) {
			t.Errorf("%s: exit %d, %s", c.line, code, said)
		}
	}
	s.do("verify")
}
