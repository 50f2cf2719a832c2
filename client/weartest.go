package client

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"dyelot/client/paper"
	"dyelot/inventory/fault"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

// measuredFlags are --measured COMPONENT=L,a,b:L,a,b, repeated, with the light and
// eye that all of them are for.
func measuredFlags(f *form, into *[]*dyelotv1.MeasuredGrade, field string) {
	view := measuredView(f)
	f.value("measured", "COMPONENT=L,a,b:L,a,b", "two colours, before and after the test; may be repeated", func(text string) error {
		component, colours, err := pairOf(text, "change=46.3,-2.8,24.4:48.1,-2.0,20.2")
		if err != nil {
			return err
		}
		g, err := coloursOf(colours)
		if err != nil {
			return err
		}
		g.Component = component
		*into = append(*into, g)
		return nil
	})
	f.fills("measured", field)
	f.later = append(f.later, func(context.Context) error {
		view.into(*into...)
		return nil
	})
}

// viewed is a light and an eye that several colours are for.
type viewed struct {
	illuminant string
	observer   int32
}

func measuredView(f *form) *viewed {
	v := &viewed{}
	f.text(&v.illuminant, "illuminant", "of what was measured: A, D50, D65, F2 or F11 (D65)")
	f.offers("illuminant", fixed("A", "D50", "D65", "F2", "F11"))
	f.number(&v.observer, "observer", "of what was measured: 2 or 10 degrees (10)")
	f.offers("observer", fixed("2", "10"))
	return v
}

func (v viewed) into(pairs ...*dyelotv1.MeasuredGrade) {
	for _, g := range pairs {
		for _, c := range []*dyelotv1.Lab{g.GetBefore(), g.GetAfter()} {
			c.Illuminant, c.Observer = v.illuminant, v.observer
		}
	}
}

// coloursOf reads "46.3,-2.8,24.4:48.1,-2.0,20.2".
func coloursOf(text string) (*dyelotv1.MeasuredGrade, error) {
	before, after, both := strings.Cut(text, ":")
	if !both {
		return nil, fault.BadField("", "%.60q is not two colours with : between, such as 46.3,-2.8,24.4:48.1,-2.0,20.2", text)
	}
	b, err := labOf(before)
	if err != nil {
		return nil, err
	}
	a, err := labOf(after)
	if err != nil {
		return nil, err
	}
	return &dyelotv1.MeasuredGrade{Before: &dyelotv1.Lab{L: b[0], A: b[1], B: b[2]}, After: &dyelotv1.Lab{L: a[0], A: a[1], B: a[2]}}, nil
}

// report is --report FILE. The file stays here: only its name and its hash travel.
func (f *form) report() *string {
	file := new(string)
	f.command.Flags().StringVar(file, "report", "", "the laboratory's report; its name and SHA-256 are kept, the file is not")
	call(f.command.Flags(), "report", "FILE")
	f.fills("report", "test.report_name", "test.report_sha256")
	return file
}

// hashOf is the name of a file and the SHA-256 of all of it; empty for no file.
// A fault is on field.
func hashOf(field, file string) (name, sum string, err error) {
	if file == "" {
		return "", "", nil
	}
	in, err := os.Open(file)
	if err != nil {
		return "", "", cannotRead(field, file, err)
	}
	defer in.Close()
	h := sha256.New()
	if _, err := io.Copy(h, in); err != nil {
		return "", "", cannotRead(field, file, err)
	}
	return filepath.Base(file), hex.EncodeToString(h.Sum(nil)), nil
}

func cannotRead(field, file string, err error) error {
	why := err
	var path *fs.PathError
	if errors.As(err, &path) {
		why = path.Err
	}
	return fault.BadField(field, "%.200s cannot be read: %v", file, why)
}

func (s *session) testShow() *cobra.Command {
	return s.command(verb{
		use:     "show TEST",
		short:   "Show one test: both grades, the colours, the report's hash",
		example: "dyelot test show F7",
		build: func(f *form) func(context.Context, []string) error {
			f.fills("TEST", "code", "test")
			return func(ctx context.Context, args []string) error {
				return answer(ctx, s, s.wear().GetFastnessTest, &dyelotv1.GetFastnessTestRequest{Code: args[0]}, (*paper.Sheet).Test)
			}
		},
	})
}

func (s *session) testCheck() *cobra.Command {
	return s.command(verb{
		use:   "check TEST FILE",
		short: "Say whether a file is the laboratory's report of a test",
		long: `Say whether a file is the laboratory's report of a test, by the SHA-256 that was kept
with it. Exit code 4 where it is another file, or no report was kept.`,
		example: "dyelot test check F7 report-12.pdf",
		build: func(f *form) func(context.Context, []string) error {
			f.fills("TEST", "code", "test")
			return func(ctx context.Context, args []string) error {
				name, sum, err := hashOf("FILE", args[1])
				if err != nil {
					return err
				}
				resp, err := s.wear().GetFastnessTest(ctx, &dyelotv1.GetFastnessTestRequest{Code: args[0]})
				if err != nil {
					return err
				}
				t := resp.GetTest()
				switch t.GetReportSha256() {
				case sum:
					return s.showValue(ctx, map[string]string{"test": t.GetCode(), "report_name": t.GetReportName(), "sha256": sum}, func(p *paper.Sheet) {
						p.ReportIs(t, name)
					})
				case "":
					return fault.Refuse("NO_REPORT", "no report was kept with %s", t.GetCode()).With("test", t.GetCode())
				}
				return fault.Refuse("REPORT_DIFFERS", "%s is not the report of %s, which was %s", name, t.GetCode(), t.GetReportName()).
					With("test", t.GetCode()).With("kept", t.GetReportSha256()).With("file", sum)
			}
		},
	})
}

func (s *session) testFade() *cobra.Command {
	return s.command(verb{
		use:   "fade LOT",
		short: "Say how long a lot may hang in a light before it fades",
		long: `Say about how long a lot may hang in a light before a just noticeable fade, by this
lot's own light grade and no other's: for a half grade between two. It is a guide with
its source and its uncertainty, and never a promise. Measure the light at the cloth: no
eye tells lux. Ultraviolet counts as there unless you say that it is filtered out.`,
		example: "dyelot test fade L1 --lux 400 --hours 10\ndyelot test fade L1 --lux 2500 --hours 8 --uv-filtered",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.AdviseFadeRequest{}
			lightFlags(f, &q.Lux, &q.HoursPerDay, &q.UvFiltered, "")
			return func(ctx context.Context, args []string) error {
				q.LotCode = args[0]
				return answer(ctx, s, s.wear().AdviseFade, q, (*paper.Sheet).Fade)
			}
		},
	})
}

// lightFlags are --lux, --hours and --uv-filtered.
func lightFlags(f *form, lux, hours *float64, filtered *bool, under string) {
	figure := func(into *float64) func(string) error {
		return func(text string) (err error) {
			if *into, err = strconv.ParseFloat(strings.TrimSpace(text), 64); err != nil {
				return fault.BadField("", "%.20q is no number such as 400", text)
			}
			return nil
		}
	}
	f.value("lux", "number", "how bright the place is, in lux", figure(lux))
	f.fills("lux", under+"lux")
	f.value("hours", "number", "hours of that light a day", figure(hours))
	f.fills("hours", under+"hours_per_day")
	f.flag(filtered, "uv-filtered", "the glass or a foil keeps ultraviolet out")
}
