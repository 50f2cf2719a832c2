package client

import (
	"context"
	"fmt"
	"time"

	"github.com/charmbracelet/colorprofile"
	"google.golang.org/grpc"

	"dyelot/client/paper"
	"dyelot/inventory/fault"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

// session is one run of the program. Nothing is read or dialled before a
// command asks for it, so that `dyelot --version` starts at once.
type session struct {
	App
	flags  globals
	loaded *settings
	conn   *grpc.ClientConn
	studio *dyelotv1.Studio
	// lastID is the request id of a changing call that has not been answered,
	// so that it can be repeated.
	lastID string
}

// Deadlines, each with its reason.
const (
	// defaultTimeout: at the pot nobody waits longer for a screen.
	defaultTimeout = 10 * time.Second
	// backupTimeout: a whole database leaves through one call.
	backupTimeout = time.Hour
	// completeTimeout: a Tab key that hangs is worse than one that does nothing.
	completeTimeout = time.Second
	// zoneTimeout: showing a time in the wrong zone is better than not at all.
	zoneTimeout = 2 * time.Second
)

func (s *session) hangUp() {
	if s.conn != nil {
		_ = s.conn.Close() // nothing is in flight any more
	}
}

// house asks for the studio once: its zone and its currency.
func (s *session) house(ctx context.Context) (*dyelotv1.Studio, error) {
	if s.studio != nil {
		return s.studio, nil
	}
	resp, err := s.studios().GetStudio(ctx, &dyelotv1.GetStudioRequest{})
	if err != nil {
		return nil, err
	}
	s.studio = resp.GetStudio()
	return s.studio, nil
}

// zone is where times are read: as told, else the studio's.
func (s *session) zone(ctx context.Context) (*time.Location, error) {
	set, err := s.settings()
	if err != nil {
		return nil, err
	}
	name, from := set.TimeZone, "--time-zone"
	if name == "" {
		house, err := s.house(ctx)
		if err != nil {
			return nil, err
		}
		name, from = house.GetTimeZone(), "the studio's time zone"
	}
	zone, err := time.LoadLocation(name)
	if err != nil {
		return nil, fault.BadField(from, "%q is not a time zone such as Europe/Oslo", name)
	}
	return zone, nil
}

// zoneToShow is zone, or this machine's when the studio cannot be asked.
func (s *session) zoneToShow(ctx context.Context) *time.Location {
	ctx, stop := context.WithTimeout(ctx, zoneTimeout)
	defer stop()
	zone, err := s.zone(ctx)
	if err != nil {
		return time.Local
	}
	return zone
}

// colour is for terminals only, and not where somebody said no (no-color.org).
func (s *session) colour() bool {
	_, tty := terminal(s.Out)
	return tty && s.Env("NO_COLOR") == "" && s.Env("TERM") != "dumb"
}

// detecting are the variables from which a terminal's colours are known.
var detecting = [...]string{"TERM", "COLORTERM", "TMUX", "WT_SESSION", "GOOGLE_CLOUD_SHELL"}

// trueColour says whether colours of cloth can be shown as colours.
func (s *session) trueColour() bool {
	if !s.colour() {
		return false
	}
	var env []string
	for _, name := range detecting {
		if v := s.Env(name); v != "" {
			env = append(env, name+"="+v)
		}
	}
	return colorprofile.Detect(s.Out, env) == colorprofile.TrueColor
}

func (s *session) sheet(ctx context.Context) *paper.Sheet {
	width, _ := terminal(s.Out)
	return paper.New(s.Out, paper.Options{Width: width, Colour: s.colour(), Swatches: s.trueColour(), Zone: func() *time.Location { return s.zoneToShow(ctx) }})
}

// say writes a message for people; data never goes this way.
func (s *session) say(format string, args ...any) {
	fmt.Fprintf(s.Err, format+"\n", args...)
}
