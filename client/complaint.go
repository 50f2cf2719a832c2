package client

import (
	"encoding/json"
	"maps"
	"slices"
	"strings"

	"github.com/charmbracelet/x/ansi"
	"github.com/spf13/cobra"
	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"

	"dyelot/inventory/fault"
)

// complaint is an error as both a person and a program can read it.
type complaint struct {
	Code     string            `json:"code"`
	Exit     int               `json:"exit"`
	Reason   string            `json:"reason,omitempty"`
	Message  string            `json:"message"`
	Field    string            `json:"field,omitempty"`
	Flag     string            `json:"flag,omitempty"`
	Rule     string            `json:"rule,omitempty"`
	Metadata map[string]string `json:"metadata,omitempty"`
	// Violations are all the fields that are off, where a call may name many.
	Violations []violation `json:"violations,omitempty"`
	RequestID  string      `json:"request_id,omitempty"`
	Next       string      `json:"next,omitempty"`
}

// indent sets what follows below "dyelot: ".
const indent = "        "

// complain tells of an error on stderr and returns the exit code.
func (s *session) complain(cmd *cobra.Command, args []string, err error) int {
	c := complaintOf(err)
	c.Flag = flagFor(cmd, c.Field)
	c.RequestID = s.lastID
	if c.Reason == "" && s.loaded != nil {
		c.Message = s.away(codeOf(err), c.Message)
	}
	c.Next = s.nextStep(codeOf(err), c)
	if s.flags.JSON || wantsJSON(args) {
		out := json.NewEncoder(s.Err)
		out.SetEscapeHTML(false)
		_ = out.Encode(map[string]complaint{"error": c}) // where stderr is gone, the exit code still says it
		return c.Exit
	}
	words := c.words()
	if width, is := terminal(s.Err); is && width >= helpColumns { // a screen cuts words in two, a pipe wants one line
		words = strings.ReplaceAll(ansi.Wordwrap(words, helpColumns-len(indent), " "), "\n", "\n"+indent)
	}
	s.say("dyelot: %s", words)
	if c.Next != "" { // not broken, since it is copied
		s.say("%s%s", indent, c.Next)
	}
	return c.Exit
}

// complaintOf reads a fault of our own or a status of the service with its
// details.
func complaintOf(err error) complaint {
	code := codeOf(err)
	c := complaint{Code: nameOf(code), Exit: exitOf(err), Message: err.Error()}
	if f, ok := fault.Of(err); ok {
		c.Reason, c.Field, c.Rule, c.Message, c.Metadata = f.Reason, f.Field, f.Rule, f.Say, f.Numbers
		return c
	}
	st := statusOf(err)
	if st == nil {
		return c
	}
	c.Message = st.Message()
	for _, d := range st.Details() {
		switch d := d.(type) {
		case *errdetails.ErrorInfo:
			c.takeInfo(d)
		case *errdetails.BadRequest:
			c.takeFields(d)
		}
	}
	return c
}

func (c *complaint) takeInfo(info *errdetails.ErrorInfo) {
	c.Reason = info.GetReason()
	c.Metadata = maps.Clone(info.GetMetadata())
	c.Rule, c.Field = c.Metadata["rule"], c.Metadata["field"]
	delete(c.Metadata, "rule")
	delete(c.Metadata, "field")
}

// violation is one field that is off: "parcels:12:amount".
type violation struct {
	Field   string `json:"field"`
	Message string `json:"message"`
}

// takeFields makes the one field that is off the complaint's own; where a call
// names many (OPENING_OFF), they stand beside its sentence.
func (c *complaint) takeFields(bad *errdetails.BadRequest) {
	for _, v := range bad.GetFieldViolations() {
		if c.Reason == manyOff || c.Reason == cardsOff {
			c.Violations = append(c.Violations, violation{v.GetField(), v.GetDescription()})
			continue
		}
		c.Field, c.Message = v.GetField(), v.GetDescription()
	}
}

// manyOff and cardsOff are the reasons of the refusals that name many fields at
// once: of an opening import, and of one of swatch cards.
const (
	manyOff  = "OPENING_OFF"
	cardsOff = "CARDS_OFF"
)

// words is the complaint as one sentence: "amount (--counted): 5 mL is a
// volume: give mass (g)". What is missing or refused names itself.
func (c complaint) words() string {
	said := c.Message
	if c.Code == nameOf(codes.InvalidArgument) && c.Field != "" {
		label := c.Field
		switch {
		case c.Flag == "":
		case strings.Trim(c.Flag, "-") == strings.ReplaceAll(last(c.Field), "_", "-"):
			label = c.Flag
		case c.Flag != c.Field:
			label += " (" + c.Flag + ")"
		}
		said = label + ": " + said
	}
	return said
}

// last is the last part of a field's path: "recipe.stages[2].kind" → "kind".
func last(field string) string {
	field = field[strings.LastIndex(field, ".")+1:]
	field, _, _ = strings.Cut(field, "[")
	return field
}

// nameOf writes a code as the standard does: FAILED_PRECONDITION.
func nameOf(code codes.Code) string {
	text := code.String()
	var b strings.Builder
	for i, r := range text {
		if i > 0 && r >= 'A' && r <= 'Z' && text[i-1] >= 'a' {
			b.WriteByte('_')
		}
		b.WriteRune(r)
	}
	return strings.ToUpper(b.String())
}

// wantsJSON looks for --json where the flags could not be parsed.
func wantsJSON(args []string) bool {
	if end := slices.Index(args, "--"); end >= 0 {
		args = args[:end]
	}
	return slices.Contains(args, "--json") || slices.Contains(args, "--json=true")
}
