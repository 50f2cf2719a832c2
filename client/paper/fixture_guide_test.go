package paper

import dyelotv1 "dyelot/proto/dyelot/v1"

func init() {
	sheets["pot-mordant"] = func(s *Sheet) { s.AtThePot(card(), card().GetStages()[1], "22 59 13 00") }
	sheets["pot-iron"] = func(s *Sheet) { s.AtThePot(card(), card().GetStages()[len(card().GetStages())-1], "") }
	sheets["pot-waiting"] = func(s *Sheet) {
		s.Waiting([]*dyelotv1.Lot{{Code: "L1", ColourwayCode: "harbour-gold", VesselCode: "pot-40", State: "in-work"}, {Code: "L2", ColourwayCode: "olive", VesselCode: "pot-30", State: "planned"}})
		s.AllDone(&dyelotv1.Lot{Code: "L3"})
	}
}
