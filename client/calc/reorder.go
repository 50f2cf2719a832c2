package calc

import (
	"fmt"

	"dyelot/inventory/season"
)

var reorder = calculation{
	name:  "reorder",
	short: "Say how low the shelf may go before ordering",
	long: `The reorder point: what is used while an order travels, and a safety stock
against bad luck. safety = z(service) · √(lead · sd² + demand² · lead sd²);
point = demand · lead + safety. All in one unit, and days.`,
	example: `dyelot calc reorder --demand-per-day 30 --demand-sd 5 --lead-days 10 \
--service 0.95`,
	says:     `Order when 326.01 are left: 300 for the wait and 26.01 for bad luck.`,
	document: `{"demand_per_day": 30, "demand_sd": 5, "lead_days": 10, "service": 0.95}`,
	ask:      func() question { return &reorderQuestion{} },
}

type reorderQuestion struct {
	season.Use
	service float64
}

func (q *reorderQuestion) fields() []field {
	return []field{
		need("demand_per_day", "mean use a day, in any one unit", aReal(&q.PerDay)),
		need("demand_sd", "standard deviation of a day's use, same unit", aReal(&q.SD)),
		need("lead_days", "days from order to shelf", aReal(&q.LeadDays)),
		may("lead_sd", "standard deviation of those days; 0 unless given", aReal(&q.LeadSD)),
		need("service", "share of orders that come before the shelf is empty, between 0 and 1", aReal(&q.service)),
	}
}

func (q *reorderQuestion) answer(func() bool) (answer, error) {
	safety, point, err := season.ReorderPoint(q.Use, q.service)
	if err != nil {
		return nil, err
	}
	return &reorderAnswer{*q, real(safety), real(point)}, nil
}

type reorderAnswer struct {
	asked reorderQuestion

	Safety real `json:"safety_stock"`
	Point  real `json:"reorder_point"`
}

func (a *reorderAnswer) tell(p *page) {
	q := a.asked
	luck := "and " + shown(float64(a.Safety), 2) + " for bad luck"
	if a.Safety < 0 {
		luck = "less " + shown(-float64(a.Safety), 2) + ", since most orders may come too late"
	}
	p.note("Order when %s are left: %s for the wait %s.", shown(float64(a.Point), 2), shown(q.PerDay*q.LeadDays, 2), luck)
	p.rows(
		[2]string{"use", fmt.Sprintf("%s a day, standard deviation %s", shown(q.PerDay, 4), shown(q.SD, 4))},
		[2]string{"wait", fmt.Sprintf("%s days, standard deviation %s", shown(q.LeadDays, 4), shown(q.LeadSD, 4))},
		[2]string{"service", shown(100*q.service, 4) + nbsp + "% of orders come in time"},
	)
	p.note("Days taken as independent and their sum as normal (Russell & Taylor, Operations Management, ch. 16). A starting point for the owner's judgement; a plant with two weeks a year has no reorder point: see newsvendor.")
}
