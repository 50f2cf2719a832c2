package lot_test

import (
	"fmt"

	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
)

// The package's worked number: ten silk tunics in two pots, and one brew of
// weld for both.
func Example() {
	lots := []lot.BathLot{}
	shares, err := lot.Split(tunics, g(18), []lot.Pot{potA, potB}, oneToForty)
	for i, at := 0, 0; i < len(shares); i++ {
		mass := quantity.Sum(tunics[at : at+shares[i].Garments]...).Add(g(18))
		lots = append(lots, lot.BathLot{LotID: int64(i), Fibre: mass})
		at += shares[i].Garments
	}
	weld := lot.Divide(g(720), lots, g(1))
	fmt.Println(potA.Takes(oneToForty), err)
	fmt.Println(lots[0].Fibre, "and", lots[1].Fibre)
	fmt.Println(weld[0], "and", weld[1])
	// Output:
	// 800 g <nil>
	// 541 g and 539 g
	// 361 g and 359 g
}
