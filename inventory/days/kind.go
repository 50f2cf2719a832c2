package days

import "dyelot/inventory/fault"

// Row is what a kind of stage takes, beside what its recipe says.
type Row struct {
	Key        string // of lot.Kinds
	Begin, End Minute // attended
	Usual      Minute // how long it goes on where the recipe says nothing
	// Burner: hot unless its recipe says cold; Cools: it stands so long
	// afterwards, in its vessel; Rack: its garments hang; ByHand: somebody is at
	// it for the whole time.
	Burner, Rack, ByHand bool
	Cools                Minute
	Stands               Minute // the longest it may stand in its vessel after that, until it is lifted; Never: any
	Laid                 bool   // its record says that it was begun, not that it is over
	Alone                string // what it does without hands: "cools"
	Before               Minute // the least rest before it
	Most                 Minute // the longest wait behind it; Never: any
	Why                  string // of the longest wait: "must not sit in a heap"
	Source               string
}

const practice = "common practice"

const hour Minute = 60

// rows stand in the order of lot.Kinds. Every figure is common practice, and a
// starting point for the studio's own.
var rows = []Row{
	{Key: "scour", Begin: 15, End: 10, Usual: 45, Burner: true, Stands: Day, Most: Never, Source: practice},
	{Key: "tannin", Begin: 15, End: 10, Usual: 60, Burner: true, Stands: Day, Most: 2 * Day, Why: "keeps damp for two days at most", Source: practice},
	{Key: "mordant", Begin: 20, End: 10, Usual: 60, Burner: true, Stands: 3 * Day, Most: 5 * Day, Why: "keeps damp, cool and dark for five days at most", Source: practice},
	{Key: "chalk-bath", Begin: 10, End: 5, Usual: 15, ByHand: true, Stands: hour, Most: 2 * Day, Why: "keeps damp for two days at most", Source: practice},
	{Key: "wet-out", Begin: 5, End: 5, Usual: 60, Stands: Day, Most: hour, Why: "must not dry again", Source: practice},
	{Key: "brew", Begin: 20, End: 20, Usual: 60, Burner: true, Stands: Day, Most: 3 * Day, Why: "a brew keeps for three days at most", Source: practice},
	{Key: "dye", Begin: 20, End: 15, Usual: 60, Burner: true, Cools: 12 * hour, Alone: "cools", Stands: 3 * Day, Most: 4 * hour, Why: "must not sit in a heap", Source: practice},
	{Key: "vat-dip", Begin: 10, End: 10, Usual: 30, ByHand: true, Stands: hour, Most: 2 * hour, Why: "must not sit in a heap", Source: practice},
	{Key: "after-dip", Begin: 15, End: 5, Usual: 15, Burner: true, Stands: 30, Most: 30, Why: "iron must not dry unevenly", Source: practice},
	{Key: "neutralise", Begin: 10, End: 5, Usual: 15, Stands: 4 * hour, Most: 4 * hour, Why: "must not sit in a heap", Source: practice},
	{Key: "rinse", Begin: 20, Most: 4 * hour, Why: "a wet heap must not sit", Source: practice},
	{Key: "dry", Begin: 10, End: 10, Usual: 24 * hour, Rack: true, Alone: "dries", Stands: Never, Most: Never, Source: practice},
	{Key: "cure", Begin: 5, Usual: 72 * hour, Laid: true, Alone: "cures", Stands: Never, Most: Never, Source: practice},
	{Key: "press", Begin: 20, Most: Never, Source: practice},
	{Key: "look-over", Begin: 20, Before: 24 * hour, Most: Never, Source: practice},
}

// Rows lists them.
func Rows() []Row { return append([]Row(nil), rows...) }

// RowOf finds the row of a kind; fault.Invalid, field "kind".
func RowOf(key string) (Row, error) {
	for _, r := range rows {
		if r.Key == key {
			return r, nil
		}
	}
	return Row{}, fault.BadField("kind", "nobody said what %.40q takes", key)
}

const (
	// cold is a bath that needs no burner, °C; a recipe that says nothing is hot.
	cold = 30
	// alone is what stands so long that nobody waits for it: cold for a night or
	// more, with the lid on.
	alone = 4 * hour
)

// Task is a stage as its recipe has it: °C and minutes are 0 where it says
// nothing; pieces are the garments.
func (r Row) Task(celsius, minutes int, pieces int64) Task {
	t := Task{Kind: r.Key, Begin: r.Begin, End: r.End, LongestSoak: Never}
	long := Minute(minutes)
	if long == 0 {
		long = r.Usual
	}
	switch {
	case r.ByHand && long <= alone:
		t.Begin += long
	case r.Burner && long <= alone && (celsius == 0 || celsius > cold):
		t.Heat, t.Burner = long, true
		t.Soak = r.Cools
	default:
		t.Soak = long
	}
	if r.Stands < Never {
		t.LongestSoak = t.Soak + r.Stands
	}
	if r.Rack {
		t.Rack = pieces
	}
	return t
}

// Rests is the least wait between two stages, and Keeps the longest.
func Rests(before, after Row) (least, most Minute) {
	return after.Before, max(before.Most, after.Before)
}

// Hands is how long somebody is at a stage: to begin it, to end it, and for the
// whole time where its kind asks for that.
func (r Row) Hands(celsius, minutes int) Minute {
	t := r.Task(celsius, minutes, 0)
	return t.Begin + t.End
}

// GoesOn is how long a stage goes on by itself after it was recorded: a dyed lot
// cools in its pot, what was laid away cures; the rest is over.
func (r Row) GoesOn(celsius, minutes int) Minute {
	t := r.Task(celsius, minutes, 0)
	if r.Laid {
		return t.Soak
	}
	if t.Heat > 0 {
		return r.Cools
	}
	return 0
}
