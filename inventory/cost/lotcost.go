package cost

import (
	"fmt"
	"slices"
	"strings"

	"dyelot/inventory/quantity"
)

// Fate is what became of a garment of a lot.
type Fate string

// The fates. Good are also those that nobody has judged yet.
const (
	Good      Fate = "good"
	Imperfect Fate = "imperfect"  // sold apart
	Again     Fate = "dyed again" // its cost goes with it
	Lost      Fate = "lost"       // scrapped
)

// Piece is one garment that was issued to a lot.
type Piece struct {
	Tag   string
	Item  string // of the blank
	Dry   quantity.Amount
	Blank Priced // nothing where it was dyed before: that stands with its first lot
	Fate  Fate
	Cost  quantity.Money // filled by Spread
}

// Sheet is what a lot cost.
type Sheet struct {
	Lines    []Line
	Total    quantity.Money
	Unknown  []string
	Pieces   []Piece
	Counts   map[Fate]int
	PerGood  quantity.Money // of the good garments together, over their number
	Goods    quantity.Money // all good garments, the usual loss included
	Apart    quantity.Money // imperfect ones
	WithThem quantity.Money // gone on into other lots
	Normal   quantity.Money // loss that the good garments bear; it is in Goods
	Abnormal quantity.Money // loss beyond the usual, borne by no garment
	Usual    quantity.Percent
	UsualSay string
}

// Known is true where nothing is missing from the total.
func (s Sheet) Known() bool { return len(s.Unknown) == 0 }

// Spread lays a lot's cost on its garments: each bears its own blank, and of all
// the rest a share by its air-dry mass. What the lost ones bear is then the good
// ones' as far as it is usual (usual per cent of the pieces), and no garment's
// beyond that: abnormal loss stands apart. So
//
//	goods + imperfect + dyed again + abnormal loss = total
//
// to the last millionth. Where no good garment is left, all loss is abnormal.
// Inspection is taken to be at the end: a lost garment bears what a good one
// does (normal and abnormal spoilage of process costing, Horngren [M]).
func Spread(lines []Line, pieces []Piece, usual quantity.Percent, say, currency string) Sheet {
	s := Sheet{Lines: Gather(lines), Pieces: slices.Clone(pieces), Counts: map[Fate]int{}, Usual: usual, UsualSay: say}
	blanks := int64(0)
	for _, l := range s.Lines {
		s.Total.Micro += l.Money.Micro
		s.Unknown = union(s.Unknown, l.Unknown)
	}
	weights := make([]int64, len(pieces))
	for i, p := range s.Pieces {
		blanks += p.Blank.Money.Micro
		weights[i] = p.Dry.N
		s.Counts[p.Fate]++
	}
	rest := shareSigned(s.Total.Micro-blanks, weights)
	for i := range s.Pieces {
		s.Pieces[i].Cost = quantity.Money{Micro: s.Pieces[i].Blank.Money.Micro + rest[i], Currency: currency}
	}
	s.lay(currency)
	return s
}

// lay sums the pieces by fate and gives the usual loss to the good ones.
func (s *Sheet) lay(currency string) {
	sums := map[Fate]int64{}
	var good []int
	var weights []int64
	for i, p := range s.Pieces {
		sums[p.Fate] += p.Cost.Micro
		if p.Fate == Good {
			good, weights = append(good, i), append(weights, p.Dry.N)
		}
	}
	normal := int64(0)
	if lost := int64(s.Counts[Lost]); lost > 0 && len(good) > 0 {
		allowed := int64(s.Usual) * int64(len(s.Pieces)) // in 1e-6 of a piece
		normal = quantity.MulDiv(sums[Lost], min(allowed, lost*1_000_000), lost*1_000_000)
	}
	if len(good) > 0 {
		for j, n := range shareSigned(normal, weights) {
			s.Pieces[good[j]].Cost.Micro += n
		}
	}
	m := func(n int64) quantity.Money { return quantity.Money{Micro: n, Currency: currency} }
	s.Total, s.Normal, s.Abnormal = m(s.Total.Micro), m(normal), m(sums[Lost]-normal)
	s.Goods, s.Apart, s.WithThem = m(sums[Good]+normal), m(sums[Imperfect]), m(sums[Again])
	if len(good) > 0 {
		s.PerGood = s.Goods.Part(1, int64(len(good)))
	}
}

// Title is the first answer: "12.40 EUR a garment", "not known: P3 has no price;
// at least 9.10 EUR".
func (s Sheet) Title() string {
	switch {
	case s.PerGood.Currency == "" && s.Known():
		return fmt.Sprintf("%s in all, and no good garment to bear it", Show(s.Total))
	case s.PerGood.Currency == "":
		return fmt.Sprintf("not known: %s; at least %s in all, and no good garment to bear it", s.missing(), Show(s.Total))
	case s.Known():
		return fmt.Sprintf("%s a garment", Show(s.PerGood))
	}
	return fmt.Sprintf("not known: %s; at least %s a garment", s.missing(), Show(s.PerGood))
}

func (s Sheet) missing() string {
	if len(s.Unknown) > 2 {
		return strings.Join(s.Unknown[:2], ", ") + fmt.Sprintf(" and %d more", len(s.Unknown)-2)
	}
	return strings.Join(s.Unknown, " and ")
}

// Price is a suggested price: cost × (1 + margin). It is arithmetic, and kept
// nowhere.
func Price(cost quantity.Money, margin quantity.Percent) quantity.Money {
	const whole = 1_000_000 // 100 %
	return cost.Part(whole+int64(margin), whole)
}
