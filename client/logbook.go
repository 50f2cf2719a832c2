package client

import (
	"context"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"dyelot/client/paper"
	"dyelot/inventory/fault"
	"dyelot/inventory/logbook"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

func (s *session) logCommand() *cobra.Command {
	return s.noun("log", "Small books: water, scales, pH buffers, accidents, near misses",
		"Small books: water, scales, pH buffers, accidents and near misses. A check that is due\nstands in: dyelot today. Whoever checks or reports is named by role, dyer-1, never by\nname.",
		s.logWater(), s.logScale(), s.logBuffer(), s.logMishap(logbook.Accident), s.logMishap(logbook.NearMiss), s.logList(), s.logDue(), s.logEvery(),
		s.withdraw("LINE", "dyelot log withdraw J3 --reason \"a cup stood on the scale\""))
}

// entry is a command that writes one line.
func (s *session) entry(v verb, book logbook.Book, flags func(f *form, e *dyelotv1.LogEntry), check func(e *dyelotv1.LogEntry, args []string) error) *cobra.Command {
	v.build = func(f *form) func(context.Context, []string) error {
		e := &dyelotv1.LogEntry{Book: string(book)}
		flags(f, e)
		f.text(&e.By, "by", "who, as a role (whose token this is)")
		f.when(&e.HappenedAt, "on", "when (now)")
		f.fills("on", "happened_at")
		f.text(&e.Note, "note", "anything else to know")
		return func(ctx context.Context, args []string) error {
			if err := check(e, args); err != nil {
				return err
			}
			return answer(ctx, s, s.logbook().AddLogEntry, &dyelotv1.AddLogEntryRequest{Entry: e}, (*paper.Sheet).Logged)
		}
	}
	return s.command(v)
}

func (s *session) logWater() *cobra.Command {
	return s.entry(verb{
		use:     "water",
		short:   "How hard the water is, and how much iron is in it",
		example: "dyelot log water --source well --hardness-dh 4 --iron-mg-per-l 0.1 --on 2026-05-14",
	}, logbook.OfWater, func(f *form, e *dyelotv1.LogEntry) {
		e.Water = &dyelotv1.WaterCheck{}
		f.text(&e.Subject, "source", "where it comes from: well, tap, rain-barrel")
		f.fills("source", "subject")
		f.decimal(&e.Water.HardnessDh, "hardness-dh", "total hardness in German degrees (10 mg of CaO in a litre)")
		f.decimal(&e.Water.IronMgPerL, "iron-mg-per-l", "iron in mg a litre")
	}, func(e *dyelotv1.LogEntry, _ []string) error {
		return given(e.Subject, "--source", "which water it was")
	})
}

func (s *session) logScale() *cobra.Command {
	return s.entry(verb{
		use:   "scale SCALE",
		short: "What a scale shows for a check mass",
		long: `What a scale shows for a check mass. The error is told in per cent and per mille of
that mass, and warns where it is more than the scale's own step. The step is as last
told for this scale, or else the last digit that you write: 199.8g means 0.1 g.`,
		example: "dyelot log scale kitchen-scale --check-mass 200g --read 199.8g",
	}, logbook.OfScale, func(f *form, e *dyelotv1.LogEntry) {
		e.Scale = &dyelotv1.ScaleCheck{}
		f.fills("SCALE", "subject")
		f.amount(&e.Scale.CheckMass, "check-mass", "the mass that was put on it")
		f.amount(&e.Scale.Read, "read", "what it showed")
		f.amount(&e.Scale.Resolution, "resolution", "the smallest step that it shows")
	}, func(e *dyelotv1.LogEntry, args []string) error {
		e.Subject = args[0]
		return nil
	})
}

func (s *session) logBuffer() *cobra.Command {
	return s.entry(verb{
		use:     "buffer [METER]",
		short:   "What the pH meter shows in a fresh buffer",
		long:    "What the pH meter shows in a fresh buffer. Without a METER it is called ph-meter.",
		example: "dyelot log buffer --ph 7.00 --read 7.03",
	}, logbook.OfBuffer, func(f *form, e *dyelotv1.LogEntry) {
		e.Buffer = &dyelotv1.BufferCheck{}
		f.fills("METER", "subject")
		f.decimal(&e.Buffer.Ph, "ph", "the buffer's pH")
		f.decimal(&e.Buffer.Read, "read", "what the meter showed")
	}, func(e *dyelotv1.LogEntry, args []string) error {
		e.Subject = "ph-meter"
		if len(args) > 0 {
			e.Subject = args[0]
		}
		return nil
	})
}

// logMishap is two commands of one shape.
func (s *session) logMishap(book logbook.Book) *cobra.Command {
	v := verb{
		use:     string(book),
		short:   "Somebody was hurt, or something was broken or spilt",
		long:    "Somebody was hurt, or something was broken or spilt. Help comes first: the supplier's\nsafety data sheet, the poison centre, a doctor. Name people by role, never by name.",
		example: `dyelot log accident --what "liquor splashed into an eye" --stage after-dip --by dyer-1 --done "rinsed 15 min, doctor"`,
	}
	if book == logbook.NearMiss {
		v.short, v.long = "It went well this time", "It went well this time. What nearly happened is worth as much as what did. Name people\nby role, never by name."
		v.example = `dyelot log near-miss --what "the lid slid off the brew" --stage brew --by dyer-1 --done "a hook on the wall"`
	}
	return s.entry(v, book, func(f *form, e *dyelotv1.LogEntry) {
		e.Mishap = &dyelotv1.Mishap{}
		f.text(&e.Mishap.What, "what", "what happened")
		f.text(&e.Mishap.Stage, "stage", "at which stage, or gather, weigh, spent-bath")
		f.offers("stage", listStageKinds)
		f.text(&e.Mishap.Done, "done", "what was done about it")
	}, func(e *dyelotv1.LogEntry, _ []string) error {
		return given(e.Mishap.What, "--what", "what happened")
	})
}

func given(text, flag, what string) error {
	if strings.TrimSpace(text) == "" {
		return fault.BadField(flag, "is needed: %s", what)
	}
	return nil
}

func (s *session) logList() *cobra.Command {
	return s.command(verb{
		use:     "list",
		short:   "Read the small books, the newest line first",
		example: "dyelot log list --kind scale\ndyelot log list --kind near-miss",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.ListLogEntriesRequest{PageSize: pageSize}
			f.text(&q.Book, "kind", "only water, scale, buffer, accident or near-miss")
			f.fills("kind", "book")
			f.offers("kind", fixed(bookNames()...))
			f.text(&q.Subject, "of", "only this water, scale or meter")
			f.fills("of", "subject")
			return func(ctx context.Context, _ []string) error {
				entries, err := pages(func(token string) ([]*dyelotv1.LogEntry, string, error) {
					q.PageToken = token
					resp, err := s.logbook().ListLogEntries(ctx, q)
					return resp.GetEntries(), resp.GetNextPageToken(), err
				})
				if err != nil {
					return err
				}
				all := &dyelotv1.ListLogEntriesResponse{Entries: entries}
				return s.show(ctx, all, func(p *paper.Sheet) { p.Log(all) })
			}
		},
	})
}

func bookNames() []string {
	var names []string
	for _, b := range logbook.Books() {
		names = append(names, string(b))
	}
	return names
}

func (s *session) logDue() *cobra.Command {
	return s.command(verb{
		use:     "due",
		short:   "Each water, scale and meter with its last check and the next",
		example: "dyelot log due",
		build: func(*form) func(context.Context, []string) error {
			return func(ctx context.Context, _ []string) error {
				return answer(ctx, s, s.logbook().ListDue, &dyelotv1.ListDueRequest{}, (*paper.Sheet).Due)
			}
		},
	})
}

func (s *session) logEvery() *cobra.Command {
	return s.command(verb{
		use:   "every BOOK WHAT [INTERVAL]",
		short: "Say how often a water, a scale or a meter is to be checked",
		long: `Say how often a water, a scale or a meter is to be checked. BOOK is water, scale or
buffer. INTERVAL is in days, 30d, or weeks, 2w; 0d asks for it no longer. WHAT may be
left out: then it is for all of that book that have no interval of their own.`,
		example: "dyelot log every scale kitchen-scale 30d\ndyelot log every water 52w",
		build: func(f *form) func(context.Context, []string) error {
			f.fills("BOOK", "book")
			f.fills("WHAT", "subject")
			f.fills("INTERVAL", "days")
			return func(ctx context.Context, args []string) (err error) {
				q := &dyelotv1.SetLogIntervalRequest{Book: args[0]}
				if len(args) > 2 {
					q.Subject = args[1]
				}
				if q.Days, err = daysOf(args[len(args)-1]); err != nil {
					return err
				}
				return answer(ctx, s, s.logbook().SetLogInterval, q, (*paper.Sheet).IntervalSet)
			}
		},
	})
}

// daysOf reads "30d" or "2w".
func daysOf(text string) (int32, error) {
	each, ok := map[string]int64{"d": 1, "w": 7}[text[max(0, len(text)-1):]]
	n, err := strconv.ParseInt(text[:max(0, len(text)-1)], 10, 16)
	if !ok || err != nil || n < 0 {
		return 0, fault.BadField("INTERVAL", "%.40q is no interval such as 30d or 2w", text)
	}
	return int32(n * each), nil
}
