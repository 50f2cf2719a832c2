package depth_test

import (
	"fmt"

	"dyelot/inventory/depth"
)

// The worked number of the package: dips that bend, and a harvest of 90 %.
func Example() {
	reference := []depth.Point{{1, 0.9091}, {2, 1.6667}, {4, 2.8571}}
	harvest := []depth.Point{{1, 0.8257}, {2, 1.5254}, {4, 2.6471}}
	s, err := depth.Compare(harvest, reference)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.1f %% at K/S %s; the ratio at %s %% WOF would have said %.0f %%\n", s.Percent, depth.Number(s.AtKS), depth.Dose(s.FirstGuessWOF), s.FirstGuess)
	fmt.Printf("648 g of the reference are %.0f g of the harvest\n", depth.AtStrength(648, s.Percent))
	// Output:
	// 90.0 % at K/S 1.78; the ratio at 1.0 % WOF would have said 91 %
	// 648 g of the reference are 720 g of the harvest
}

// Six swatches of weld on alum'd wool, and the dose for a depth between them.
func ExampleFit_Dose() {
	f, err := depth.FitSwatches([]depth.Point{{20, 3.3}, {30, 4.3}, {40, 5.1}, {50, 5.5}, {65, 6.3}, {80, 6.6}})
	if err != nil {
		fmt.Println(err)
		return
	}
	p, err := f.Dose(5.7, 0.95)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(f.Chosen.Words())
	fmt.Printf("%s %% WOF (%s to %s)\n", depth.Dose(p.WOF), depth.Dose(p.Low), depth.Dose(p.High))
	// Output:
	// K/S = 9.97 · w/(39.5 + w)
	// 53 % WOF (47 to 59)
}
