package client

import (
	"context"
	"strings"

	"github.com/spf13/cobra"
	"google.golang.org/protobuf/proto"

	"dyelot/client/paper"
	"dyelot/inventory/fault"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

func (s *session) itemCommand() *cobra.Command {
	return s.noun("item", "What the studio keeps: blanks, mordants, dyestuffs …", "", s.itemAdd(), s.itemList(), s.itemTerms())
}

func (s *session) itemAdd() *cobra.Command {
	return s.command(verb{
		use:   "add KIND ITEM",
		short: "Add something that the studio will keep",
		long: `Add something that the studio will keep. KIND is one of:
  blank          an undyed garment: --style --size --fibre --piece-mass
  mordant        a metal salt or a tannin: --substance is its name or formula
  dyestuff       a plant or an insect: --plant, --part, --family
  auxiliary      soap, soda ash, chalk, cream of tartar …: --substance
  witness-cloth  cloth dyed beside a lot and kept: --fibre
  solution       made in the studio, such as iron liquor: --substance
ITEM is a short code for typing: small letters, digits and hyphens.`,
		example: `dyelot item add blank tunic-silk-m --name "silk tunic" --style tunic --size M --fibre silk=100 --piece-mass 105g
dyelot item add mordant alum --name alum --substance "potassium alum" --pack 500g --minimum 100g --lead-days 7
dyelot item add dyestuff weld --name weld --plant "Reseda luteola" --part "flowering top" --family flavonoid`,
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.CreateItemRequest{Item: &dyelotv1.Item{}}
			terms := &dyelotv1.ReorderTerms{}
			itemFlags(f, q.Item)
			termFlags(f, terms, "item.reorder.")
			return func(ctx context.Context, args []string) error {
				q.Item.Kind, q.Item.Code = args[0], args[1]
				if !proto.Equal(terms, &dyelotv1.ReorderTerms{}) {
					q.Item.Reorder = terms
				}
				return answer(ctx, s, s.stock().CreateItem, q, (*paper.Sheet).ItemAdded)
			}
		},
	})
}

func itemFlags(f *form, i *dyelotv1.Item) {
	f.fills("ITEM", "item.code", "code")
	f.fills("KIND", "item.kind", "kind")
	f.text(&i.Name, "name", "what it is called aloud")
	f.text(&i.Style, "style", "blanks: the cut, such as tunic")
	f.text(&i.Size, "size", "blanks: the size, such as M")
	f.value("fibre", "fibre=percent", "what it is made of, such as silk=100 or cotton=60,linen=40", func(text string) error {
		parts, err := fibresOf(text)
		i.Fibres = append(i.Fibres, parts...)
		return err
	})
	f.fills("fibre", "item.fibres", "fibres")
	f.amount(&i.PieceMass, "piece-mass", "blanks: air-dry mass of one piece")
	f.text(&i.Substance, "substance", "name or formula of what acts, such as FeSO4·7H2O")
	f.text(&i.Plant, "plant", "dyestuffs: which plant")
	f.text(&i.Part, "part", "dyestuffs: which part of it")
	f.text(&i.DyeFamily, "family", "dyestuffs: family of its dye, such as flavonoid")
	f.fills("family", "item.dye_family", "dye_family")
	f.offers("family", fixed("flavonoid", "anthraquinone", "tannin", "naphthoquinone", "indigoid", "anthocyanin", "curcuminoid", "other"))
	f.text(&i.Unit, "unit", "what it is counted in, g, mL or pc, where the kind does not say")
	f.amount(&i.Resolution, "resolution", "smallest step your scale or measure shows: doses are rounded to it")
}

// fibresOf reads "cotton=60,linen=40"; one fibre alone is all of it.
func fibresOf(text string) ([]*dyelotv1.FibrePart, error) {
	var parts []*dyelotv1.FibrePart
	for _, one := range splitList(text) {
		name, percent, has := strings.Cut(one, "=")
		if !has {
			percent = "100"
		}
		percent, err := percentOf(percent)
		if err != nil {
			return nil, err
		}
		parts = append(parts, &dyelotv1.FibrePart{Fibre: strings.TrimSpace(name), Percent: percent})
	}
	if len(parts) == 0 {
		return nil, fault.BadField("", "%q names no fibre: write it as silk=100 or cotton=60,linen=40", text)
	}
	return parts, nil
}

func termFlags(f *form, r *dyelotv1.ReorderTerms, under string) {
	f.amount(&r.Minimum, "minimum", "kept on the shelf beyond every promise")
	f.amount(&r.Pack, "pack", "sold in multiples of this")
	f.text(&r.Supplier, "supplier", "who sells it")
	f.number(&r.LeadDays, "lead-days", "days from order to shelf")
	for _, name := range []string{"minimum", "pack", "supplier"} {
		f.fills(name, under+name)
	}
	f.fills("lead-days", under+"lead_days")
}

func (s *session) itemTerms() *cobra.Command {
	return s.command(verb{
		use:     "terms ITEM",
		short:   "Set how an item is reordered: minimum, pack, supplier, days",
		long:    "Set how an item is reordered. What is not given stays as it is.",
		example: "dyelot item terms alum --minimum 250g --pack 500g --lead-days 10",
		build: func(f *form) func(context.Context, []string) error {
			given := &dyelotv1.ReorderTerms{}
			termFlags(f, given, "reorder.")
			return func(ctx context.Context, args []string) error {
				item, err := s.findItem(ctx, args[0])
				if err != nil {
					return err
				}
				terms := &dyelotv1.ReorderTerms{}
				if item.GetReorder() != nil {
					terms = item.GetReorder()
				}
				proto.Merge(terms, given)
				if f.changed("lead-days") {
					terms.LeadDays = given.GetLeadDays()
				}
				if f.changed("supplier") {
					terms.Supplier = given.GetSupplier()
				}
				q := &dyelotv1.SetReorderTermsRequest{ItemCode: args[0], Reorder: terms}
				return answer(ctx, s, s.stock().SetReorderTerms, q, (*paper.Sheet).TermsSet)
			}
		},
	})
}

func (s *session) items(ctx context.Context, kind string) ([]*dyelotv1.Item, error) {
	return pages(func(token string) ([]*dyelotv1.Item, string, error) {
		resp, err := s.stock().ListItems(ctx, &dyelotv1.ListItemsRequest{Kind: kind, PageSize: pageSize, PageToken: token})
		return resp.GetItems(), resp.GetNextPageToken(), err
	})
}

func (s *session) findItem(ctx context.Context, code string) (*dyelotv1.Item, error) {
	items, err := s.items(ctx, "")
	if err != nil {
		return nil, err
	}
	for _, i := range items {
		if strings.EqualFold(i.GetCode(), code) {
			return i, nil
		}
	}
	return nil, fault.Missing("item", code)
}

func (s *session) itemList() *cobra.Command {
	return s.command(verb{
		use:     "list",
		short:   "List items with what is on hand, promised and free",
		example: "dyelot item list --kind dyestuff",
		build: func(f *form) func(context.Context, []string) error {
			var kind string
			f.text(&kind, "kind", "only this kind")
			f.offers("kind", listerOf["KIND"])
			return func(ctx context.Context, _ []string) error {
				items, err := s.items(ctx, kind)
				if err != nil {
					return err
				}
				all := &dyelotv1.ListItemsResponse{Items: items}
				return s.show(ctx, all, func(p *paper.Sheet) { p.Items(all) })
			}
		},
	})
}
