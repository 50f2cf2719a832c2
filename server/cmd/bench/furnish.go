package main

import (
	"fmt"
	"strconv"

	pb "dyelot/proto/dyelot/v1"
)

// runsPlanned is enough for every round of both sides.
const runsPlanned = 3000

// furnish sets a studio up with stages that wait to be recorded, each with one
// dose of its own from one of eight jars, through the service itself.
func (s *service) furnish() error {
	studio, recipes := pb.NewStudioServiceClient(s.conn), pb.NewRecipeServiceClient(s.conn)
	if _, err := studio.AddVessel(s.ctx, &pb.AddVesselRequest{RequestId: s.id(), Vessel: &pb.Vessel{Code: "pot-40", Volume: &pb.Amount{Value: "40", Unit: "L"}, Uses: []string{"dye"}}}); err != nil {
		return err
	}
	if _, err := studio.AddVessel(s.ctx, &pb.AddVesselRequest{RequestId: s.id(), Vessel: &pb.Vessel{Code: "basin", Volume: &pb.Amount{Value: "60", Unit: "L"}, Uses: []string{"rinse"}}}); err != nil {
		return err
	}
	items := []*pb.Item{
		{Code: "soap", Kind: "auxiliary"},
		{Code: "scarf", Kind: "blank", Style: "scarf", Size: "one", Fibres: []*pb.FibrePart{{Fibre: "wool", Percent: "100"}}, PieceMass: &pb.Amount{Value: "100", Unit: "g"}},
	}
	for _, it := range items {
		if _, err := s.stock.CreateItem(s.ctx, &pb.CreateItemRequest{RequestId: s.id(), Item: it}); err != nil {
			return err
		}
	}
	var jars []string
	for range callers {
		jar, err := s.receive("soap", &pb.Amount{Value: "100", Unit: "kg"})
		if err != nil {
			return err
		}
		jars = append(jars, jar)
	}
	blanks, err := s.receive("scarf", &pb.Amount{Value: strconv.Itoa(2 * runsPlanned), Unit: "pc"})
	if err != nil {
		return err
	}
	if err := s.writeRecipe(recipes); err != nil {
		return err
	}
	lots := make([]task, runsPlanned)
	for i := range lots {
		if lots[i], err = s.planOne(blanks, jars[i%len(jars)]); err != nil {
			return fmt.Errorf("plan run %d: %w", i, err)
		}
	}
	for position := range int32(stagesARun) { // lot by lot at each stage, so that callers meet in the jars and not in one lot
		for _, l := range lots {
			s.tasks <- task{l.lot, position + 1, l.parcel}
		}
	}
	_, err = s.db.ExecContext(s.ctx, "vacuum analyze")
	return err
}

func (s *service) receive(item string, a *pb.Amount) (string, error) {
	resp, err := s.stock.ReceiveDelivery(s.ctx, &pb.ReceiveDeliveryRequest{RequestId: s.id(), ItemCode: item, Amount: a})
	return resp.GetParcel().GetCode(), err
}

func (s *service) writeRecipe(c pb.RecipeServiceClient) error {
	r := &pb.Recipe{Code: "rinses", Fibre: "wool", LiquorRatio: "20"}
	for i := range stagesARun {
		r.Stages = append(r.Stages, &pb.RecipeStage{Position: int32(i + 1), Kind: "rinse", Doses: []*pb.Dose{{ItemCode: "soap", Basis: "percent_wof", Value: "1"}}})
	}
	if _, err := c.CreateRecipeVersion(s.ctx, &pb.CreateRecipeVersionRequest{RequestId: s.id(), Recipe: r}); err != nil {
		return err
	}
	if _, err := c.CreateShadeStandard(s.ctx, &pb.CreateShadeStandardRequest{RequestId: s.id(), Standard: &pb.ShadeStandard{Code: "plain", Colour: &pb.Lab{L: 80, A: 0, B: 5}, Tolerance: "2"}}); err != nil {
		return err
	}
	_, err := c.CreateColourway(s.ctx, &pb.CreateColourwayRequest{RequestId: s.id(), Colourway: &pb.Colourway{Code: "plain", StandardCode: "plain", RecipeCode: "rinses"}})
	return err
}

// planOne plans a run of one lot and issues it. 100 g at 1 % take 1 g a stage.
func (s *service) planOne(blanks, jar string) (task, error) {
	resp, err := s.runs.PlanRun(s.ctx, &pb.PlanRunRequest{RequestId: s.id(), ColourwayCode: "plain", Parcels: map[string]string{"soap": jar},
		Loads: []*pb.Load{{VesselCode: "pot-40", Blanks: []*pb.Blanks{{ParcelCode: blanks, Count: 1}}}}})
	if err != nil {
		return task{}, err
	}
	t := task{lot: resp.GetRun().GetLots()[0].GetCode(), parcel: jar}
	_, err = s.runs.IssueLot(s.ctx, &pb.IssueLotRequest{RequestId: s.id(), LotCode: t.lot})
	return t, err
}
