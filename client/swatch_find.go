package client

import (
	"context"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"dyelot/client/paper"
	"dyelot/inventory/fault"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

// filterFlags narrow a search of the book.
func filterFlags(f *form) *dyelotv1.SwatchFilter {
	q := &dyelotv1.SwatchFilter{}
	f.text(&q.Fibre, "fibre", "on this fibre")
	f.text(&q.Plant, "plant", "of this plant")
	f.text(&q.Part, "part", "of this part of it")
	f.text(&q.Mordant, "mordant", "with this salt or tannin in one of its baths")
	f.text(&q.Metal, "metal", "with this metal added: Al, Fe, Cu …")
	f.fills("metal", "filter.metal")
	var none bool
	f.flag(&none, "no-metal", "no metal was added")
	f.value("in-season", "month", "the plant may be gathered in this month", func(text string) (err error) {
		q.InSeason, err = monthOf(text)
		return err
	})
	f.flag(&q.FoodPlants, "food-plants", "the plant is grown or gathered to be eaten")
	f.value("least", "test=grade", "no grade below this: light=4, wash-change=3-4", func(text string) error {
		for _, one := range splitList(text) {
			kind, grade, err := pairOf(one, "light=4")
			if err != nil {
				return err
			}
			q.Least = append(q.Least, &dyelotv1.LeastGrade{Kind: kind, Grade: grade})
		}
		return nil
	})
	f.fills("least", "filter.least")
	f.later = append(f.later, func(context.Context) error {
		if none && q.Metal != "" {
			return fault.BadField("--no-metal", "and --metal: say one of them")
		}
		if none {
			q.Metal = "none"
		}
		return nil
	})
	return q
}

// monthOf reads "october", "oct" or "10".
func monthOf(text string) (int32, error) {
	word := strings.ToLower(strings.TrimSpace(text))
	if n, err := strconv.Atoi(word); err == nil && n >= 1 && n <= 12 {
		return int32(n), nil
	}
	for m := time.January; m <= time.December; m++ {
		if len(word) >= 3 && strings.HasPrefix(strings.ToLower(m.String()), word) {
			return int32(m), nil
		}
	}
	return 0, fault.BadField("", "%.40q is no month such as october, oct or 10", text)
}

func (s *session) swatchList() *cobra.Command {
	return s.command(verb{
		use:   "list [WORD]…",
		short: "Find pages by words and filters, the newest first",
		long: `Find pages by words and filters, the newest first. Each word must begin some word of the
page; all that is said must hold. "In season" means that the plant may be gathered in
that month: what hangs dried on the shelf can be used all year. A plant whose weeks
nobody knows matches no month.`,
		example: `dyelot swatch list --fibre silk --in-season october --no-metal --food-plants --least light=4 "onion skin"
dyelot swatch list walnut`,
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.ListSwatchesRequest{PageSize: pageSize, Filter: filterFlags(f)}
			f.fills("WORD", "filter.words")
			return func(ctx context.Context, args []string) error {
				q.Filter.Words = strings.Join(args, " ")
				all := &dyelotv1.ListSwatchesResponse{}
				pagesOf, err := pages(func(token string) ([]*dyelotv1.Swatch, string, error) {
					q.PageToken = token
					resp, err := s.swatches().ListSwatches(ctx, q)
					all.Unknown = resp.GetUnknown()
					return resp.GetSwatches(), resp.GetNextPageToken(), err
				})
				if err != nil {
					return err
				}
				all.Swatches = pagesOf
				return s.show(ctx, all, func(p *paper.Sheet) { p.Swatches(all) })
			}
		},
	})
}

func (s *session) swatchNear() *cobra.Command {
	return s.command(verb{
		use:   "near COLOUR",
		short: "Find the pages nearest in colour, by CIEDE2000",
		long: `Find the pages nearest in colour, by CIEDE2000. COLOUR is L*a*b* such as 62,-2,38, a
shade standard, or a lot by its readings that count. Colours are compared in one light
and by one eye only: pages read in another are computed anew from their spectrum, or
left out and counted where none was kept.`,
		example: "dyelot swatch near 62,-2,38\ndyelot swatch near harbour-gold --k 3 --fibre silk --no-metal\ndyelot swatch near L1 --least light=4",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.NearestSwatchesRequest{}
			f.fills("COLOUR", "colour", "standard_code", "lot_code", "standard", "lot")
			f.number(&q.K, "k", "how many (5)")
			light := &dyelotv1.Lab{}
			f.text(&light.Illuminant, "illuminant", "of a typed colour: A, D50, D65, F2 or F11 (D65)")
			f.fills("illuminant", "colour.illuminant")
			f.offers("illuminant", fixed("A", "D50", "D65", "F2", "F11"))
			f.number(&light.Observer, "observer", "of a typed colour: 2 or 10 degrees (10)")
			f.fills("observer", "colour.observer")
			q.Filter = filterFlags(f)
			return func(ctx context.Context, args []string) error {
				switch word := args[0]; {
				case strings.Contains(word, ","):
					v, err := labOf(word)
					if err != nil {
						return atField("COLOUR", err)
					}
					light.L, light.A, light.B = v[0], v[1], v[2]
					q.Colour = light
				case f.changed("illuminant") || f.changed("observer"):
					return fault.BadField("--illuminant", "is of a colour that is typed: a standard and a lot have their own")
				case lotCode().MatchString(word):
					q.LotCode = word
				default:
					q.StandardCode = word
				}
				return answer(ctx, s, s.swatches().NearestSwatches, q, (*paper.Sheet).Nearest)
			}
		},
	})
}

func atField(field string, err error) error {
	if f, ok := fault.Of(err); ok {
		return f.At(field)
	}
	return err
}

// listSwatches completes with the newest pages.
func listSwatches(ctx context.Context, s *session) ([]string, error) {
	return offered(ctx, s.swatches().ListSwatches, &dyelotv1.ListSwatchesRequest{PageSize: 100}, (*dyelotv1.ListSwatchesResponse).GetSwatches,
		func(w *dyelotv1.Swatch) (string, string) { return w.GetCode(), w.GetText() })
}

// expectOpen is what like swatches had, where a judgement has tests open. It is
// said beside; where it cannot be had, the judgement is shown all the same.
func (s *session) expectOpen(ctx context.Context, j *dyelotv1.Judgement) *dyelotv1.ExpectForResponse {
	for _, row := range j.GetRows() {
		if row.GetState() == "not-tested" {
			resp, err := s.swatches().ExpectFor(ctx, &dyelotv1.ExpectForRequest{LotCode: j.GetLotCode()})
			if err == nil {
				return resp
			}
			break
		}
	}
	return nil
}
