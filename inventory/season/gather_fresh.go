package season

import (
	"cmp"
	"fmt"
	"math/big"
	"slices"
	"time"

	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
)

// Harvested is one line of the studio's own harvest log.
type Harvested struct {
	Parcel      string // "P7"
	ItemID      int64
	Item        string // its code
	Plant, Part string // in the words of the table (PlantOf)
	Place       string // in the studio's own words
	Picked      time.Time
	Fresh, Dry  quantity.Amount // absent where it was not weighed
	// Strength against the reference as it was last found; zero: never.
	Strength quantity.Percent
}

// picking is what came from one place on one day, in however many bags.
type picking struct {
	place string
	day   time.Time
	fresh int64 // 0: a bag of it was not weighed fresh
}

func pickingsOf(own []Harvested) []picking {
	type key struct {
		place string
		day   time.Time
	}
	at := map[key]int{}
	var all []picking
	for _, h := range own {
		k := key{plainWord(h.Place), h.Picked}
		i, seen := at[k]
		switch {
		case !seen:
			at[k] = len(all)
			all = append(all, picking{h.Place, h.Picked, h.Fresh.N})
		case h.Fresh.N == 0 || all[i].fresh == 0:
			all[i].fresh = 0
		default:
			all[i].fresh += h.Fresh.N
		}
	}
	slices.SortStableFunc(all, func(a, b picking) int { return a.day.Compare(b.day) })
	return all
}

// Drying is how much fresh plant makes one of dry.
type Drying struct {
	// Own: weighed by the studio. Then Low and High are the spread over its own
	// harvests; else the trade's range, from memory. Both zero: nobody knows.
	Own        bool
	Low, High  recipe.FreshDry
	Harvests   int
	fresh, dry int64 // own sums, µg
}

// DryingOf is the own ratio of a plant and part, all fresh over all dry, with
// its spread; where nobody has weighed both, the trade's range for the part.
//
// 14.6 kg of fresh weld that dries to 2.70 kg is 5.41 : 1.
func DryingOf(plant, part string, own []Harvested) Drying {
	var d Drying
	for _, h := range own {
		ratio, err := recipe.DriedDown(h.Fresh, h.Dry)
		if err != nil { // damp still, or not weighed fresh
			continue
		}
		if d.Harvests == 0 || ratio < d.Low {
			d.Low = ratio
		}
		d.High = max(d.High, ratio)
		d.Own, d.Harvests, d.fresh, d.dry = true, d.Harvests+1, d.fresh+h.Fresh.N, d.dry+h.Dry.N
	}
	if !d.Own {
		d.Low, d.High = usualDrying(plant, part)
	}
	return d
}

// partOfWord: what the trade's ratios call a part of the table.
var partOfWord = map[string]recipe.Part{"leaf": recipe.Leaf, "frond": recipe.Leaf, "flower": recipe.Flower, "root": recipe.Root, "bark": recipe.Bark, "hull": recipe.Bark}

// usualDrying: a flowering top is what the table of dyes takes it for, and leaf
// and flower together where that does not say.
func usualDrying(plant, part string) (low, high recipe.FreshDry) {
	of, known := partOfWord[part]
	if rows := GatheringsOf(plant, part); !known && len(rows) > 0 {
		dye, _ := recipe.DyeOf(rows[0].Dye)
		of = dye.Part
	}
	low, high, known = recipe.UsualDrying(of)
	if !known && part == "flowering top" {
		low, _, _ = recipe.UsualDrying(recipe.Leaf)
		_, high, _ = recipe.UsualDrying(recipe.Flower)
	}
	return low, high
}

// Known is false where neither the studio nor the trade has a ratio.
func (d Drying) Known() bool { return d.High > 0 }

// Ratio is the own one, all fresh over all dry, half-even to hundredths: "5.41";
// empty where there is none.
func (d Drying) Ratio() string {
	if !d.Own {
		return ""
	}
	return quantity.Percent(quantity.MulDiv(d.fresh, 100, d.dry) * 100).Decimal()
}

// Fresh is how much to gather for so much dry: one figure by the own ratio, a
// range by the trade's, raised to a whole microgram. Both absent where nobody
// knows.
func (d Drying) Fresh(dry quantity.Amount) (low, high quantity.Amount) {
	switch {
	case d.Own:
		low = raised(dry.N, d.fresh, d.dry)
		return low, low
	case d.Known():
		return raised(dry.N, int64(d.Low), 1000), raised(dry.N, int64(d.High), 1000)
	}
	return quantity.Amount{}, quantity.Amount{}
}

// Dries is what a damp harvest may be counted on to give: by the own ratio, else
// by the worst of the trade's range; nothing where nobody knows.
func (d Drying) Dries(fresh quantity.Amount) quantity.Amount {
	dry := quantity.Amount{Unit: quantity.Mass}
	switch {
	case d.Own:
		dry.N = quantity.MulDiv(fresh.N, d.dry, d.fresh)
	case d.Known():
		dry.N = quantity.MulDiv(fresh.N, 1000, int64(d.High))
	}
	return dry
}

// raised is n·a/b, raised to a whole number.
func raised(n, a, b int64) quantity.Amount {
	p := new(big.Int).Mul(big.NewInt(max(n, 0)), big.NewInt(a))
	q, rest := p.QuoRem(p, big.NewInt(b), new(big.Int))
	if rest.Sign() > 0 {
		q.Add(q, big.NewInt(1))
	}
	return quantity.Amount{N: q.Int64(), Unit: quantity.Mass}
}

// String is "own 5.41 : 1, of 2 harvests, 5.2 to 5.6".
func (d Drying) String() string {
	switch {
	case d.Own && d.Harvests == 1:
		return fmt.Sprintf("own %s : 1, of 1 harvest", d.Ratio())
	case d.Own:
		return fmt.Sprintf("own %s : 1, of %d harvests, %s to %s", d.Ratio(), d.Harvests, d.Low.Decimal(), d.High.Decimal())
	case d.Known():
		return fmt.Sprintf("%s to %s (%s): nobody has measured yours", d.Low.Decimal(), d.High, recalled)
	}
	return "nobody knows how it dries: weigh it fresh and dry"
}

// PlaceYield is what a place gave, by picking.
type PlaceYield struct {
	Place       string
	Pickings    int             // all
	Weighed     int             // of them weighed fresh
	Mean        quantity.Amount // fresh, of those; absent where none was
	Least, Most quantity.Amount
	LastPicked  time.Time
}

// YieldsOf are the places of a plant, the most generous first.
func YieldsOf(own []Harvested) []PlaceYield {
	at := map[string]int{}
	var all []PlaceYield
	for _, p := range pickingsOf(own) { // by day
		key := plainWord(p.place)
		i, seen := at[key]
		if !seen {
			i = len(all)
			at[key] = i
			all = append(all, PlaceYield{Place: p.place})
		}
		y := &all[i]
		y.Pickings, y.LastPicked = y.Pickings+1, p.day
		if p.fresh == 0 {
			continue
		}
		one := quantity.Amount{N: p.fresh, Unit: quantity.Mass}
		if y.Weighed == 0 {
			y.Least, y.Most, y.Mean = one, one, quantity.Amount{Unit: quantity.Mass}
		}
		y.Least.N, y.Most.N = min(y.Least.N, one.N), max(y.Most.N, one.N)
		y.Mean.N += one.N // the sum, until all are seen
		y.Weighed++
	}
	for i := range all {
		if n := int64(all[i].Weighed); n > 0 {
			all[i].Mean.N = quantity.MulDiv(all[i].Mean.N, 1, n)
		}
	}
	slices.SortStableFunc(all, func(a, b PlaceYield) int { return cmp.Compare(b.Mean.N, a.Mean.N) })
	return all
}

// For is how many pickings of this place so much fresh takes; 0 where nobody
// weighed one.
func (y PlaceYield) For(fresh quantity.Amount) int {
	if y.Mean.N <= 0 || fresh.N <= 0 {
		return 0
	}
	return int((fresh.N + y.Mean.N - 1) / y.Mean.N)
}

// String is "lane behind the boathouse: 2 pickings, 14.6 kg fresh each".
func (y PlaceYield) String() string {
	text := fmt.Sprintf("%s: %s", cmp.Or(y.Place, "a place nobody named"), counted(y.Pickings, "picking"))
	switch {
	case y.Weighed == 0:
		return text + ", none weighed fresh"
	case y.Least == y.Most:
		return text + ", " + Carried(y.Mean) + " fresh each"
	}
	return text + fmt.Sprintf(", %s fresh on average (%s to %s)", Carried(y.Mean), Carried(y.Least), Carried(y.Most))
}

// Carried is a mass as it is carried home, raised to 100 g from 1 kg on and to
// 10 g below: "6.4 kg", "850 g".
func Carried(a quantity.Amount) string {
	const gram, kilogram = 1_000_000, 1_000_000_000
	step := int64(100 * gram)
	if a.N <= 990*gram {
		step = 10 * gram
	}
	up := (a.N + step - 1) / step * step
	if up < kilogram {
		return fmt.Sprintf("%d g", up/gram)
	}
	if tenths := up % kilogram / step; tenths > 0 {
		return fmt.Sprintf("%d.%d kg", up/kilogram, tenths)
	}
	return fmt.Sprintf("%d kg", up/kilogram)
}
