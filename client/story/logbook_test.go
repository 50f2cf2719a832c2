package story_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// A day on the shelf and a week at the scale, worked by hand: 500 g of alum come
// in, 50 g spoil at 14:00, and the count of 11:00, 487 g, is typed in after that:
// 500 − 487 = 13 g were missing, 450 − 13 = 437 g are left.
func TestADayOnTheShelfAndTheSmallBooks(t *testing.T) {
	t.Parallel()
	s := open(t)
	yesterday := time.Now().UTC().AddDate(0, 0, -1)
	day, year := yesterday.Format(time.DateOnly), yesterday.Format("2006")
	s.do("item", "add", "mordant", "alum", "--substance", "potassium alum")
	s.do("stock", "receive", "alum", "500g", "--at", day+" 08:00")
	s.do("stock", "write-off", "P1", "50g", "--reason", "spilt", "--at", day+" 14:00")
	c := s.do("stock", "count", "P1", "487g", "--at", day+" 11:00", "--reason", "stocktaking")
	c.at("difference").is("-13 g")
	c.at("book").is("500 g")
	c.at("parcel", "on_hand").is("437 g")

	books := s.do("stock", "year", year)
	for column, want := range map[string]string{"opening": "0 g", "in": "500 g", "spoiled": "50 g", "counted": "-13 g", "book": "437 g"} {
		books.at("items", 0, "sum", column).is(want)
	}
	file := filepath.Join(t.TempDir(), "year.csv")
	s.show("stock", "year", year, "--csv", file)
	text, err := os.ReadFile(file)
	if err != nil || !strings.Contains(string(text), "\nalum,alum,mordant,P1,g,0,500,0,0,50,0,-13,437,487,"+day+"T11:00:00Z,-13,owner,stocktaking,") {
		t.Errorf("%s %v", text, err)
	}

	s.do("log", "every", "scale", "kitchen-scale", "30d")
	s.do("today").at("tasks", 0, "text").has("never done")
	s.do("log", "scale", "kitchen-scale", "--check-mass", "200g", "--read", "199.8g").at("entry", "scale", "error_per_mille").is("-1")
	if left := s.do("today").at("tasks").list(); len(left) != 0 {
		t.Errorf("checked, and still asked for: %v", left)
	}
	s.do("log", "withdraw", "J1", "--reason", "a cup stood on it")
	s.do("today").at("tasks", 0, "subject").is("kitchen-scale")
	s.do("log", "accident", "--what", "liquor splashed into an eye", "--stage", "after-dip", "--by", "dyer-1").at("cautions", 0, "text").has("safety data sheet", "poison centre")
	if said := s.show("log", "list"); !strings.Contains(said, "WITHDRAWN by owner") || !strings.Contains(said, "J2") {
		t.Error(said)
	}
	s.refused(2, "log", "buffer", "--ph", "7.00", "--read", "77")
	s.refused(4, "log", "withdraw", "J1", "--reason", "again")
	s.refused(3, "reading", "withdraw", "C1", "--reason", "none")
}
