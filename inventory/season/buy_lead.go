package season

import (
	"fmt"
	"math"
	"slices"
)

// LeadTime is how long a supplier takes with an item, promised and as it really
// was.
type LeadTime struct {
	Promised   int // days
	Deliveries int // it is known from
	Median     int // days, the upper one of an even number
	Worst      int
	SD         float64
	// Safety are days added against a late one, and Used what order days are
	// reckoned with: the median and the safety, or what was promised where too
	// little is known.
	Safety, Used int
}

const (
	// fewestDeliveries that say anything of a supplier: two are chance.
	fewestDeliveries = 3
	// LeadService is the share of orders that are to come in time: 19 of 20.
	LeadService = 0.95
)

// LeadOf reads lead times of deliveries, in days. The safety is that of
// ReorderPoint for one day of use a day, which counts days instead of grams:
// z(service)·sd of the lead time, rounded up.
//
// Deliveries after 9, 11 and 16 days: median 11, sd 3.6, safety 6, so 17.
func LeadOf(promised int, days []int) LeadTime {
	l := LeadTime{Promised: promised, Deliveries: len(days), Used: promised}
	if len(days) == 0 {
		return l
	}
	sorted := slices.Sorted(slices.Values(days))
	l.Median, l.Worst = median(sorted), sorted[len(sorted)-1]
	if len(days) < fewestDeliveries {
		return l
	}
	mean, squares := 0.0, 0.0
	for _, d := range days {
		mean += float64(d) / float64(len(days))
	}
	for _, d := range days {
		squares += (float64(d) - mean) * (float64(d) - mean)
	}
	l.SD = math.Sqrt(squares / float64(len(days)-1))
	safety, _, err := ReorderPoint(Use{PerDay: 1, LeadDays: float64(l.Median), LeadSD: l.SD}, LeadService)
	if err == nil { // days of deliveries are finite and not negative
		l.Safety = int(math.Ceil(safety))
	}
	l.Used = l.Median + l.Safety
	return l
}

// Lateness is by how many days a supplier's deliveries came after the promised
// day, in the median; nothing while fewer than three are known, and for a
// supplier who is early: nobody counts on that.
func Lateness(days []int) int {
	if len(days) < fewestDeliveries {
		return 0
	}
	return max(median(slices.Sorted(slices.Values(days))), 0)
}

func median(sorted []int) int { return sorted[len(sorted)/2] }

// Text is the lead time in a sentence.
func (l LeadTime) Text() string {
	switch {
	case l.Deliveries == 0:
		return fmt.Sprintf("%s promised, nothing received yet to hold that against", inDays(l.Promised))
	case l.Deliveries < fewestDeliveries:
		return fmt.Sprintf("%s promised; %s so far, after at most %s: too few, so the promise is used", inDays(l.Promised), deliveries(l.Deliveries), inDays(l.Worst))
	case l.Safety > 0:
		return fmt.Sprintf("%s promised; really %s in the median of %s, %d at worst; %d reckoned with, so that 19 of 20 come in time", inDays(l.Promised), inDays(l.Median), deliveries(l.Deliveries), l.Worst, l.Used)
	}
	return fmt.Sprintf("%s promised; really %s in the median of %s, %d at worst", inDays(l.Promised), inDays(l.Median), deliveries(l.Deliveries), l.Worst)
}

func inDays(n int) string {
	if n == 1 {
		return "1 day"
	}
	return fmt.Sprintf("%d days", n)
}

func deliveries(n int) string {
	if n == 1 {
		return "1 delivery"
	}
	return fmt.Sprintf("%d deliveries", n)
}
