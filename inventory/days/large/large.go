package large

import (
	"fmt"
	"time"

	"dyelot/inventory/days"
	"dyelot/inventory/quantity"
)

const (
	colourways = 40
	styles     = 25
	perRun     = 50 // garments
	ratio      = 30_000
)

// Season is runs to be laid into pots and over the days.
type Season struct {
	Garments int
	Runs     []Run
}

// Run is one dyeing of a colourway.
type Run struct {
	Colourway string
	Light     int64 // thousandths of L*
	Iron      bool  // saddened with an after-dip
	Sets      []days.Set
	Pieces    []int64 // of each set
}

// pots and tubs of the studio, litres at the brim.
var (
	pots  = []int64{40, 60, 60, 80, 100, 120}
	tubs  = []int64{60, 80, 120, 150}
	brews = []int64{60, 100, 120}
	irons = []int64{60, 120}
)

// dice is a small random walk (SplitMix64, Steele, Lea and Flood 2014).
type dice uint64

func (d *dice) roll(n int) int {
	*d += 0x9e3779b97f4a7c15
	z := uint64(*d)
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return int((z ^ z>>31) % uint64(n))
}

// New makes up a season of so many garments.
func New(garments int) Season {
	d := dice(1863)
	var weigh [styles]int64 // grams a piece
	for k := range weigh {
		weigh[k] = int64(80 + 10*d.roll(25))
	}
	var light [colourways]int64
	for k := range light {
		light[k] = int64(25_000 + 1000*d.roll(55))
	}
	s := Season{Garments: garments}
	for left, k := garments, 0; left > 0; k++ {
		c := k % colourways
		r := Run{Colourway: fmt.Sprintf("shade-%02d", c+1), Light: light[c], Iron: c%5 == 4}
		for run := min(left, perRun); run > 0; {
			n, style := min(run, 2+d.roll(6)), d.roll(styles)
			fibre := quantity.Grams(int64(n) * weigh[style])
			r.Sets = append(r.Sets, days.Set{Name: fmt.Sprintf("style-%02d", style+1), Fibre: fibre, Ratio: ratio})
			r.Pieces = append(r.Pieces, int64(n))
			run, left = run-n, left-n
		}
		s.Runs = append(s.Runs, r)
	}
	return s
}

// liquor is what a vessel of so many litres may hold, filled to 80 %.
func liquor(brim int64) quantity.Amount { return quantity.Millilitres(800 * brim) }

// loadNodes keeps the packing of one run short; most are proved long before.
const loadNodes = 20_000

// Loads lays each run into the studio's pots.
func (s Season) Loads() ([]days.Loads, error) {
	var kinds []days.Pot
	var count []int
	for k, brim := range pots {
		if k > 0 && brim == pots[k-1] {
			count[len(count)-1]++
			continue
		}
		kinds, count = append(kinds, days.Pot{Code: fmt.Sprintf("pot-%d", brim), Liquor: liquor(brim)}), append(count, 1)
	}
	var runs [][]days.Set
	for _, r := range s.Runs {
		runs = append(runs, r.Sets)
	}
	return days.LayRuns(kinds, count, runs, days.Limit{Nodes: loadNodes})
}

// Studio is three people from Monday to Friday, 8 to 17, six pots, tubs, six
// burners, and racks for 150 pieces, over enough days for any season.
func Studio(garments int) *days.Problem {
	h := days.UsualHours()
	h.People = 3
	p := &days.Problem{Hours: h.Calendar(time.Date(2027, 3, 1, 0, 0, 0, 0, time.UTC), 60+garments/10), Burners: 6, Rack: 150,
		RinseOut: days.UsualRinseOut, Scrub: days.UsualScrub}
	for _, group := range []struct {
		name  string
		brims []int64
		iron  bool
	}{{"pot", pots, false}, {"tub", tubs, false}, {"brew", brews, false}, {"iron", irons, true}} {
		for k, brim := range group.brims {
			p.Vessels = append(p.Vessels, days.Vessel{Code: fmt.Sprintf("%s-%d-%d", group.name, brim, k+1), Iron: group.iron})
		}
	}
	return p
}

// which vessels of a group hold a bath, the smallest first.
func which(first int, brims []int64, bath quantity.Amount) (fit []int) {
	for k, brim := range brims {
		if bath.N <= liquor(brim).N {
			fit = append(fit, first+k)
		}
	}
	return fit
}

// Problem lays runs into pots and makes the stages of each load: scour, mordant,
// brew, dye, one in five saddened, rinse, dry, look over.
func (s Season) Problem() (*days.Problem, int, error) {
	loads, err := s.Loads()
	if err != nil {
		return nil, 0, err
	}
	p := Studio(s.Garments)
	lots := 0
	for k, run := range loads {
		for _, load := range run.Loads {
			lots++
			var pieces int64
			for _, i := range load.Sets {
				pieces += s.Runs[k].Pieces[i]
			}
			if err := addLot(p, fmt.Sprintf("L%d", lots), s.Runs[k], load.Liquor, pieces); err != nil {
				return nil, 0, err
			}
		}
	}
	return p, lots, p.Validate()
}

func addLot(p *days.Problem, code string, r Run, bath quantity.Amount, pieces int64) error {
	tub, brew, iron := len(pots), len(pots)+len(tubs), len(pots)+len(tubs)+len(brews)
	kinds := []string{"scour", "mordant", "brew", "dye", "after-dip", "rinse", "dry", "look-over"}
	before, brewed := -1, -1
	for _, kind := range kinds {
		if kind == "after-dip" && !r.Iron {
			continue
		}
		row, err := days.RowOf(kind)
		if err != nil {
			return err
		}
		t := row.Task(0, 0, pieces)
		t.Name, t.Lots = kind+", "+code, []string{code}
		switch kind {
		case "scour", "mordant", "rinse":
			t.Vessels = which(tub, tubs, bath)
		case "brew":
			t.Vessels, t.Shade = which(brew, brews, bath), days.Shade{Colour: true, Light: r.Light}
		case "dye":
			t.Vessels, t.Shade = which(0, pots, bath), days.Shade{Colour: true, Light: r.Light}
		case "after-dip":
			t.Vessels, t.Shade = which(iron, irons, bath), days.Shade{Colour: true, Light: r.Light, Iron: true}
		}
		me := len(p.Tasks)
		if kind == "brew" { // beside the cloth's own way
			brewed = me
			p.Tasks = append(p.Tasks, t)
			continue
		}
		for _, b := range []int{before, brewed} {
			if b < 0 || b == brewed && kind != "dye" {
				continue
			}
			prior, err := days.RowOf(p.Tasks[b].Kind)
			if err != nil {
				return err
			}
			least, most := days.Rests(prior, row)
			t.After = append(t.After, days.Wait{Task: b, Least: least, Most: most})
		}
		p.Tasks = append(p.Tasks, t)
		before = me
	}
	return nil
}
