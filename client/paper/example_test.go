package paper_test

import (
	"os"

	"dyelot/client/paper"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

// The worked number of the package's own page: 15 % WOF on 1 080 g of air-dry
// silk is 162 g of alum, and the two lots that share the bath get it by fibre
// mass.
func Example() {
	sheet := paper.New(os.Stdout, paper.Options{})
	sheet.Lot(&dyelotv1.GetLotResponse{
		Lot: &dyelotv1.Lot{
			Code: "L1", ColourwayCode: "harbour-gold", State: "planned", Fibre: "silk", RecipeCode: "gold-on-silk", RecipeVersion: 2,
			FibreMass: grams("541"), GarmentMass: grams("523"), WitnessMass: grams("18"), BathVolume: &dyelotv1.Amount{Value: "21640", Unit: "mL"},
		},
		Stages: []*dyelotv1.PlannedStage{{
			Position: 2, Kind: "mordant", Shared: true, LotCodes: []string{"L1", "L2"}, Celsius: 55, Minutes: 60,
			FibreMass: grams("1080"), BathVolume: &dyelotv1.Amount{Value: "43200", Unit: "mL"},
			Doses: []*dyelotv1.PlannedDose{{ItemCode: "alum", Asked: "15 % WOF", Amount: grams("162"), Picks: []*dyelotv1.Taken{{ParcelCode: "P9", Amount: grams("162")}}}},
			Shares: []*dyelotv1.LotShare{
				{LotCode: "L1", ItemCode: "alum", Amount: grams("81.2")}, {LotCode: "L2", ItemCode: "alum", Amount: grams("80.8")},
			},
		}},
	})
	_ = sheet.Close()
	// Output:
	// Lot L1, harbour-gold: planned
	// silk; recipe gold-on-silk version 2
	// 541 g air-dry: 523 g of garments and 18 g of witness cloth; bath 21.64 L
	//
	// 2 mordant, one bath for L1, L2
	//   43.2 L for 1080 g air-dry; 55 °C; 60 min
	//   alum: 15 % WOF = 162 g, from P9
	//     by fibre mass 81.2 g to L1, 80.8 g to L2
	//   not done yet
}

func grams(value string) *dyelotv1.Amount { return &dyelotv1.Amount{Value: value, Unit: "g"} }
