package client

import (
	"context"
	"errors"
	"io"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"dyelot/client/paper"
	"dyelot/inventory/fault"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

func (s *session) recallCommand() *cobra.Command {
	return s.noun("recall", "From what is not right to every garment that has it",
		`From one thing that is not right to every garment that has it in it, at any depth. A
recall that is open holds from sale what is in the house, until it was checked or
destroyed. What came back and what is destroyed is booked in the same act.`,
		s.recallPreview(), s.recallOpen(), s.recallTold(), s.recallAccount(), s.recallShow(), s.recallList(), s.recallClose(), s.recallLoss())
}

const nodeHelp = `NODE is a parcel P4 (a delivery, harvest, solution or any other making), a stage record
S7, an entry E2 of a bath's diary, a bath B3, one use of it and those after B3/2, a lot
L2, a run R1 or a garment's tag. Without NODE: --supplier-lot of an --item; --place and
--picked of a harvest; --recipe and --recipe-version.`

// recallNode declares the flags that name a node, and returns what reads it.
func (f *form) recallNode(n *dyelotv1.RecallNode) func(args []string) error {
	isTag := false
	f.fills("NODE", "node.code", "node.tag", "node.bath_use", "parcel", "stage record", "entry of a bath", "bath", "lot", "run", "garment")
	f.text(&n.SupplierLot, "supplier-lot", "every parcel of --item with this lot of its supplier's")
	f.text(&n.ItemCode, "item", "the item of a supplier's lot, or of a harvest")
	f.fills("item", "node.item_code")
	f.offers("item", listItems)
	f.text(&n.Supplier, "supplier", "only of this supplier")
	f.text(&n.Place, "place", "every harvest at this place, on the day of --picked")
	f.day(&n.PickedOn, "picked", "the day of the harvest")
	f.fills("picked", "node.picked_on")
	f.text(&n.RecipeCode, "recipe", "every lot of this recipe, in the version of --recipe-version")
	f.fills("recipe", "node.recipe_code")
	f.offers("recipe", listRecipes)
	f.number(&n.RecipeVersion, "recipe-version", "that version")
	f.flag(&isTag, "garment", "NODE is a tag, even if it looks like a code")
	return func(args []string) error {
		if len(args) == 0 {
			return nil
		}
		code, use, ofBath := strings.Cut(args[0], "/")
		if isTag || !nodeCode().MatchString(code) {
			n.Tag = args[0]
			return nil
		}
		if n.Code = code; !ofBath {
			return nil
		}
		number, err := strconv.ParseInt(use, 10, 16)
		if err != nil || number < 1 {
			return fault.BadField("NODE", "%.40q names no use of a bath, such as B3/2", args[0])
		}
		n.BathUse = int32(number)
		return nil
	}
}

// nodeCode tells a code from a garment's tag; see parcelCode.
var nodeCode = pattern(`^[A-Za-z][0-9]+$`)

// drained gathers what a stream brings.
func drained[M, E any](stream interface{ Recv() (*M, error) }, err error, of func(*M) []E) ([]E, error) {
	var all []E
	for err == nil {
		var part *M
		if part, err = stream.Recv(); err == nil {
			all = append(all, of(part)...)
		}
	}
	if errors.Is(err, io.EOF) {
		err = nil
	}
	return all, err
}

func (s *session) recallPreview() *cobra.Command {
	return s.command(verb{
		use:     "preview [NODE]",
		short:   "Every garment downstream and where it is now; records nothing",
		long:    "Every garment downstream, at any depth, and where it is now. Records nothing.\n\n" + nodeHelp + "\n\n" + csvHelp,
		example: "dyelot recall preview P4\ndyelot recall preview B3/2\ndyelot recall preview --item alum --supplier-lot NS-118 --csv alum.csv",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.PreviewRecallRequest{Node: &dyelotv1.RecallNode{}}
			node := f.recallNode(q.Node)
			var file string
			f.text(&file, "csv", "write the list to this file; - is standard output")
			return func(ctx context.Context, args []string) error {
				if err := node(args); err != nil {
					return err
				}
				title := ""
				stream, err := s.recalls().PreviewRecall(ctx, q)
				rows, err := drained(stream, err, func(m *dyelotv1.PreviewRecallResponse) []*dyelotv1.RecallGarment {
					title += m.GetTitle()
					return m.GetGarments()
				})
				if err != nil {
					return err
				}
				again := strings.Join(args, " ")
				return s.showRecalled(ctx, file, rows, func(p *paper.Sheet) { p.RecallPreview(title, again, rows) })
			}
		},
	})
}

const csvHelp = `--csv writes a row a garment, by order and place, for a spreadsheet; words that one
would take for a formula get a quote before them. --json writes a document a line.`

// showRecalled writes the garments of a recall: as a table for a spreadsheet, as
// one document a line, or as people read them.
func (s *session) showRecalled(ctx context.Context, file string, rows []*dyelotv1.RecallGarment, write func(*paper.Sheet)) error {
	switch {
	case file == "-":
		return paper.RecallCSV(s.Out, rows)
	case file != "":
		if err := putPrivate(file, func(w io.Writer) error { return paper.RecallCSV(w, rows) }); err != nil {
			return err
		}
		s.say("%s: %d garments", file, len(rows))
		return nil
	case s.flags.JSON:
		for _, g := range rows {
			text, err := asJSON.Marshal(g)
			if err != nil {
				return err
			}
			if err := s.writeJSON(text); err != nil {
				return err
			}
		}
		return nil
	}
	sheet := s.sheet(ctx)
	write(sheet)
	return sheet.Close()
}

func (s *session) recallOpen() *cobra.Command {
	return s.command(verb{
		use:     "open [NODE]",
		short:   "Keep the list as found, and hold what is in the house",
		long:    "Keep the list as it is found, and hold from sale what is in the house. What comes\ndownstream later is held too, and is shown as since then.\n\n" + nodeHelp,
		example: `dyelot recall open P4 --reason "patches after a wash"`,
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.OpenRecallRequest{Node: &dyelotv1.RecallNode{}}
			node := f.recallNode(q.Node)
			f.text(&q.Reason, "reason", "what is not right")
			f.text(&q.By, "by", "who decides it (the token's name)")
			f.when(&q.HappenedAt, "at", "when (now)")
			f.fills("at", "happened_at")
			return func(ctx context.Context, args []string) error {
				if err := node(args); err != nil {
					return err
				}
				if err := s.needed(&q.Reason, "reason", "what is not right"); err != nil {
					return err
				}
				return answer(ctx, s, s.recalls().OpenRecall, q, (*paper.Sheet).RecallOpened)
			}
		},
	})
}

func (s *session) recallShow() *cobra.Command {
	return s.command(verb{
		use:   "show RECALL",
		short: "Where each garment is, who was told, what is still out",
		long: `How a recall stands: where each garment is, who was told, what is still out. With
--json the recall is the first line, and each garment a line after it.

` + csvHelp,
		example: "dyelot recall show K1\ndyelot recall show K1 --csv k1.csv",
		build: func(f *form) func(context.Context, []string) error {
			var file string
			f.text(&file, "csv", "write the list to this file; - is standard output")
			f.fills("RECALL", "code", "recall")
			return func(ctx context.Context, args []string) error {
				resp, err := s.recalls().GetRecall(ctx, &dyelotv1.GetRecallRequest{Code: args[0]})
				if err != nil {
					return err
				}
				stream, err := s.recalls().ListRecallGarments(ctx, &dyelotv1.ListRecallGarmentsRequest{Code: args[0]})
				rows, err := drained(stream, err, (*dyelotv1.ListRecallGarmentsResponse).GetGarments)
				if err != nil {
					return err
				}
				if s.flags.JSON && file == "" {
					text, err := asJSON.Marshal(resp)
					if err != nil {
						return err
					}
					if err := s.writeJSON(text); err != nil {
						return err
					}
				}
				return s.showRecalled(ctx, file, rows, func(p *paper.Sheet) { p.Recall(resp.GetRecall(), rows) })
			}
		},
	})
}

func (s *session) recallList() *cobra.Command {
	return s.command(verb{
		use:     "list",
		short:   "List open recalls, the newest first",
		example: "dyelot recall list\ndyelot recall list --all",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.ListRecallsRequest{PageSize: pageSize}
			f.flag(&q.IncludeClosed, "all", "also those that are closed")
			return func(ctx context.Context, _ []string) error {
				rs, err := pages(func(token string) ([]*dyelotv1.Recall, string, error) {
					q.PageToken = token
					resp, err := s.recalls().ListRecalls(ctx, q)
					return resp.GetRecalls(), resp.GetNextPageToken(), err
				})
				if err != nil {
					return err
				}
				all := &dyelotv1.ListRecallsResponse{Recalls: rs}
				return s.show(ctx, all, func(p *paper.Sheet) { p.Recalls(all) })
			}
		},
	})
}
