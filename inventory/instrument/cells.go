package instrument

import "strings"

// split parts a line into words at blanks; a text in quotation marks is one
// word, a doubled mark in it is one mark, and what follows # is a comment.
func split(line int, row string) ([]string, error) {
	var words []string
	rest := strings.TrimSpace(row)
	for rest != "" && rest[0] != '#' {
		if rest[0] != '"' {
			end := strings.IndexAny(rest, " \t\n\v\f")
			if end < 0 {
				end = len(rest)
			}
			words, rest = append(words, rest[:end]), strings.TrimSpace(rest[end:])
			continue
		}
		word, after, closed := quoted(rest[1:])
		if !closed {
			return nil, refuse(line, "has a quotation mark that is not closed")
		}
		words, rest = append(words, word), strings.TrimSpace(after)
	}
	return words, nil
}

func quoted(text string) (word, rest string, closed bool) {
	var b strings.Builder
	for {
		i := strings.IndexByte(text, '"')
		if i < 0 {
			return "", "", false
		}
		b.WriteString(text[:i])
		text = text[i+1:]
		if !strings.HasPrefix(text, `"`) {
			return b.String(), text, true
		}
		b.WriteByte('"')
		text = text[1:]
	}
}

// tabbed parts a line at its tabs; nil where that does not give n cells.
func tabbed(text string, n int) []string {
	cells := strings.Split(strings.TrimRight(text, " \t"), "\t")
	if len(cells) == 1 || len(cells) > n {
		return nil
	}
	for i, c := range cells {
		c = strings.TrimSpace(c)
		if word, rest, closed := quoted(strings.TrimPrefix(c, `"`)); strings.HasPrefix(c, `"`) && closed && rest == "" {
			c = word
		}
		cells[i] = c
	}
	if len(cells) < n && strings.Count(text, "\t") < n-1 {
		return nil
	}
	for len(cells) < n { // empty cells at the end
		cells = append(cells, "")
	}
	return cells
}
