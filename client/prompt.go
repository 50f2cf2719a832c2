package client

import (
	"bufio"
	"strings"

	"dyelot/inventory/fault"
)

// needed asks for a flag's text when nothing was given and somebody sits at a
// terminal; else the missing flag is named.
func (s *session) needed(into *string, flag, question string) error {
	if strings.TrimSpace(*into) != "" {
		return nil
	}
	_, in := terminal(s.In)
	_, out := terminal(s.Err)
	if !in || !out || s.flags.JSON {
		return fault.New(fault.Invalid, "FLAG_MISSING", "--%s is needed: %s", flag, question)
	}
	if _, err := s.Err.Write([]byte(question + "? ")); err != nil {
		return err
	}
	line, err := bufio.NewReader(s.In).ReadString('\n')
	if *into = strings.TrimSpace(line); *into == "" || err != nil {
		return fault.New(fault.Invalid, "FLAG_MISSING", "--%s is needed: %s", flag, question)
	}
	return nil
}
