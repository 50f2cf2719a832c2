package api_test

import (
	"math/big"

	pb "dyelot/proto/dyelot/v1"
	"dyelot/server/api/apitest"
)

// paidOnce: whatever happened on the day, each lot's lines, and what became of its
// garments, sum to its total, and its reasons to its difference; and over all
// lots of all runs both rules of exhaust baths lay out the same amounts and the
// same money.
func (d *day) paidOnce() {
	costs := pb.NewCostServiceClient(d.Conn)
	if len(apitest.Must(d.House, first(costs.GetRates(d.Ctx, &pb.GetRatesRequest{})), nil).GetRates()) == 0 {
		apitest.Must(d.House, first(costs.SetRates(d.Ctx, &pb.SetRatesRequest{RequestId: d.ID(), FromOn: "2000-01-01", Rates: []*pb.CostRate{
			euro("labour", "", "23.77"), euro("pot-day", "", "5.31"), {Kind: "normal-loss", Percent: "7"}}})), nil)
	}
	sums := map[string]map[string]*big.Rat{}
	for _, rule := range []string{"first-use", "by-fibre"} {
		sums[rule] = map[string]*big.Rat{}
		for _, run := range d.runs {
			for _, l := range apitest.Must(d.House, first(costs.GetRunCost(d.Ctx, &pb.GetRunCostRequest{RunCode: run, ExhaustRule: rule})), nil).GetLots() {
				d.lotSums(l)
				for _, line := range l.GetLines() {
					addRat(sums[rule], line.GetKind()+" "+line.GetKey(), line.GetQuantity().GetValue())
					addRat(sums[rule], line.GetKind()+" "+line.GetKey()+" money", line.GetMoney().GetValue())
				}
			}
		}
	}
	for key, sum := range sums["first-use"] {
		if other := sums["by-fibre"][key]; other == nil || other.Cmp(sum) != 0 {
			d.wrong("%s: %s by the first use and %v by fibre mass", key, sum.FloatString(6), other)
		}
	}
}

func addRat(into map[string]*big.Rat, key, value string) {
	if into[key] == nil {
		into[key] = new(big.Rat)
	}
	if n, ok := new(big.Rat).SetString(value); ok {
		into[key].Add(into[key], n)
	}
}

func (d *day) lotSums(l *pb.LotCost) {
	got := map[string]*big.Rat{}
	for _, line := range l.GetLines() {
		addRat(got, "its lines", line.GetMoney().GetValue())
	}
	for _, m := range []*pb.Money{l.GetGoodMoney(), l.GetImperfectMoney(), l.GetAgainMoney(), l.GetAbnormalLoss()} {
		addRat(got, "what became of it", m.GetValue())
	}
	// A lot without a garment has none that bears anything.
	if l.GetGood()+l.GetImperfect()+l.GetAgain()+l.GetLost() == 0 {
		delete(got, "what became of it")
	}
	total, _ := new(big.Rat).SetString(l.GetTotal().GetValue())
	for what, sum := range got {
		if sum.Cmp(total) != 0 {
			d.wrong("%s of lot %s come to %s, and its total is %s", what, l.GetLotCode(), sum.FloatString(6), total.FloatString(6))
		}
	}
	if c := l.GetComparison(); c != nil {
		reasons := map[string]*big.Rat{}
		addRat(reasons, "all", "0")
		for _, r := range c.GetReasons() {
			addRat(reasons, "all", r.GetMoney().GetValue())
		}
		if difference, _ := new(big.Rat).SetString(c.GetDifference().GetValue()); reasons["all"].Cmp(difference) != 0 {
			d.wrong("the reasons of lot %s come to %s, and the difference is %s", l.GetLotCode(), reasons["all"].FloatString(6), difference.FloatString(6))
		}
	}
}
