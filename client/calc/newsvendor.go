package calc

import (
	"fmt"

	"dyelot/inventory/season"
)

var newsvendor = calculation{
	name:  "newsvendor",
	short: "Say how much to take of what comes once a year",
	long: `How much to gather or buy when there is one chance, and what will be needed is
known only as a mean and a standard deviation. critical ratio = under / (under +
over); quantity = mean + z(ratio) · sd.`,
	example:  `dyelot calc newsvendor --mean 50 --sd 8 --over 0.18 --under 0.7`,
	says:     `Take 56.6: enough in 79.5 % of seasons.`,
	document: `{"mean": 50, "sd": 8, "over": 0.18, "under": 0.7}`,
	ask:      func() question { return &newsvendorQuestion{} },
}

type newsvendorQuestion struct{ mean, sd, over, under float64 }

func (q *newsvendorQuestion) fields() []field {
	return []field{
		need("mean", "mean of what will be needed, in any one unit", aReal(&q.mean)),
		need("sd", "its standard deviation, same unit", aReal(&q.sd)),
		need("over", "what one unit too many costs", aReal(&q.over)),
		need("under", "what one unit too few costs, in the same money", aReal(&q.under)),
	}
}

func (q *newsvendorQuestion) answer(func() bool) (answer, error) {
	quantity, ratio, err := season.Newsvendor(q.mean, q.sd, q.over, q.under)
	if err != nil {
		return nil, err
	}
	return &newsvendorAnswer{*q, real(quantity), real(ratio)}, nil
}

type newsvendorAnswer struct {
	asked newsvendorQuestion

	Quantity real `json:"quantity"`
	Ratio    real `json:"critical_ratio"`
}

func (a *newsvendorAnswer) tell(p *page) {
	q := a.asked
	if a.Quantity < 0 {
		p.note("Take none: the sum gives %s.", shown(float64(a.Quantity), 2))
	} else {
		p.note("Take %s: enough in %s"+nbsp+"%% of seasons.", shown(float64(a.Quantity), 2), shown(100*float64(a.Ratio), 1))
	}
	p.rows(
		[2]string{"need", fmt.Sprintf("%s, standard deviation %s, taken as normal", shown(q.mean, 4), shown(q.sd, 4))},
		[2]string{"one too many", shown(q.over, 6)},
		[2]string{"one too few", shown(q.under, 6)},
		[2]string{"critical ratio", shown(float64(a.Ratio), 6)},
	)
	p.note("Snyder & Shen, Fundamentals of Supply Chain Theory, 2nd ed., § 4.3. A starting point for the owner's judgement; of a wild plant never more than the stand can spare.")
}
