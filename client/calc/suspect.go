package calc

import (
	"fmt"

	"dyelot/inventory/trace"
)

var suspect = calculation{
	name:  "suspect",
	short: "Say whether a parcel stands out among the returns",
	long: `How likely it is that as many garments with a parcel in them, or more, come back
by chance alone: Fisher's exact test, one-sided. A parcel looked for among many
will be found: with several suspects, multiply the smallest probability by how
many were looked at (Holm).`,
	example: `dyelot calc suspect --garments 8 --returned 4 --exposed 4 \
--exposed-returned 4`,
	says:     `By chance alone, 4 or more of the 4 would come back 1 time in 70;`,
	document: `{"garments": 8, "returned": 4, "exposed": 4, "exposed_returned": 4}`,
	ask:      func() question { return &suspectQuestion{} },
}

type suspectQuestion struct{ trace.Returns }

func (q *suspectQuestion) fields() []field {
	return []field{
		need("garments", "all garments that were sold", aWhole(&q.Garments)),
		need("returned", "how many of them came back", aWhole(&q.Returned)),
		need("exposed", "how many of all have the parcel in them", aWhole(&q.Exposed)),
		need("exposed_returned", "how many of those came back", aWhole(&q.ExposedReturned)),
	}
}

func (q *suspectQuestion) answer(func() bool) (answer, error) {
	p, expected, err := trace.Suspect(q.Returns)
	if err != nil {
		return nil, err
	}
	return &suspectAnswer{q.Returns, real(p), real(expected)}, nil
}

type suspectAnswer struct {
	asked trace.Returns

	PValue   real `json:"p_value"`
	Expected real `json:"expected"`
}

func (a *suspectAnswer) tell(p *page) {
	r := a.asked
	p.note("By chance alone, %d or more of the %d would come back %s; %s expected.", r.ExposedReturned, r.Exposed, howOften(float64(a.PValue)), are(float64(a.Expected)))
	p.table([]string{"", "came back", "stayed", "all"}, [][]string{
		{"with the parcel", fmt.Sprint(r.ExposedReturned), fmt.Sprint(r.Exposed - r.ExposedReturned), fmt.Sprint(r.Exposed)},
		{"without it", fmt.Sprint(r.Returned - r.ExposedReturned), fmt.Sprint(r.Garments - r.Exposed - r.Returned + r.ExposedReturned), fmt.Sprint(r.Garments - r.Exposed)},
		{"all", fmt.Sprint(r.Returned), fmt.Sprint(r.Garments - r.Returned), fmt.Sprint(r.Garments)},
	})
	p.note("p = %s, Fisher's exact test, one-sided (Fisher, The Design of Experiments, 1935). A small p is a reason to look, not a proof; with several suspects correct for having looked at all of them (Holm 1979).", six(float64(a.PValue)))
}

// howOften says a probability as it is said aloud.
func howOften(p float64) string {
	switch {
	case p == 0:
		return "practically never"
	case p > 0.5:
		return fmt.Sprintf("%s times in 100", shown(100*p, 0))
	}
	return fmt.Sprintf("1 time in %s", shown(1/p, 0))
}

func are(n float64) string {
	if n == 1 {
		return "1 is"
	}
	return shown(n, 2) + " are"
}
