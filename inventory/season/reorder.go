package season

import (
	"cmp"
	"math"

	"gonum.org/v1/gonum/mathext"
)

// Use is how an item leaves the shelf and how long a new one takes to come.
type Use struct {
	PerDay   float64 // mean use a day, in any one unit, 0 or more
	SD       float64 // standard deviation of a day's use, same unit, 0 or more
	LeadDays float64 // mean days from order to shelf, 0 or more
	LeadSD   float64 // standard deviation of those days, 0 where the supplier is punctual
}

// ReorderPoint says how low the shelf may go before ordering, and how much of
// that is safety stock, both in the unit of use. Service is the share of orders
// that arrive before the shelf is empty, strictly between 0 and 1; below one
// half the safety stock is negative, since that asks to run short.
//
//	safety = z(service) · √(lead · sd² + per day² · lead sd²)
//	point  = per day · lead + safety
//
// Days are taken as independent and the sum as normal (Russell & Taylor,
// Operations Management, ch. 16; Nahmias, Production and Operations Analysis,
// ch. 5). Errors: fault.Invalid naming demand_per_day, demand_sd, lead_days,
// lead_sd or service.
func ReorderPoint(u Use, service float64) (safety, point float64, err error) {
	err = cmp.Or(
		notNegative("demand_per_day", u.PerDay),
		notNegative("demand_sd", u.SD),
		notNegative("lead_days", u.LeadDays),
		notNegative("lead_sd", u.LeadSD),
		share("service", service),
	)
	if err != nil {
		return 0, 0, err
	}
	spread := math.Hypot(math.Sqrt(u.LeadDays)*u.SD, u.PerDay*u.LeadSD)
	safety = mathext.NormalQuantile(service) * spread
	return safety, u.PerDay*u.LeadDays + safety, nil
}
