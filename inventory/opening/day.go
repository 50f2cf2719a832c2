package opening

import (
	"regexp"
	"strings"
	"time"

	"dyelot/inventory/fault"
)

// Order is in which order a day's numbers stand: empty for 2024-07-02 alone,
// "dmy" for 02.07.2024 beside it, "mdy" for 07/02/2024.
type Order string

// OrderOf reads it. fault.Invalid, field day_order.
func OrderOf(word string) (Order, error) {
	switch word {
	case "", "dmy", "mdy":
		return Order(word), nil
	}
	return "", fault.BadField("day_order", "%.40q is neither dmy (02.07.2024) nor mdy (07/02/2024)", word)
}

var (
	midnight = regexp.MustCompile(`[ T]0{1,2}:00(:00)?$`)
	numbered = regexp.MustCompile(`^(\d{1,2})([./-])(\d{1,2})([./-])(\d{4})$`)
)

// Day reads a day as midnight UTC of its date; a midnight behind it, which some
// spreadsheets add, is passed over. Errors are fault.Invalid, without a field.
func Day(text string, order Order) (time.Time, error) {
	t := midnight.ReplaceAllString(strings.TrimSpace(text), "")
	layout := time.DateOnly
	if m := numbered.FindStringSubmatch(t); m != nil && order != "" && m[2] == m[4] {
		layout = "2.1.2006"
		if order == "mdy" {
			layout = "1.2.2006"
		}
		t = m[1] + "." + m[3] + "." + m[5]
	}
	d, err := time.Parse(layout, t)
	switch {
	case err != nil && numbered.MatchString(t) && order == "":
		return d, fault.BadField("", "%q: write it as 2024-07-02, or say whether day or month comes first", clip(text))
	case err != nil:
		return d, fault.BadField("", "%q is not a day such as 2024-07-02", clip(text))
	case d.Year() < 1900:
		return d, fault.BadField("", "%q is too long ago", clip(text))
	}
	return d, nil
}
