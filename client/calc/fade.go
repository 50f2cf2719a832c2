package calc

import (
	"fmt"
	"math"

	"dyelot/inventory/fastness"
	"dyelot/inventory/fault"
)

var fade = calculation{
	name:  "fade",
	short: "Reckon when light shows on a blue wool grade",
	long: `How much light a place gives, and after how many days cloth of a blue wool grade
shows a just noticeable fade there. A half grade such as 2-3 has no dose of its
own: ask for 2 and for 3, and say between.`,
	example: `dyelot calc fade --blue-wool 3 --lux 400 --hours-per-day 10 --days 100 \
--uv true`,
	says:     `A just noticeable fade after about 375 days, at 400 lux for 10 hours a day.`,
	document: `{"blue_wool": 3, "lux": 400, "hours_per_day": 10, "days": 100, "uv": true}`,
	ask:      func() question { return &fadeQuestion{} },
}

type fadeQuestion struct {
	blueWool         int64
	lux, hours, days float64
	uv               bool
}

func (q *fadeQuestion) fields() []field {
	return []field{
		need("blue_wool", "light fastness, a whole grade from 1 to 8", aWhole(&q.blueWool)).offering("1", "2", "3", "4", "5", "6", "7", "8"),
		need("lux", "light on the cloth in lux (window shelf 400, noon sun 100000)", aReal(&q.lux)),
		need("hours_per_day", "hours of it a day, at most 24", aReal(&q.hours)),
		need("days", "days of it", aReal(&q.days)),
		need("uv", "true where ultraviolet is not filtered out", aTruth(&q.uv)).offering("true", "false"),
	}
}

func (q *fadeQuestion) answer(func() bool) (answer, error) {
	grade := int(min(max(q.blueWool, -1), math.MaxInt32)) // beyond both ends Fade refuses it anyway
	f, err := fastness.Fade(grade, q.lux, q.hours, q.days, q.uv)
	if err != nil {
		return nil, err
	}
	if math.IsInf(f.JustNoticeableAfterDays, 0) {
		return nil, fault.BadField("lux", "%v lux for %v hours a day is no light to speak of", q.lux, q.hours)
	}
	return &fadeAnswer{*q, f, real(f.MegaluxHours), real(f.JustNoticeableMegaluxHours), real(f.JustNoticeableAfterDays)}, nil
}

type fadeAnswer struct {
	asked  fadeQuestion
	fading fastness.Fading

	MegaluxHours   real `json:"megalux_hours"`
	JustNoticeable real `json:"just_noticeable_megalux_hours"`
	AfterDays      real `json:"just_noticeable_after_days"`
}

func (a *fadeAnswer) tell(p *page) {
	q := a.asked
	light := fmt.Sprintf("%s lux for %s hours a day", shown(q.lux, 4), shown(q.hours, 4))
	days := a.fading.JustNoticeableAfterDays
	after := shown(days, 0) + nbsp + "days"
	switch {
	case days < 10:
		after = shown(days, 1) + nbsp + "days"
	case days > 2*365.25:
		after += " (" + shown(days/365.25, 0) + nbsp + "years)"
	}
	p.note("A just noticeable fade after about %s, at %s.", after, light)
	uv := "ultraviolet not filtered"
	if !q.uv {
		uv = "ultraviolet filtered out"
	}
	reached := "below that"
	if a.fading.Noticeable {
		reached = "reaches it"
	}
	p.rows(
		[2]string{"blue wool", fmt.Sprintf("%d, just noticeable at %s"+nbsp+"Mlx·h, %s", q.blueWool, shown(a.fading.JustNoticeableMegaluxHours, 4), uv)},
		[2]string{fmt.Sprintf("%s days", shown(q.days, 4)), fmt.Sprintf("%s"+nbsp+"Mlx·h, %s", shown(float64(a.MegaluxHours), 6), reached)},
	)
	p.note("Light doses after CIE 157:2004 and Michalski [M], means over many dyes with a wide spread: a guide, never a promise, and never a lot's grade.")
}
