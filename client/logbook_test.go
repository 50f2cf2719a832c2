package client

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

func init() {
	every = append(every, []struct{ method, line, request string }{
		{"LogbookService/CorrectStage", `stage correct S5 --used P9=160g --not-used P4,P6 --ph 5.5 --litres 43 --deviation-reason "the jug slipped" --reason "read 160 as 162"`,
			`record_code: "S5" reason: "read 160 as 162" used { parcel_code: "P9" amount { value: "160" unit: "g" } } not_used: "P4" not_used: "P6" ph: "5.5"
			 bath_volume { value: "43" unit: "L" } deviation_reason: "the jug slipped"`},
		{"LogbookService/WithdrawEvidence", `reading withdraw C4 --reason "a stain" --by bench-1`, `code: "C4" reason: "a stain" by: "bench-1"`},
		{"LogbookService/WithdrawEvidence", `test withdraw F7 --reason shade`, `code: "F7" reason: "shade"`},
		{"LogbookService/WithdrawEvidence", `log withdraw J3 --reason "a cup"`, `code: "J3" reason: "a cup"`},
		{"LogbookService/GetYear", `stock year 2026 --item weld`, `from: "2026-01-01" to: "2026-12-31" item_code: "weld"`},
		{"LogbookService/GetYear", `stock year --from 2025-07-01 --to yesterday`, `from: "2025-07-01" to: "2026-05-13"`},
		{"LogbookService/AddLogEntry", `log water --source well --hardness-dh 4 --iron-mg-per-l 0.1 --on 2026-05-14`,
			`entry { book: "water" subject: "well" water { hardness_dh: "4" iron_mg_per_l: "0.1" } happened_at { seconds: 1778709600 } }`},
		{"LogbookService/AddLogEntry", `log scale kitchen-scale --check-mass 200g --read 199.8g --resolution 0.1g`,
			`entry { book: "scale" subject: "kitchen-scale" scale { check_mass { value: "200" unit: "g" } read { value: "199.8" unit: "g" } resolution { value: "0.1" unit: "g" } } }`},
		{"LogbookService/AddLogEntry", `log buffer --ph 7.00 --read 7.03`, `entry { book: "buffer" subject: "ph-meter" buffer { ph: "7.00" read: "7.03" } }`},
		{"LogbookService/AddLogEntry", `log buffer vat-meter --ph 10.01 --read 10`, `entry { book: "buffer" subject: "vat-meter" buffer { ph: "10.01" read: "10" } }`},
		{"LogbookService/AddLogEntry", `log accident --what "liquor in an eye" --stage after-dip --by dyer-1 --done rinsed`,
			`entry { book: "accident" by: "dyer-1" mishap { what: "liquor in an eye" stage: "after-dip" done: "rinsed" } }`},
		{"LogbookService/AddLogEntry", `log near-miss --what "the lid slid"`, `entry { book: "near-miss" mishap { what: "the lid slid" } }`},
		{"LogbookService/ListLogEntries", `log list --kind scale --of kitchen-scale`, `book: "scale" subject: "kitchen-scale" page_size: 1000`},
		{"LogbookService/SetLogInterval", `log every scale kitchen-scale 30d`, `book: "scale" subject: "kitchen-scale" days: 30`},
		{"LogbookService/SetLogInterval", `log every water 52w`, `book: "water" days: 364`},
		{"LogbookService/ListDue", `log due`, ``},
	}...)
}

func TestDaysAreReadFromTheirWord(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]int32{"30d": 30, "2w": 14, "0d": 0} {
		if got, err := daysOf(text); err != nil || got != want {
			t.Errorf("%s: %d %v", text, got, err)
		}
	}
	for _, text := range []string{"", "d", "30", "3m", "-1d", "1.5w", "99999d"} {
		if got, err := daysOf(text); err == nil {
			t.Errorf("%q was read as %d", text, got)
		}
	}
}

// The table goes to a file, which only its owner can read, or to standard
// output; a year that is none is refused before anybody is asked.
func TestTheYearIsWrittenAsATable(t *testing.T) {
	t.Parallel()
	c := open(t, func(asked) (proto.Message, error) {
		g := func(n string) *dyelotv1.Amount { return &dyelotv1.Amount{Value: n, Unit: "g"} }
		l := &dyelotv1.YearLine{ParcelCode: "P1", ItemCode: "alum", ItemName: "=alum", Opening: g("0"), In: g("500"), Counted: g("-5"), Book: g("495")}
		return &dyelotv1.GetYearResponse{From: "2026-01-01", To: "2026-12-31", Items: []*dyelotv1.YearItem{{Sum: l, Parcels: []*dyelotv1.YearLine{l}}}}, nil
	})
	file := filepath.Join(t.TempDir(), "year.csv")
	if r := at(c).run(t, "stock", "year", "2026", "--csv", file); r.code != 0 || r.out != "" || !strings.Contains(r.err, file) {
		t.Fatalf("%+v", r)
	}
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	r := at(c).run(t, "stock", "year", "2026", "--csv", "-")
	if r.code != 0 || r.out != string(text) || !strings.Contains(r.out, "alum,'=alum,,P1,g,0,500,,,,,-5,495,") {
		t.Errorf("%+v", r)
	}
	for _, line := range []string{"stock year", "stock year 26x", "stock year 2026 --from 2026-01-01", "stock year --from 2026-01-01"} {
		if r := at(c).run(t, strings.Fields(line)...); r.code != 2 || !strings.Contains(r.err, "YEAR") {
			t.Errorf("%s: %+v", line, r)
		}
	}
}
