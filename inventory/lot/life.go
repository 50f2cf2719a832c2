package lot

import (
	"strings"

	"dyelot/inventory/fault"
)

// State is where a lot stands in its life.
type State string

// The states, in the order of a life that goes well; the last four leave it.
const (
	Planned         State = "planned"
	InWork          State = "in-work"
	WaitingForTests State = "waiting-for-tests"
	Held            State = "held"
	Passed          State = "passed"
	Closed          State = "closed"
	Imperfect       State = "imperfect"
	ReDye           State = "re-dye"
	Scrapped        State = "scrapped"
	Cancelled       State = "cancelled"
	// PartDone: scoured or mordanted, and put on the shelf to wait for its plant.
	// The lot's own work ends there; its cloth goes on in a later run.
	PartDone State = "part-done"
)

// Act is what moves a lot.
type Act string

// The acts. A verdict's act has the name of its outcome.
const (
	Issue     Act = "issue"      // blanks leave the shelf
	StageDone Act = "stage"      // a stage is recorded, others are open
	LastDone  Act = "last-stage" // a stage is recorded, none is open
	Undo      Act = "undo"       // a record is taken back
	Cancel    Act = "cancel"
	AddMore   Act = "addition" // more goes into a bath that is recorded
	Shelve    Act = "shelve"   // mordanted cloth is put on the shelf

	Pass          Act = "passed"
	Hold          Act = "held"
	SellImperfect Act = "imperfect"
	SendToReDye   Act = "re-dye"
	Scrap         Act = "scrapped"
	Close         Act = "closed"
)

// life is the whole of it: what is not here is refused. A brew may be drawn
// before the cloth is issued, so a planned lot knows stages too; which kinds,
// Record says.
var life = map[State]map[Act]State{
	Planned:         {Issue: InWork, StageDone: Planned, Undo: Planned, Cancel: Cancelled, AddMore: Planned},
	InWork:          {StageDone: InWork, LastDone: WaitingForTests, Undo: InWork, Scrap: Scrapped, AddMore: InWork, Shelve: PartDone},
	PartDone:        {Scrap: Scrapped},
	WaitingForTests: {Undo: InWork, AddMore: WaitingForTests, Pass: Passed, Hold: Held, SellImperfect: Imperfect, SendToReDye: ReDye, Scrap: Scrapped},
	Held:            {Pass: Passed, Hold: Held, SellImperfect: Imperfect, SendToReDye: ReDye, Scrap: Scrapped},
	Passed:          {Hold: Held, Close: Closed},
	Imperfect:       {Close: Closed, Scrap: Scrapped},
	ReDye:           {Scrap: Scrapped},
	Closed:          {},
	Scrapped:        {},
	Cancelled:       {},
}

// said is the act in a sentence about what cannot be done.
var said = map[Act]string{
	Issue: "its blanks cannot be issued", StageDone: "no stage can be recorded", LastDone: "no stage can be recorded",
	Shelve: "its cloth cannot be put on the shelf as part-done", AddMore: "nothing is added to its baths any more",
	Undo: "no stage can be undone", Cancel: "it cannot be cancelled",
	Pass: "it cannot pass", Hold: "it cannot be held", SellImperfect: "it cannot be sold as imperfect",
	SendToReDye: "it cannot go to be re-dyed", Scrap: "it cannot be scrapped", Close: "it cannot be closed",
}

// Next is the state of a lot after an act; fault.Refused, LOT_STATE, when a lot
// in that state cannot take it.
func Next(code string, from State, by Act) (State, error) {
	to, ok := life[from][by]
	if !ok {
		return "", fault.Refuse("LOT_STATE", "lot %s is %s: %s", code, from.Words(), said[by]).With("state", string(from)).With("lot", code)
	}
	return to, nil
}

// Stopped is true of a lot that never comes to the stages it has not had.
func (s State) Stopped() bool { return s == Scrapped || s == PartDone }

// Words is the state as it is said after "it is".
func (s State) Words() string {
	if s == ReDye {
		return "to be re-dyed"
	}
	return strings.ReplaceAll(string(s), "-", " ")
}

// States lists every state of the table, in the order of a life.
func States() []State {
	return []State{Planned, InWork, PartDone, WaitingForTests, Held, Passed, Closed, Imperfect, ReDye, Scrapped, Cancelled}
}
