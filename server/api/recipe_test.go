package api_test

import (
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/testing/protocmp"

	pb "dyelot/proto/dyelot/v1"
	"dyelot/server/api/apitest"
)

// saysNo wants an error of a code that names a field and says some words. It
// returns the figures behind the sentence.
func saysNo(t *testing.T, err error, code codes.Code, field, says string) map[string]string {
	t.Helper()
	s := status.Convert(err)
	var info *errdetails.ErrorInfo
	for _, d := range s.Details() {
		if i, ok := d.(*errdetails.ErrorInfo); ok {
			info = i
		}
	}
	if s.Code() != code || !strings.Contains(s.Message(), says) || info.GetDomain() != "dyelot" || info.GetMetadata()["field"] != field {
		t.Errorf("want %s on %q that says %q, got %v: %v", code, field, says, err, info)
	}
	return info.GetMetadata()
}

// fine is apitest.Must for a call that stands in an expression.
func fine[R any](answer R, err error) func(*apitest.House) R {
	return func(h *apitest.House) R {
		h.T.Helper()
		return apitest.Must(h, answer, err)
	}
}

// oliveShelf has what the choir's recipe is made of.
func oliveShelf(t *testing.T) *apitest.House {
	t.Helper()
	h := apitest.New(t)
	h.Item(&pb.Item{Code: "alum", Kind: "mordant", Substance: "alum"})
	h.Item(&pb.Item{Code: "weld-dry", Kind: "dyestuff", Plant: "weld"})
	h.Item(&pb.Item{Code: "iron-liquor", Kind: "solution", Substance: "copperas"})
	h.Item(&pb.Item{Code: "tunic", Kind: "blank", PieceMass: h.Amount("104g"), Fibres: []*pb.FibrePart{{Fibre: "silk", Percent: "100"}}})
	return h
}

func weldOlive() *pb.Recipe {
	return &pb.Recipe{
		Code: "weld-olive", Name: "Weld, saddened", Fibre: "silk", LiquorRatio: "40", Note: "the choir's",
		Stages: []*pb.RecipeStage{
			{Position: 1, Kind: "mordant", Shared: true, Celsius: 60, Minutes: 60, Doses: []*pb.Dose{{ItemCode: "alum", Basis: "percent_wof", Value: "15"}}},
			{Position: 2, Kind: "brew", Shared: true, Celsius: 95, Minutes: 60, Doses: []*pb.Dose{{ItemCode: "weld-dry", Basis: "percent_wof", Value: "60"}}},
			{Position: 3, Kind: "dye", Celsius: 80, Minutes: 60, PhLow: "6.5", PhHigh: "7.25"},
			{Position: 4, Kind: "after-dip", LiquorRatio: "30", Celsius: 45, Minutes: 15, Note: "cloth out", Doses: []*pb.Dose{{ItemCode: "iron-liquor", Basis: "percent_wof", Value: "1"}}},
			{Position: 5, Kind: "dry"},
		},
	}
}

func olive() *pb.ShadeStandard {
	return &pb.ShadeStandard{Code: "choir-olive", Colour: &pb.Lab{L: 62, A: -2, B: 38}, Tolerance: "1.5", SetTolerance: "1", DatedOn: "2024-01-10", RenewOn: "2025-01-10", Note: "sealed"}
}

func write(h *apitest.House, r *pb.Recipe) (*pb.CreateRecipeVersionResponse, error) {
	return h.Recipes.CreateRecipeVersion(h.Ctx, &pb.CreateRecipeVersionRequest{RequestId: h.ID(), Recipe: r})
}

// A recipe comes back as it was written, and versions count up.
func TestARecipeIsReadAsItWasWritten(t *testing.T) {
	t.Parallel()
	h := oliveShelf(t)
	asked := weldOlive()
	first := fine(write(h, asked))(h)
	if len(first.GetWarnings()) != 0 {
		t.Errorf("the choir's recipe warns: %v", first.GetWarnings())
	}
	want := proto.Clone(asked).(*pb.Recipe)
	want.Version, want.WrittenBy, want.WrittenAt = 1, "owner", first.GetRecipe().GetWrittenAt()
	for i, name := range []string{"mordant", "brew", "dye", "after-dip", "dry"} {
		want.Stages[i].KindName = name
	}
	if diff := cmp.Diff(want, first.GetRecipe(), protocmp.Transform()); diff != "" || first.GetRecipe().GetWrittenAt() == nil {
		t.Error(diff)
	}
	got := fine(h.Recipes.GetRecipe(h.Ctx, &pb.GetRecipeRequest{Code: "weld-olive"}))(h)
	if diff := cmp.Diff(want, got.GetRecipe(), protocmp.Transform()); diff != "" {
		t.Error(diff)
	}

	asked.Stages, asked.Name, asked.Note = asked.Stages[:3], "", "no iron"
	asked.Stages[0].Celsius = 80
	for _, s := range asked.GetStages() {
		s.Position = 0 // as they are listed
	}
	second := fine(write(h, asked))(h)
	if r := second.GetRecipe(); r.GetVersion() != 2 || len(r.GetStages()) != 3 || r.GetName() != "weld-olive" || r.GetStages()[2].GetPosition() != 3 {
		t.Errorf("%v", r)
	}
	if ws := second.GetWarnings(); len(ws) != 1 || ws[0].GetKey() != "too-hot" || !strings.HasPrefix(ws[0].GetText(), "stage 1, mordant: 80 °C") || ws[0].GetSource() != "common practice [CP]" {
		t.Errorf("%v", ws)
	}
	old := fine(h.Recipes.GetRecipe(h.Ctx, &pb.GetRecipeRequest{Code: "weld-olive", Version: 1}))(h)
	if diff := cmp.Diff(want, old.GetRecipe(), protocmp.Transform()); diff != "" {
		t.Errorf("the first version has changed: %s", diff)
	}
	newest := fine(h.Recipes.GetRecipe(h.Ctx, &pb.GetRecipeRequest{Code: "weld-olive"}))(h)
	listed := fine(h.Recipes.ListRecipes(h.Ctx, &pb.ListRecipesRequest{}))(h)
	if len(listed.GetRecipes()) != 1 || !proto.Equal(listed.GetRecipes()[0], newest.GetRecipe()) || newest.GetRecipe().GetVersion() != 2 || len(newest.GetWarnings()) != 1 {
		t.Errorf("%v\n%v", listed, newest)
	}
}

func TestRecipesThatAreRefused(t *testing.T) {
	t.Parallel()
	h := oliveShelf(t)
	for name, c := range map[string]struct {
		how         func(*pb.Recipe)
		code        codes.Code
		field, says string
	}{
		"code":           {func(r *pb.Recipe) { r.Code = "Weld Olive" }, codes.InvalidArgument, "recipe.code", "is no code"},
		"fibre":          {func(r *pb.Recipe) { r.Fibre = "moonlight" }, codes.InvalidArgument, "recipe.fibre", "use one of wool"},
		"no ratio":       {func(r *pb.Recipe) { r.LiquorRatio = "" }, codes.InvalidArgument, "recipe.liquor_ratio", "number is needed"},
		"ratio":          {func(r *pb.Recipe) { r.LiquorRatio = "0.5" }, codes.InvalidArgument, "recipe.liquor_ratio", "is no bath"},
		"no stage":       {func(r *pb.Recipe) { r.Stages = nil }, codes.InvalidArgument, "recipe.stages", "1 to 60"},
		"kind":           {func(r *pb.Recipe) { r.Stages[2].Kind = "simmer" }, codes.InvalidArgument, "recipe.stages[2].kind", "use one of scour"},
		"position":       {func(r *pb.Recipe) { r.Stages[2].Position = 7 }, codes.InvalidArgument, "recipe.stages[2].position", "7 stands where 3 is next"},
		"stage's ratio":  {func(r *pb.Recipe) { r.Stages[2].LiquorRatio = "1,5" }, codes.InvalidArgument, "recipe.stages[2].liquor_ratio", "comma"},
		"pH":             {func(r *pb.Recipe) { r.Stages[2].PhLow = "15" }, codes.InvalidArgument, "recipe.stages[2].ph_low", "0 to 14"},
		"pH upside down": {func(r *pb.Recipe) { r.Stages[2].PhHigh = "6" }, codes.InvalidArgument, "recipe.stages[2].ph_low", "upper limit"},
		"no item":        {func(r *pb.Recipe) { r.Stages[0].Doses[0].ItemCode = "" }, codes.InvalidArgument, "recipe.stages[0].doses[0].item_code", "is needed"},
		"unknown item":   {func(r *pb.Recipe) { r.Stages[1].Doses[0].ItemCode = "wled" }, codes.NotFound, "recipe.stages[1].doses[0].item_code", "no item \"wled\""},
		"a blank":        {func(r *pb.Recipe) { r.Stages[1].Doses[0].ItemCode = "tunic" }, codes.InvalidArgument, "recipe.stages[1].doses[0].item_code", "is a blank"},
		"basis":          {func(r *pb.Recipe) { r.Stages[0].Doses[0].Basis = "spoons" }, codes.InvalidArgument, "recipe.stages[0].doses[0].basis", "percent_wof"},
		"value":          {func(r *pb.Recipe) { r.Stages[0].Doses[0].Value = "NaN" }, codes.InvalidArgument, "recipe.stages[0].doses[0].value", "not a number"},
		"nothing":        {func(r *pb.Recipe) { r.Stages[0].Doses[0].Value = "0" }, codes.InvalidArgument, "recipe.stages[0].doses[0].value", "more than 0"},
		"too much":       {func(r *pb.Recipe) { r.Stages[0].Doses[0].Value = "201" }, codes.InvalidArgument, "recipe.stages[0].doses[0].value", "200 %"},
	} {
		r := weldOlive()
		c.how(r)
		_, err := write(h, r)
		t.Log(name)
		saysNo(t, err, c.code, c.field, c.says)
	}
	h.Item(&pb.Item{Code: "chrome", Kind: "mordant", Substance: "K2Cr2O7"})
	r := weldOlive()
	r.Stages[0].Doses[0].ItemCode = "chrome"
	_, err := write(h, r)
	saysNo(t, err, codes.FailedPrecondition, "recipe.stages[0].doses[0]", "old records")
	for _, req := range []*pb.GetRecipeRequest{{Code: "nobodys"}, {Code: "weld-olive", Version: 1}} {
		_, err := h.Recipes.GetRecipe(h.Ctx, req)
		saysNo(t, err, codes.NotFound, "recipe", "there is no recipe")
	}
	_, err = h.Recipes.GetRecipe(h.Ctx, &pb.GetRecipeRequest{})
	saysNo(t, err, codes.InvalidArgument, "code", "is needed")
	_, err = h.Recipes.GetRecipe(h.Ctx, &pb.GetRecipeRequest{Code: "weld-olive", Version: -1})
	saysNo(t, err, codes.InvalidArgument, "version", "count from 1")
	bench := h.As("bench-1", "bench")
	_, err = h.Recipes.CreateRecipeVersion(bench, &pb.CreateRecipeVersionRequest{RequestId: h.ID(), Recipe: weldOlive()})
	h.Refused(err, codes.PermissionDenied)
}

// Of many who write the next version at once, each either gets a number of its
// own or is told that the recipe moved on; no version is written over.
func TestRecipesWrittenAtOnce(t *testing.T) {
	t.Parallel()
	h := oliveShelf(t)
	fine(write(h, weldOlive()))(h)
	var (
		wg      sync.WaitGroup
		mu      sync.Mutex
		written = map[int32]bool{1: true}
	)
	for range 8 {
		wg.Go(func() {
			resp, err := write(h, weldOlive())
			mu.Lock()
			defer mu.Unlock()
			switch n := resp.GetRecipe().GetVersion(); {
			case err != nil:
				saysNo(t, err, codes.Aborted, "", "wrote the next version of that recipe a moment ago")
			case written[n]:
				t.Errorf("version %d was written twice", n)
			default:
				written[n] = true
			}
		})
	}
	wg.Wait()
	newest := fine(h.Recipes.GetRecipe(h.Ctx, &pb.GetRecipeRequest{Code: "weld-olive"}))(h)
	if int(newest.GetRecipe().GetVersion()) != len(written) {
		t.Errorf("version %d after %d were written", newest.GetRecipe().GetVersion(), len(written))
	}
}

func TestStandardsAndColourways(t *testing.T) {
	t.Parallel()
	h := oliveShelf(t)
	create := func(how func(*pb.ShadeStandard)) (*pb.ShadeStandard, error) {
		s := olive()
		how(s)
		resp, err := h.Recipes.CreateShadeStandard(h.Ctx, &pb.CreateShadeStandardRequest{RequestId: h.ID(), Standard: s})
		return resp.GetStandard(), err
	}
	got := fine(create(func(*pb.ShadeStandard) {}))(h)
	want := olive()
	want.Name, want.Colour.Illuminant, want.Colour.Observer = "choir-olive", "D65", 10
	if diff := cmp.Diff(want, got, protocmp.Transform()); diff != "" {
		t.Error(diff)
	}
	today := fine(h.Studio.GetStudio(h.Ctx, &pb.GetStudioRequest{}))(h).GetStudio().GetToday()
	plain := fine(create(func(s *pb.ShadeStandard) {
		s.Code, s.SetTolerance, s.DatedOn, s.RenewOn = "plain", "", "", ""
		s.Colour.Illuminant, s.Colour.Observer = "f11", 2
	}))(h)
	if plain.GetSetTolerance() != "1.5" || plain.GetDatedOn() != today || plain.GetRenewOn() != "" || plain.GetColour().GetIlluminant() != "F11" || plain.GetColour().GetObserver() != 2 {
		t.Errorf("%v", plain)
	}
	day, err := time.Parse(time.DateOnly, today)
	if err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		how         func(*pb.ShadeStandard)
		code        codes.Code
		field, says string
	}{
		"again":         {func(*pb.ShadeStandard) {}, codes.AlreadyExists, "standard.code", "already"},
		"code":          {func(s *pb.ShadeStandard) { s.Code = "Olive!" }, codes.InvalidArgument, "standard.code", "is no code"},
		"no colour":     {func(s *pb.ShadeStandard) { s.Colour = nil }, codes.InvalidArgument, "standard.colour", "is needed"},
		"lightness":     {func(s *pb.ShadeStandard) { s.Colour.L = 101 }, codes.InvalidArgument, "standard.colour.l", "0 to 100"},
		"illuminant":    {func(s *pb.ShadeStandard) { s.Colour.Illuminant = "candle" }, codes.InvalidArgument, "standard.colour.illuminant", "D65, A, D50, F2, F11"},
		"observer":      {func(s *pb.ShadeStandard) { s.Colour.Observer = 5 }, codes.InvalidArgument, "standard.colour.observer", "2 or 10"},
		"no tolerance":  {func(s *pb.ShadeStandard) { s.Tolerance = "" }, codes.InvalidArgument, "standard.tolerance", "is needed"},
		"tolerance 0":   {func(s *pb.ShadeStandard) { s.Tolerance = "0" }, codes.InvalidArgument, "standard.tolerance", "above 0"},
		"fine":          {func(s *pb.ShadeStandard) { s.Tolerance = "1.0005" }, codes.InvalidArgument, "standard.tolerance", "3 decimals"},
		"set tolerance": {func(s *pb.ShadeStandard) { s.SetTolerance = "-1" }, codes.InvalidArgument, "standard.set_tolerance", "above 0"},
		"tomorrow":      {func(s *pb.ShadeStandard) { s.DatedOn, s.RenewOn = day.AddDate(0, 0, 2).Format(time.DateOnly), "" }, codes.InvalidArgument, "standard.dated_on", "in the future"},
		"no day":        {func(s *pb.ShadeStandard) { s.DatedOn = "10 January" }, codes.InvalidArgument, "standard.dated_on", "not a day"},
		"renewed first": {func(s *pb.ShadeStandard) { s.RenewOn = s.DatedOn }, codes.InvalidArgument, "standard.renew_on", "not after"},
	} {
		_, err := create(c.how)
		t.Log(name)
		saysNo(t, err, c.code, c.field, c.says)
	}
	listed := fine(h.Recipes.ListShadeStandards(h.Ctx, &pb.ListShadeStandardsRequest{}))(h)
	if len(listed.GetStandards()) != 2 || !proto.Equal(listed.GetStandards()[0], got) || !proto.Equal(listed.GetStandards()[1], plain) {
		t.Errorf("%v", listed)
	}

	fine(write(h, weldOlive()))(h)
	join := func(c *pb.Colourway) (*pb.Colourway, error) {
		resp, err := h.Recipes.CreateColourway(h.Ctx, &pb.CreateColourwayRequest{RequestId: h.ID(), Colourway: c})
		return resp.GetColourway(), err
	}
	way := fine(join(&pb.Colourway{Code: "olive-silk", StandardCode: "choir-olive", RecipeCode: "weld-olive"}))(h)
	if diff := cmp.Diff(&pb.Colourway{Code: "olive-silk", Name: "olive-silk", StandardCode: "choir-olive", RecipeCode: "weld-olive"}, way, protocmp.Transform()); diff != "" {
		t.Error(diff)
	}
	for _, c := range []struct {
		way         *pb.Colourway
		code        codes.Code
		field, says string
	}{
		{way, codes.AlreadyExists, "colourway.code", "already"},
		{&pb.Colourway{Code: "B!", StandardCode: "choir-olive", RecipeCode: "weld-olive"}, codes.InvalidArgument, "colourway.code", "is no code"},
		{&pb.Colourway{Code: "b", RecipeCode: "weld-olive"}, codes.InvalidArgument, "colourway.standard_code", "is needed"},
		{&pb.Colourway{Code: "b", StandardCode: "choir-olive"}, codes.InvalidArgument, "colourway.recipe_code", "is needed"},
		{&pb.Colourway{Code: "b", StandardCode: "pink", RecipeCode: "weld-olive"}, codes.NotFound, "colourway.standard_code", "no standard \"pink\""},
		{&pb.Colourway{Code: "b", StandardCode: "choir-olive", RecipeCode: "madder"}, codes.NotFound, "colourway.recipe_code", "no recipe \"madder\""},
	} {
		_, err := join(c.way)
		saysNo(t, err, c.code, c.field, c.says)
	}
	ways := fine(h.Recipes.ListColourways(h.Ctx, &pb.ListColourwaysRequest{}))(h)
	if len(ways.GetColourways()) != 1 || !proto.Equal(ways.GetColourways()[0], way) {
		t.Errorf("%v", ways)
	}
}

func TestEveryKindOfStageIsListed(t *testing.T) {
	t.Parallel()
	h := apitest.New(t)
	listed := fine(h.Recipes.ListStageKinds(h.Ctx, &pb.ListStageKindsRequest{}))(h)
	if len(listed.GetKinds()) != 15 || listed.GetKinds()[0].GetKey() != "scour" {
		t.Errorf("%v", listed)
	}
	var r pb.Recipe // a recipe of every kind there is: none that is listed is refused
	r.Code, r.Fibre, r.LiquorRatio = "everything", "linen", "30"
	for _, k := range listed.GetKinds() {
		if k.GetName() == "" || k.GetWhat() == "" {
			t.Errorf("%v says nothing", k)
		}
		r.Stages = append(r.Stages, &pb.RecipeStage{Kind: k.GetKey()})
	}
	fine(write(h, &r))(h)
}
