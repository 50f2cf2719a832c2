package client

import (
	"context"
	"fmt"

	"github.com/spf13/cobra"

	"dyelot/client/paper"
	"dyelot/inventory/fault"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

func (s *session) seasons() dyelotv1.SeasonServiceClient { return dyelotv1.NewSeasonServiceClient(s) }

func (s *session) collectionCommand() *cobra.Command {
	return s.noun("collection", "What a season is to bring: pieces, colourways, days",
		"What a season is to bring: so many pieces of a blank, in a colourway, by a day. Runs that\nare planned with: dyelot run plan --collection, count against it; what is left, and what\nthat needs, by week, shows: dyelot season needs.",
		s.collectionAdd(), s.collectionSet(), s.collectionShow(), s.collectionList())
}

func (s *session) collectionAdd() *cobra.Command {
	return s.command(verb{
		use:     "add COLLECTION",
		short:   "Begin a collection",
		example: `dyelot collection add spring-27 --name "spring 2027"`,
		build: func(f *form) func(context.Context, []string) error {
			c := &dyelotv1.Collection{}
			f.fills("COLLECTION", "collection.code")
			f.text(&c.Name, "name", "what it is called (its code)")
			f.fills("name", "collection.name")
			f.text(&c.Note, "note", "anything else to know")
			return func(ctx context.Context, args []string) error {
				c.Code = args[0]
				return answer(ctx, s, s.seasons().CreateCollection, &dyelotv1.CreateCollectionRequest{Collection: c}, (*paper.Sheet).CollectionAdded)
			}
		},
	})
}

func (s *session) collectionSet() *cobra.Command {
	return s.command(verb{
		use:   "set COLLECTION COLOURWAY ITEM=PIECES…",
		short: "Set how many pieces are due on a day; 0 takes the line out",
		long: `Set how many pieces of a blank are due in a colourway on a day. Setting it again
changes it, 0 takes it out, also when its day has passed; what it was stays in the
books. For another day, take it out on the old one first. Several blanks are set one
after the other: where one is refused, those before it stand.`,
		example: "dyelot collection set spring-27 harbour-gold tunic-silk-s=8 tunic-silk-m=12 --due 2027-06-30\ndyelot collection set spring-27 harbour-gold tunic-silk-s=0 --due 2027-06-30",
		build: func(f *form) func(context.Context, []string) error {
			var due string
			f.fills("COLLECTION", "collection_code", "collection")
			f.fills("COLOURWAY", "line.colourway_code")
			f.fills("ITEM=PIECES", "line.item_code", "line.pieces")
			f.day(&due, "due", "the day that they are to be finished")
			f.fills("due", "line.due_on")
			return func(ctx context.Context, args []string) error {
				lines, err := collectionLines(args[1], due, args[2:])
				if err != nil {
					return err
				}
				if len(lines) > 1 && s.flags.RequestID != "" {
					return fault.BadField("--request-id", "is for one line: set them one at a time with it")
				}
				for _, n := range lines {
					if err := answer(ctx, s, s.seasons().SetCollectionLine, &dyelotv1.SetCollectionLineRequest{CollectionCode: args[0], Line: n}, (*paper.Sheet).CollectionLineSet); err != nil {
						return err
					}
				}
				return nil
			}
		},
	})
}

// collectionLines reads "tunic=8" and the like, all before any is sent.
func collectionLines(colourway, due string, words []string) ([]*dyelotv1.CollectionLine, error) {
	if due == "" {
		return nil, fault.BadField("--due", "is needed: the day that they are to be finished")
	}
	var lines []*dyelotv1.CollectionLine
	for _, word := range words {
		for _, one := range splitList(word) {
			item, count, err := pairOf(one, "tunic-silk-m=12")
			if err != nil {
				return nil, fault.In("ITEM=PIECES", err)
			}
			n := int32(0)
			if count != "0" && count != "0pc" {
				if n, err = piecesOf(count); err != nil {
					return nil, fault.In("ITEM=PIECES", err)
				}
			}
			lines = append(lines, &dyelotv1.CollectionLine{ColourwayCode: colourway, ItemCode: item, Pieces: n, DueOn: due})
		}
	}
	if len(lines) == 0 {
		return nil, fault.BadField("ITEM=PIECES", "is missing: write it as tunic-silk-m=12")
	}
	return lines, nil
}

func (s *session) collectionShow() *cobra.Command {
	return s.command(verb{
		use:     "show COLLECTION",
		short:   "Show its lines, and what runs have taken of them",
		example: "dyelot collection show spring-27",
		build: func(f *form) func(context.Context, []string) error {
			f.fills("COLLECTION", "code", "collection")
			return func(ctx context.Context, args []string) error {
				return answer(ctx, s, s.seasons().GetCollection, &dyelotv1.GetCollectionRequest{Code: args[0]}, (*paper.Sheet).Collection)
			}
		},
	})
}

func (s *session) collectionList() *cobra.Command {
	return s.command(verb{
		use:     "list",
		short:   "List the collections, with how far each is planned",
		example: "dyelot collection list",
		build: func(*form) func(context.Context, []string) error {
			return func(ctx context.Context, _ []string) error {
				found, err := pages(func(token string) ([]*dyelotv1.Collection, string, error) {
					resp, err := s.seasons().ListCollections(ctx, &dyelotv1.ListCollectionsRequest{PageSize: pageSize, PageToken: token})
					return resp.GetCollections(), resp.GetNextPageToken(), err
				})
				if err != nil {
					return err
				}
				all := &dyelotv1.ListCollectionsResponse{Collections: found}
				return s.show(ctx, all, func(p *paper.Sheet) { p.Collections(all) })
			}
		},
	})
}

func listCollections(ctx context.Context, s *session) ([]string, error) {
	return offered(ctx, s.seasons().ListCollections, &dyelotv1.ListCollectionsRequest{PageSize: pageSize}, (*dyelotv1.ListCollectionsResponse).GetCollections,
		func(c *dyelotv1.Collection) (string, string) {
			return c.GetCode(), fmt.Sprintf("%d of %d planned", c.GetPlanned(), c.GetPieces())
		})
}
