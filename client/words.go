package client

import (
	"regexp"
	"strconv"
	"strings"
	"sync"
	"time"
	"unicode/utf8"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

// pattern is a regular expression that is compiled when it is first asked for:
// most runs of the program ask for none.
func pattern(text string) func() *regexp.Regexp {
	return sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(text) })
}

// checkUTF8 refuses a command line that no message can carry, naming the flag.
func checkUTF8(args []string) error {
	for i, arg := range args {
		if utf8.ValidString(arg) {
			continue
		}
		name, _, isFlag := strings.Cut(arg, "=")
		switch {
		case isFlag && strings.HasPrefix(name, "--") && utf8.ValidString(name):
		case i > 0 && strings.HasPrefix(args[i-1], "--") && !strings.Contains(args[i-1], "="):
			name = args[i-1]
		default:
			name = "word " + strconv.Itoa(i+1)
		}
		return fault.BadField(name, "is not valid UTF-8 text: set the terminal to UTF-8")
	}
	return nil
}

// amountOf reads "162g", "1.5 kg", "30mL", "10pc" and keeps what was written:
// value and unit travel as they are.
func amountOf(text string) (*dyelotv1.Amount, error) {
	if _, err := quantity.ParseText(text); err != nil {
		return nil, sentence(err)
	}
	text = strings.TrimSpace(text)
	cut := strings.IndexFunc(text, func(r rune) bool { return !strings.ContainsRune("+-.,0123456789", r) })
	return &dyelotv1.Amount{Value: text[:cut], Unit: strings.TrimSpace(text[cut:])}, nil
}

// gramsOf is amountOf where a plain number is grams.
func gramsOf(text string) (*dyelotv1.Amount, error) {
	if _, err := quantity.Parse(text, "g"); err == nil {
		return &dyelotv1.Amount{Value: text, Unit: "g"}, nil
	}
	return amountOf(text)
}

// takenOf reads "P9=162g".
func takenOf(text string) (*dyelotv1.Taken, error) {
	parcel, amount, ok := strings.Cut(text, "=")
	parcel = strings.TrimSpace(parcel)
	if !ok || parcel == "" {
		return nil, fault.BadField("", "%q is not a parcel and an amount, such as P9=162g", text)
	}
	a, err := amountOf(amount)
	if err != nil {
		return nil, err
	}
	return &dyelotv1.Taken{ParcelCode: parcel, Amount: a}, nil
}

// moneyOf reads "12.40 EUR"; without a currency it is the house's, empty here.
func moneyOf(text string) (*dyelotv1.Money, error) {
	text = strings.TrimSpace(text)
	cut := strings.IndexFunc(text, func(r rune) bool { return !strings.ContainsRune("+-.,0123456789", r) })
	value, currency := text, "XXX"
	if cut >= 0 {
		value, currency = text[:cut], strings.ToUpper(strings.TrimSpace(text[cut:]))
	}
	if _, err := quantity.ParseMoney(value, currency); err != nil {
		return nil, sentence(err)
	}
	if cut < 0 {
		currency = ""
	}
	return &dyelotv1.Money{Value: value, Currency: currency}, nil
}

// percentOf reads "90" or "90%" into a plain decimal.
func percentOf(text string) (string, error) {
	text = strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(text), "%"))
	if _, err := quantity.ParsePercent(text); err != nil {
		return "", sentence(err)
	}
	return text, nil
}

// sentence takes the field off a fault, for whoever knows the flag better.
func sentence(err error) error {
	if f, ok := fault.Of(err); ok {
		return f.At("")
	}
	return err
}

var clocks = []string{"15:04", "15:04:05", "15.04"}

// timeOf reads when a thing happened: "2026-05-14", "2026-05-14 09:30",
// "today 9:30", "yesterday", "9:30", "now" or RFC 3339. A day alone is its
// first moment, so that it comes before anything timed on that day.
func timeOf(text string, now time.Time, zone *time.Location) (time.Time, error) {
	if at, err := time.Parse(time.RFC3339, text); err == nil {
		return at, nil
	}
	if text == "now" {
		return now, nil
	}
	words := strings.Fields(strings.Replace(text, "T", " ", 1))
	day, dayErr := time.Time{}, error(nil)
	switch len(words) {
	case 1:
		if clock, ok := clockOf(words[0]); ok {
			return onDay(now.In(zone), clock, zone), nil
		}
		day, dayErr = dayOf(words[0], now, zone)
		if dayErr == nil {
			return onDay(day, time.Time{}, zone), nil
		}
	case 2:
		clock, ok := clockOf(words[1])
		if day, dayErr = dayOf(words[0], now, zone); ok && dayErr == nil {
			return onDay(day, clock, zone), nil
		}
	}
	return time.Time{}, fault.BadField("", "%.40q is not a time such as 2026-05-14, \"2026-05-14 09:30\", \"today 9:30\" or 2026-05-14T09:30:00+02:00", text)
}

func clockOf(text string) (time.Time, bool) {
	for _, layout := range clocks {
		if at, err := time.Parse(layout, text); err == nil {
			return at, true
		}
	}
	return time.Time{}, false
}

func onDay(day, clock time.Time, zone *time.Location) time.Time {
	h, m, s := 0, 0, 0
	if !clock.IsZero() {
		h, m, s = clock.Clock()
	}
	return time.Date(day.Year(), day.Month(), day.Day(), h, m, s, 0, zone)
}

// dayOf reads "2026-05-14", "today", "yesterday" or "tomorrow".
func dayOf(text string, now time.Time, zone *time.Location) (time.Time, error) {
	if off, ok := map[string]int{"yesterday": -1, "today": 0, "tomorrow": 1}[text]; ok {
		return now.In(zone).AddDate(0, 0, off), nil
	}
	day, err := time.Parse(time.DateOnly, text)
	if err != nil {
		return day, fault.BadField("", "%.40q is not a day such as 2026-05-14 or today", text)
	}
	return day, nil
}
