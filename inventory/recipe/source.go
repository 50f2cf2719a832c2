package recipe

// Mark says how well a figure is founded. It goes wherever the figure goes.
type Mark string

// The four marks.
const (
	Published Mark = "S"  // a published source, named
	Computed  Mark = "C"  // computed from published figures
	Practice  Mark = "CP" // common practice in the trade, no source
	Memory    Mark = "M"  // recalled, not checked against the text
)

// Source is the mark of a figure and, where there is one, what to cite.
type Source struct {
	Mark Mark
	Cite string
}

var markWords = map[Mark]string{
	Published: "published",
	Computed:  "computed",
	Practice:  "common practice",
	Memory:    "from memory, not checked against the text",
}

// String is the citation and the mark: "common practice [CP]".
func (s Source) String() string {
	words := s.Cite
	if words == "" {
		words = markWords[s.Mark]
	}
	return words + " [" + string(s.Mark) + "]"
}

// Warning is a rule of the trade speaking up. It never blocks: a person may
// override it by name and with a reason. Text starts in lower case and has no
// full stop, like a fault's sentence.
type Warning struct {
	Key    string // stable, for programs: "too-hot"
	Text   string
	Source Source
}
