package client

import (
	"context"
	"strings"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// lister gives the words that may stand in a place, each as "code\twhat it is".
type lister func(ctx context.Context, s *session) ([]string, error)

// fixed is a lister of words that are known here.
func fixed(words ...string) lister {
	return func(context.Context, *session) ([]string, error) { return words, nil }
}

// listerOf knows what an argument's name asks for.
var listerOf = map[string]lister{
	"ITEM":             listItems,
	"ORDER":            listPurchases,
	"PARCEL":           listParcels,
	"LOT":              listLots,
	"LOTS":             listLots,
	"RUN":              listRuns,
	"COMMISSION":       listCommissions,
	"COLLECTION":       listCollections,
	"COLOURWAY":        listColourways,
	"STANDARD":         listStandards,
	"RECIPE":           listRecipes,
	"VESSEL":           listVessels,
	"TAG":              listGarments,
	"LOT-OR-TAG":       listLots,
	"STAGE":            listStageKinds,
	"TARGET":           listRuns,
	"BATH":             listBaths,
	"VAT":              listBaths,
	"METHOD":           listMethods,
	"DIPS":             listTestDips,
	"WINDOW":           listWindows,
	"ROW":              listHouseRows,
	"TOKEN":            listTokens,
	"SWATCH":           listSwatches,
	"OUTCOME":          fixed("passed", "held", "imperfect", "re-dye", "scrapped", "closed"),
	"KIND":             fixed("blank", "mordant", "dyestuff", "auxiliary", "witness-cloth", "solution"),
	"LOT-OR-RECORD":    listLots,
	"COLOURWAY-OR-RUN": listColourways,
	"PLANT":            listPlants,
	"ACTION":           listActions,
	"RECALL":           listRecalls,
	"NODE":             listParcels,
}

func (s *session) completeArgs(places []place) cobra.CompletionFunc {
	return func(c *cobra.Command, args []string, typed string) ([]string, cobra.ShellCompDirective) {
		i := len(args)
		if n := len(places); i >= n {
			if n == 0 || !places[n-1].repeat {
				return nil, cobra.ShellCompDirectiveNoFileComp
			}
			i = n - 1
		}
		if places[i].name == "FILE" {
			return nil, cobra.ShellCompDirectiveDefault
		}
		list, known := listerOf[places[i].name]
		if !known {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		return s.complete(c.Context(), list, typed)
	}
}

func (s *session) completeFlag(list lister) cobra.CompletionFunc {
	return func(c *cobra.Command, _ []string, typed string) ([]string, cobra.ShellCompDirective) {
		return s.complete(c.Context(), list, typed)
	}
}

// complete is silent when the service is: a Tab key is no place for errors.
func (s *session) complete(ctx context.Context, list lister, typed string) ([]string, cobra.ShellCompDirective) {
	ctx, stop := context.WithTimeout(ctx, completeTimeout)
	defer stop()
	words, err := list(ctx, s)
	if err != nil {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	var fit []string
	for _, w := range words {
		if strings.HasPrefix(strings.ToLower(w), strings.ToLower(typed)) {
			fit = append(fit, w)
		}
	}
	return fit, cobra.ShellCompDirectiveNoFileComp
}

// offered asks one call and turns each thing of its answer into a word.
func offered[Q, A, T any](ctx context.Context, call func(context.Context, Q, ...grpc.CallOption) (A, error), request Q, things func(A) []T, word func(T) (code, what string)) ([]string, error) {
	answer, err := call(ctx, request)
	if err != nil {
		return nil, err
	}
	var words []string
	for _, t := range things(answer) {
		code, what := word(t)
		words = append(words, code+"\t"+what)
	}
	return words, nil
}

func listItems(ctx context.Context, s *session) ([]string, error) {
	return offered(ctx, s.stock().ListItems, &dyelotv1.ListItemsRequest{PageSize: pageSize}, (*dyelotv1.ListItemsResponse).GetItems,
		func(i *dyelotv1.Item) (string, string) { return i.GetCode(), i.GetName() })
}

func listParcels(ctx context.Context, s *session) ([]string, error) {
	return offered(ctx, s.stock().ListParcels, &dyelotv1.ListParcelsRequest{PageSize: pageSize}, (*dyelotv1.ListParcelsResponse).GetParcels,
		func(p *dyelotv1.Parcel) (string, string) { return p.GetCode(), p.GetItemName() })
}

func listLots(ctx context.Context, s *session) ([]string, error) {
	return offered(ctx, s.runs().ListLots, &dyelotv1.ListLotsRequest{PageSize: pageSize}, (*dyelotv1.ListLotsResponse).GetLots,
		func(l *dyelotv1.Lot) (string, string) { return l.GetCode(), l.GetColourwayCode() + ", " + l.GetState() })
}

func listRuns(ctx context.Context, s *session) ([]string, error) {
	return offered(ctx, s.runs().ListRuns, &dyelotv1.ListRunsRequest{PageSize: pageSize}, (*dyelotv1.ListRunsResponse).GetRuns,
		func(r *dyelotv1.Run) (string, string) { return r.GetCode(), r.GetColourwayName() + ", " + r.GetState() })
}

func listColourways(ctx context.Context, s *session) ([]string, error) {
	return offered(ctx, s.recipes().ListColourways, &dyelotv1.ListColourwaysRequest{}, (*dyelotv1.ListColourwaysResponse).GetColourways,
		func(c *dyelotv1.Colourway) (string, string) { return c.GetCode(), c.GetName() })
}

func listStandards(ctx context.Context, s *session) ([]string, error) {
	return offered(ctx, s.recipes().ListShadeStandards, &dyelotv1.ListShadeStandardsRequest{}, (*dyelotv1.ListShadeStandardsResponse).GetStandards,
		func(c *dyelotv1.ShadeStandard) (string, string) { return c.GetCode(), c.GetName() })
}

func listRecipes(ctx context.Context, s *session) ([]string, error) {
	return offered(ctx, s.recipes().ListRecipes, &dyelotv1.ListRecipesRequest{}, (*dyelotv1.ListRecipesResponse).GetRecipes,
		func(r *dyelotv1.Recipe) (string, string) { return r.GetCode(), r.GetName() })
}

func listVessels(ctx context.Context, s *session) ([]string, error) {
	return offered(ctx, s.studios().ListVessels, &dyelotv1.ListVesselsRequest{}, (*dyelotv1.ListVesselsResponse).GetVessels,
		func(v *dyelotv1.Vessel) (string, string) { return v.GetCode(), v.GetName() })
}

func listGarments(ctx context.Context, s *session) ([]string, error) {
	return offered(ctx, s.garments().ListGarments, &dyelotv1.ListGarmentsRequest{PageSize: pageSize}, (*dyelotv1.ListGarmentsResponse).GetGarments,
		func(g *dyelotv1.Garment) (string, string) { return g.GetTag(), g.GetLotCode() + ", " + g.GetPlace() })
}

func listMethods(ctx context.Context, s *session) ([]string, error) {
	return offered(ctx, s.judge().ListMethods, &dyelotv1.ListMethodsRequest{}, (*dyelotv1.ListMethodsResponse).GetMethods,
		func(m *dyelotv1.Method) (string, string) { return m.GetKey(), m.GetTitle() })
}

func listHouseRows(ctx context.Context, s *session) ([]string, error) {
	return offered(ctx, s.judge().ListHouseStandard, &dyelotv1.ListHouseStandardRequest{All: true}, (*dyelotv1.ListHouseStandardResponse).GetRows,
		func(r *dyelotv1.HouseRow) (string, string) { return r.GetKey(), r.GetTitle() })
}

func listTokens(ctx context.Context, s *session) ([]string, error) {
	return offered(ctx, s.studios().ListTokens, &dyelotv1.ListTokensRequest{}, (*dyelotv1.ListTokensResponse).GetTokens,
		func(t *dyelotv1.Token) (string, string) { return t.GetName(), "" })
}

func listStageKinds(ctx context.Context, s *session) ([]string, error) {
	return offered(ctx, s.recipes().ListStageKinds, &dyelotv1.ListStageKindsRequest{}, (*dyelotv1.ListStageKindsResponse).GetKinds,
		func(k *dyelotv1.StageKind) (string, string) { return k.GetKey(), k.GetWhat() })
}
