package opening

import "fmt"

// MaxNotes is how many findings, and how many warnings, are told at once: more
// than anybody puts right before trying again.
const MaxNotes = 500

// Note is one thing that is off, or to mind, and where it stands.
type Note struct {
	Sheet  Kind
	Line   int    // from 1; 0 where it is about the whole sheet
	Column string // empty where it is about the whole row
	Text   string
}

// Notes keeps the first MaxNotes and counts them all.
type Notes struct {
	List  []Note
	Count int
}

func (n *Notes) add(k Kind, line int, column, format string, args ...any) {
	n.Count++
	if len(n.List) < MaxNotes {
		n.List = append(n.List, Note{k, line, column, fmt.Sprintf(format, args...)})
	}
}

// clip keeps a quoted cell short.
func clip(s string) string {
	if r := []rune(s); len(r) > 40 {
		return string(r[:40]) + "…"
	}
	return s
}
