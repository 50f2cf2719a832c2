package client

import (
	"context"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"dyelot/client/paper"
	"dyelot/inventory/fastness"
	"dyelot/inventory/fault"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

func (s *session) windowCommand() *cobra.Command {
	return s.noun("window", "Window tests: put out, looked at on their days, taken in",
		"Window tests: a strip half covered behind glass, with blue wools beside it. It is put\nout, looked at on its days, and taken in with a light grade. What is due stands in:\ndyelot today.",
		s.windowOut(), s.windowLook(), s.windowIn(), s.windowList(), s.windowShow())
}

func (s *session) windowOut() *cobra.Command {
	return s.command(verb{
		use:   "out LOT",
		short: "Put a strip of a lot's witness cloth into a window",
		long: `Put a strip of a lot's witness cloth into a window: half covered, dry, behind glass,
with blue wools beside it. Keep a part of it in the dark. --look says when to look
again, in days after or as days; 7, 14, 28 and 56 unless you say. A window test may
outlast an order: --scope says what its grade will be evidence for.`,
		example: `dyelot window out L1 --place "shop window, behind glass" --faces south --lux 2500 --hours 10 --blue-wools 1-4
dyelot window out L1 --place "bench window" --blue-wools 2,3,4 --look 7,21,2026-09-01 --scope recipe --specimen "strip 2"`,
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.PutOutRequest{Window: &dyelotv1.Window{}}
			w := q.Window
			f.fills("LOT", "window.lot_code")
			f.text(&w.Place, "place", "where it hangs, in words")
			f.text(&w.Faces, "faces", "which way the window faces: south, north-east, sky …")
			f.offers("faces", fixed(fastness.Facings()...))
			lightFlags(f, &w.Lux, &w.HoursPerDay, &w.UvFiltered, "window.")
			f.wools(&w.BlueWools, "blue-wools", "which blue wools lie beside it: 1-4, or 2,3,4")
			f.value("look", "days", "when to look again: 7,14,28 days after, or days such as 2026-09-01", func(text string) error {
				return lookWords(text, q)
			})
			f.fills("look", "window.look_on", "look_after_days")
			f.text(&w.Scope, "scope", "what its grade is evidence for: lot, harvest or recipe (lot)")
			f.offers("scope", fixed("lot", "harvest", "recipe"))
			f.text(&w.Specimen, "specimen", "which of several, such as \"strip 2\"")
			f.text(&w.By, "by", "who put it out (whose token this is)")
			f.day(&w.PutOutOn, "on", "the day it was put out (today)")
			f.fills("on", "window.put_out_on")
			f.text(&w.Note, "note", "anything else to know")
			return func(ctx context.Context, args []string) error {
				w.LotCode = args[0]
				if err := s.needed(&w.Place, "place", "where does it hang"); err != nil {
					return err
				}
				return answer(ctx, s, s.wear().PutOut, q, (*paper.Sheet).WindowOut)
			}
		},
	})
}

// lookWords reads "7,14,2026-09-01": days after, and days of the calendar.
func lookWords(text string, q *dyelotv1.PutOutRequest) error {
	for _, word := range splitList(text) {
		if n, err := strconv.ParseInt(strings.TrimSuffix(word, "d"), 10, 32); err == nil {
			q.LookAfterDays = append(q.LookAfterDays, int32(n))
			continue
		}
		if _, err := time.Parse(time.DateOnly, word); err != nil {
			return fault.BadField("", "%.20q is neither days after, such as 14, nor a day such as 2026-09-01", word)
		}
		q.Window.LookOn = append(q.Window.LookOn, word)
	}
	return nil
}

// wools is a flag such as --blue-wools 1-4 or 2,3,4.
func (f *form) wools(into *[]int32, name, usage string) {
	f.value(name, "numbers", usage, func(text string) error {
		for _, word := range splitList(text) {
			low, high, span := strings.Cut(word, "-")
			from, err := strconv.ParseInt(low, 10, 8)
			to := from
			if span && err == nil {
				to, err = strconv.ParseInt(high, 10, 8)
			}
			if err != nil || to < from {
				return fault.BadField("", "%.20q is no blue wool such as 3, nor a span such as 1-4", word)
			}
			for n := from; n <= to; n++ {
				*into = append(*into, int32(n))
			}
		}
		return nil
	})
}

func (s *session) windowLook() *cobra.Command {
	return s.command(verb{
		use:   "look WINDOW",
		short: "Write what you see: the strip's grade, the blue wools' change",
		long: `Write what you see at the window: how much the uncovered half has changed, by the grey
scale, and every blue wool that has changed by now. Instead of a grade, or beside it,
--measured takes two colours of the strip, before and now. A second look on the same
day counts instead of the first, which stays to be read.`,
		example: "dyelot window look X4 --grade 4-5 --changed 1,2 --by bench-1\ndyelot window look X4 --changed 1-3 --measured 46.3,-2.8,24.4:48.1,-2.0,20.2 --instrument spectro-1",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.LookRequest{Look: &dyelotv1.WindowLook{}}
			l := q.Look
			var instrument string
			f.text(&l.Grade, "grade", "of the strip's change, on the grey scale: 5, 4-5 …")
			f.fills("grade", "look.grade")
			f.wools(&l.Changed, "changed", "every blue wool that has changed by now")
			view := measuredView(f)
			f.value("measured", "L,a,b:L,a,b", "two colours of the strip, before and now", func(text string) (err error) {
				l.Measured, err = coloursOf(text)
				return err
			})
			f.fills("measured", "look.measured")
			f.text(&instrument, "instrument", "which instrument measured them")
			f.text(&l.By, "by", "who looked (whose token this is)")
			f.day(&l.LookedOn, "on", "the day (today)")
			f.fills("on", "look.looked_on")
			f.text(&l.Note, "note", "anything else to know")
			return func(ctx context.Context, args []string) error {
				q.WindowCode = args[0]
				if l.Measured != nil {
					l.Measured.Instrument = instrument
					view.into(l.Measured)
				}
				return answer(ctx, s, s.wear().Look, q, (*paper.Sheet).WindowLooked)
			}
		},
	})
}

func (s *session) windowIn() *cobra.Command {
	return s.command(verb{
		use:   "in WINDOW",
		short: "Take it in and record its light grade as a fastness test",
		long: `Take it in and record its light grade as a fastness test of the method studio-window.
The grade is the blue wool that faded as much as the strip, 3, or 2-3 for between; what
the looks propose unless you say. With --given-up there is a reason and no test.`,
		example: "dyelot window in X4 --grade 2-3 --direction weaker --by owner --evidence \"window book p. 12\"\ndyelot window in X4 --given-up \"the strip fell behind the radiator\"",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.TakeInRequest{}
			f.text(&q.Grade, "grade", "the light grade by the blue wools: 3, or 2-3 for between")
			f.text(&q.Direction, "direction", "how the colour moved: weaker, redder, duller …")
			f.text(&q.GivenUp, "given-up", "why there is no grade")
			f.text(&q.By, "by", "who judged it (whose token this is)")
			f.day(&q.TakenInOn, "on", "the day it was taken in (today)")
			f.fills("on", "taken_in_on")
			f.text(&q.Evidence, "evidence", "the page of the notebook")
			f.text(&q.Note, "note", "anything else to know")
			return func(ctx context.Context, args []string) error {
				q.WindowCode = args[0]
				return answer(ctx, s, s.wear().TakeIn, q, (*paper.Sheet).WindowIn)
			}
		},
	})
}

func (s *session) windowList() *cobra.Command {
	return s.command(verb{
		use:     "list",
		short:   "List what hangs in the windows, the newest first",
		example: "dyelot window list\ndyelot window list --all --lot L1",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.ListWindowsRequest{PageSize: pageSize}
			f.flag(&q.All, "all", "what was taken in too")
			f.text(&q.LotCode, "lot", "only of this lot")
			f.offers("lot", listLots)
			return func(ctx context.Context, _ []string) error {
				windows, err := pages(func(token string) ([]*dyelotv1.Window, string, error) {
					q.PageToken = token
					resp, err := s.wear().ListWindows(ctx, q)
					return resp.GetWindows(), resp.GetNextPageToken(), err
				})
				if err != nil {
					return err
				}
				all := &dyelotv1.ListWindowsResponse{Windows: windows}
				return s.show(ctx, all, func(p *paper.Sheet) { p.Windows(all) })
			}
		},
	})
}

func (s *session) windowShow() *cobra.Command {
	return s.command(verb{
		use:     "show WINDOW",
		short:   "Show one with its looks, its light so far and what that means",
		example: "dyelot window show X4",
		build: func(f *form) func(context.Context, []string) error {
			f.fills("WINDOW", "code")
			return func(ctx context.Context, args []string) error {
				return answer(ctx, s, s.wear().GetWindow, &dyelotv1.GetWindowRequest{Code: args[0]}, (*paper.Sheet).Window)
			}
		},
	})
}

func listWindows(ctx context.Context, s *session) ([]string, error) {
	return offered(ctx, s.wear().ListWindows, &dyelotv1.ListWindowsRequest{PageSize: pageSize}, (*dyelotv1.ListWindowsResponse).GetWindows,
		func(w *dyelotv1.Window) (string, string) { return w.GetCode(), w.GetLotCode() + ", " + w.GetPlace() })
}
