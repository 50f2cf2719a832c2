package logbook

import (
	"slices"
	"strings"

	"dyelot/inventory/caution"
	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
)

// Book is which of the small books a line stands in.
type Book string

// The books. The first three are checks of something that has a name and comes
// up again; a mishap happens.
const (
	OfWater  Book = "water"
	OfScale  Book = "scale"
	OfBuffer Book = "buffer"
	Accident Book = "accident"
	NearMiss Book = "near-miss"
)

// books are the one table of them. days is how long a check is good for where
// nobody said otherwise: common practice, zero where nothing comes up again.
var books = []struct {
	key     Book
	subject string // what is checked, in words
	days    int
}{
	{OfWater, "the source", 365},
	{OfScale, "the scale", 30},
	{OfBuffer, "the pH meter", 14},
	{Accident, "", 0},
	{NearMiss, "", 0},
}

// Books lists the books.
func Books() []Book {
	keys := make([]Book, len(books))
	for i, b := range books {
		keys[i] = b.key
	}
	return keys
}

// BookOf finds a book; fault.Invalid on "book" lists those that there are.
func BookOf(key string) (Book, error) {
	if slices.Contains(Books(), Book(key)) {
		return Book(key), nil
	}
	return "", fault.BadField("book", "%.40q is no book: use one of %v", key, Books())
}

// Checks is true of a book whose subjects are checked again.
func (b Book) Checks() bool { return b.UsualDays() > 0 }

// UsualDays is how long a check is good for where nobody said otherwise.
func (b Book) UsualDays() int {
	for _, of := range books {
		if of.key == b {
			return of.days
		}
	}
	return 0
}

func (b Book) subject() string {
	for _, of := range books {
		if of.key == b {
			return of.subject
		}
	}
	return ""
}

// Entry is one line. What belongs to its book is set, the rest is nil.
type Entry struct {
	Book    Book
	Subject string
	Water   *Water
	Scale   *Scale
	Buffer  *Buffer
	Mishap  *Mishap
}

// Mishap is an accident or a near miss.
type Mishap struct {
	What  string
	Stage string // a kind of stage or an activity; empty where it was at none
	Done  string // what was done about it
}

// Validate refuses (fault.Invalid, naming the field) a line that nobody could
// have written: no subject, no figures, figures that no bench shows, a mishap
// that does not say what happened.
func (e Entry) Validate() error {
	if _, err := BookOf(string(e.Book)); err != nil {
		return err
	}
	if e.Book.Checks() && strings.TrimSpace(e.Subject) == "" {
		return fault.BadField("subject", "is needed: the name of %s", e.Book.subject())
	}
	if !e.Book.Checks() && e.Subject != "" {
		return fault.BadField("subject", "an %s has none: say what happened", strings.ReplaceAll(string(e.Book), "near-miss", "entry of near misses"))
	}
	for _, part := range []struct {
		book  []Book
		field string
		there bool
		check func() error
	}{
		{[]Book{OfWater}, "water", e.Water != nil, func() error { return e.Water.validate() }},
		{[]Book{OfScale}, "scale", e.Scale != nil, func() error { return e.Scale.validate() }},
		{[]Book{OfBuffer}, "buffer", e.Buffer != nil, func() error { return e.Buffer.validate() }},
		{[]Book{Accident, NearMiss}, "mishap", e.Mishap != nil, func() error { return e.Mishap.validate() }},
	} {
		switch its := slices.Contains(part.book, e.Book); {
		case its && !part.there:
			return fault.BadField(part.field, "is needed in the book of %s", e.Book)
		case !its && part.there:
			return fault.BadField(part.field, "does not belong in the book of %s", e.Book)
		case its:
			if err := part.check(); err != nil {
				return fault.In(part.field, err)
			}
		}
	}
	return nil
}

func (m *Mishap) validate() error {
	if strings.TrimSpace(m.What) == "" {
		return fault.BadField("what", "is needed: what happened, and to whom by role")
	}
	if m.Stage != "" && !slices.Contains(caution.Kinds(), m.Stage) {
		return fault.BadField("stage", "%.40q is neither a stage nor an activity: use one of %s", m.Stage, strings.Join(caution.Kinds(), ", "))
	}
	return nil
}

// Text is the line's figures in words.
func (e Entry) Text() string {
	switch {
	case e.Water != nil:
		return e.Water.text()
	case e.Scale != nil:
		return e.Scale.text()
	case e.Buffer != nil:
		return e.Buffer.text()
	case e.Mishap != nil:
		text := e.Mishap.What
		if e.Mishap.Stage != "" {
			text = "at " + e.Mishap.Stage + ": " + text
		}
		if e.Mishap.Done != "" {
			text += "; done: " + e.Mishap.Done
		}
		return text
	}
	return ""
}

// Warnings are what to mind of the figures. They stop nothing.
func (e Entry) Warnings() []recipe.Warning {
	switch {
	case e.Water != nil:
		return e.Water.warnings(e.Subject)
	case e.Scale != nil:
		return e.Scale.warnings(e.Subject)
	case e.Buffer != nil:
		return e.Buffer.warnings(e.Subject)
	}
	return nil
}

// Cautions come before anything else is read of a mishap: the safety sheet
// first, and what is known of the stage that it happened at.
func (e Entry) Cautions() []caution.Caution {
	if e.Mishap == nil {
		return nil
	}
	first := caution.Caution{Key: "mishap-help", Source: recipe.Source{Mark: recipe.Practice},
		Text: "Somebody hurt, or something swallowed or in an eye: get help first. Have the supplier's safety data sheet at hand when you ring the poison centre or a doctor; do what they say, not what this book says."}
	return append([]caution.Caution{first}, caution.ForStage(e.Mishap.Stage, nil, false)...)
}

func signed(a quantity.Amount) string {
	if a.N > 0 {
		return "+" + a.String()
	}
	return a.String()
}
