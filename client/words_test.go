package client

import (
	"strings"
	"testing"
	"time"

	"google.golang.org/protobuf/proto"
	"pgregory.net/rapid"

	"dyelot/inventory/quantity"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

func oslo(t *testing.T) *time.Location {
	t.Helper()
	zone, err := time.LoadLocation("Europe/Oslo")
	if err != nil {
		t.Fatal(err)
	}
	return zone
}

// Civil times are checked against ISO 8601 with their offset: Oslo is +01:00 in
// winter and +02:00 from the last Sunday of March (tz database).
func TestTimesAsTheyAreTyped(t *testing.T) {
	t.Parallel()
	zone := oslo(t)
	for text, want := range map[string]string{
		"2026-05-14":                "2026-05-14T00:00:00+02:00",
		"2026-05-14 09:30":          "2026-05-14T09:30:00+02:00",
		"2026-05-14T09:30":          "2026-05-14T09:30:00+02:00",
		"2026-05-14 9:30":           "2026-05-14T09:30:00+02:00",
		"2026-05-14 09:30:15":       "2026-05-14T09:30:15+02:00",
		"today 9:30":                "2026-05-14T09:30:00+02:00",
		"today":                     "2026-05-14T00:00:00+02:00",
		"yesterday 23:05":           "2026-05-13T23:05:00+02:00",
		"9:30":                      "2026-05-14T09:30:00+02:00",
		"0:00":                      "2026-05-14T00:00:00+02:00",
		"now":                       "2026-05-14T12:00:00+02:00",
		"2026-01-10 08:00":          "2026-01-10T08:00:00+01:00",
		"2026-05-14T09:30:00Z":      "2026-05-14T11:30:00+02:00",
		"2026-05-14T09:30:00-05:00": "2026-05-14T16:30:00+02:00",
		// The hour that the clock skips: half past two is half past three.
		"2026-03-29 02:30": "2026-03-29T03:30:00+02:00",
	} {
		got, err := timeOf(text, noon, zone)
		if err != nil || got.In(zone).Format(time.RFC3339) != want {
			t.Errorf("%q is %s (%v), want %s", text, got.In(zone).Format(time.RFC3339), err, want)
		}
	}
	for _, text := range []string{"", "soon", "2026-13-01", "2026-02-30", "14.05.2026", "today 25:00", "2026-05-14 9h", "tomorrow at 9", "1778738400"} {
		if got, err := timeOf(text, noon, zone); err == nil {
			t.Errorf("%q is read as %s", text, got)
		}
	}
}

// Just before midnight in Oslo it is still today there, whatever UTC says.
func TestTodayIsTheZonesDay(t *testing.T) {
	t.Parallel()
	late := time.Date(2026, 5, 14, 22, 30, 0, 0, time.UTC)
	for word, want := range map[string]string{"today": "2026-05-15", "yesterday": "2026-05-14", "tomorrow": "2026-05-16"} {
		if got, err := dayOf(word, late, oslo(t)); err != nil || got.Format(time.DateOnly) != want {
			t.Errorf("%s is %s (%v), want %s", word, got.Format(time.DateOnly), err, want)
		}
	}
}

func TestAmountsTravelAsTheyWereTyped(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]*dyelotv1.Amount{
		"162g": {Value: "162", Unit: "g"}, "1.5 kg": {Value: "1.5", Unit: "kg"}, " 30mL ": {Value: "30", Unit: "mL"}, "10pc": {Value: "10", Unit: "pc"},
		"0.10g": {Value: "0.10", Unit: "g"}, "8floz": {Value: "8", Unit: "floz"},
	} {
		if got, err := amountOf(text); err != nil || !proto.Equal(got, want) {
			t.Errorf("%q is %v (%v), want %v", text, got, err, want)
		}
	}
	for _, text := range []string{"", "162", "g", "1,5kg", "1e3g", "NaNg", "162 stones", "1.5pc", "--2g", "0x10g"} {
		if got, err := amountOf(text); err == nil {
			t.Errorf("%q is read as %v", text, got)
		}
	}
}

// Whatever amount the books can show can be typed back and means the same.
func TestAmountsComeBack(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		a := quantity.Amount{N: rapid.Int64Range(0, quantity.Max).Draw(t, "n"), Unit: rapid.SampledFrom([]quantity.Unit{quantity.Mass, quantity.Volume, quantity.Count}).Draw(t, "unit")}
		value, unit := a.Decimal()
		sent, err := amountOf(value + unit)
		if err != nil {
			t.Fatal(err)
		}
		if back, err := quantity.Parse(sent.GetValue(), sent.GetUnit()); err != nil || back != a {
			t.Fatalf("%s %s came back as %v (%v)", value, unit, back, err)
		}
	})
}

func TestMoney(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]*dyelotv1.Money{
		"12.40": {Value: "12.40"}, "12.40 EUR": {Value: "12.40", Currency: "EUR"}, "12.40nok": {Value: "12.40", Currency: "NOK"},
	} {
		if got, err := moneyOf(text); err != nil || !proto.Equal(got, want) {
			t.Errorf("%q is %v (%v), want %v", text, got, err, want)
		}
	}
	for _, text := range []string{"", "EUR", "12,40", "12 kroner", "€12"} {
		if got, err := moneyOf(text); err == nil {
			t.Errorf("%q is read as %v", text, got)
		}
	}
}

func TestTextThatNoMessageCarriesIsRefusedBeforeItIsSent(t *testing.T) {
	t.Parallel()
	service := open(t, nil)
	for _, c := range []struct {
		args []string
		name string
	}{
		{[]string{"stock", "count", "P9", "337g", "--reason", "m\xf8ld"}, "--reason"},
		{[]string{"stock", "count", "P9", "337g", "--reason=m\xf8ld"}, "--reason"},
		{[]string{"stock", "receive", "al\xffum", "337g"}, "word 3"},
	} {
		got := at(service).run(t, c.args...)
		if got.code != 2 || !strings.HasPrefix(got.err, "dyelot: "+c.name+": is not valid UTF-8") {
			t.Errorf("%q: exit code %d: %s", c.args, got.code, got.err)
		}
	}
	if n := len(service.seen()); n != 0 {
		t.Errorf("%d calls were made", n)
	}
}

// A needed reason is asked for at a terminal only; a script is told which flag.
func TestWhatIsMissingIsNamed(t *testing.T) {
	t.Parallel()
	for line, want := range map[string]string{
		"stock write-off P4":                       "dyelot: --reason is needed: why does it leave the shelf\n",
		"stock receive alum":                       "dyelot: AMOUNT is missing; write it as: dyelot stock receive ITEM AMOUNT\n",
		"stock receive alum 5g 6g":                 "dyelot: \"6g\" is one word too many; write it as: dyelot stock receive ITEM AMOUNT\n",
		"stock receive alum 5g --supplier":         "dyelot: --supplier: needs a value behind it\n",
		"stock recieve alum 5g":                    "dyelot: \"recieve\" is no command of dyelot stock; did you mean: dyelot stock receive?\n",
		"sotck list":                               "dyelot: \"sotck\" is no command of dyelot; did you mean: dyelot stock?\n",
		"stock list --knd blank":                   "dyelot: --knd is no flag of dyelot stock list; did you mean --kind?\n",
		"help stok":                                "dyelot: \"stok\" is no command of dyelot; did you mean: dyelot stock?\n",
		"token add bench-1":                        "dyelot: --role is needed: one of owner, dyer, bench, laboratory, shop, viewer\n",
		"token add bench-1 --role cook":            "dyelot: --role: \"cook\" is no role: use one of owner, dyer, bench, laboratory, shop, viewer\n",
		"garment send --order choir-7":             "dyelot: nothing to send: name tags, or a lot that has garments on the shelf with --lot\n",
		"house set light --on --off":               "dyelot: --on: a row is on or off, not both\n",
		"stock count P9 337":                       "dyelot: AMOUNT: \"337\" has no unit or no number: write it as 162g, 1.5kg, 30mL or 10pc\n",
		"stage record L4 5 --minutes 1h30":         "dyelot: --minutes: \"1h30\" is no whole number such as 60\n",
		"today --timeout soon":                     "dyelot: --timeout: \"soon\" is no duration\n",
		"standard add x --lab 62,-2":               "dyelot: --lab: \"62,-2\" is not L,a,b, such as 62,-2,38\n",
		"standard add x --lab 62,-2,NaN":           "dyelot: --lab: \"NaN\" is not a number in L,a,b, such as 62,-2,38\n",
		"run plan g --witness P5":                  "dyelot: --witness: \"P5\" has to be two words with = between, such as P5=18\n",
		"run plan g --vessel dye=pot":              "dyelot: --vessel: \"dye\" is no stage's position: write it as 2=tub-60\n",
		"run plan g --load pot:P1x2 --blanks P1x2": "dyelot: --load: lay the pots out with --load, or give what to dye and --pots, not both\n",
		"stage record L1 0":                        "dyelot: STAGE: 0 is no position: the first stage is 1\n",
		"stock list --addr 127.0.0.1":              "dyelot: --addr: \"127.0.0.1\" is not host:port or unix:///path\n",
	} {
		got := bench{}.run(t, words(t, line)...)
		if got.code != 2 || got.err != want || got.out != "" {
			t.Errorf("dyelot %s: exit code %d, stdout %q\n got %q\nwant %q", line, got.code, got.out, got.err, want)
		}
	}
}

func TestAKindNamesAStageWhereItIsTheOnlyOne(t *testing.T) {
	t.Parallel()
	stages := []*dyelotv1.PlannedStage{{Position: 1, Kind: "scour"}, {Position: 2, Kind: "after-dip"}, {Position: 3, Kind: "chalk-bath", KindName: "chalk bath"}, {Position: 4, Kind: "after-dip"}}
	for word, want := range map[string]int32{"scour": 1, "Scour": 1, "chalk bath": 3, "chalk-bath": 3} {
		if got, err := positionOf(stages, "L1", word); err != nil || got != want {
			t.Errorf("%s is %d (%v), want %d", word, got, err, want)
		}
	}
	for word, says := range map[string]string{"after-dip": "at 2, 4", "vat-dip": "1 scour, 2 after-dip"} {
		if _, err := positionOf(stages, "L1", word); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%s: %v, want %q", word, err, says)
		}
	}
}

// A lot of which nothing is on the shelf is no slip of the command's words: where
// its garments are is said.
func TestALotWithNothingToSendSaysWhereToLook(t *testing.T) {
	t.Parallel()
	got := at(open(t, nil)).run(t, "garment", "send", "--lot", "L1", "--order", "choir-7")
	want := "dyelot: nothing of L1 is on the shelf to be sent\n        see where each is with: dyelot garment list --lot L1; whether it may pass with: dyelot verdict show L1\n"
	if got.code != 4 || got.err != want {
		t.Errorf("exit code %d: %s", got.code, got.err)
	}
}
