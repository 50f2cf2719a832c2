package client

import (
	"fmt"

	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
)

// The worked number of the package's own page: what is typed as 15% is % WOF,
// and takes 162 g of alum for 1 080 g of air-dry silk.
func Example() {
	stage, err := stageOf("mordant shared 55C 60min alum=15%")
	if err != nil {
		fmt.Println(err)
		return
	}
	alum := stage.GetDoses()[0]
	ask, err := recipe.ParseAsk(alum.GetBasis(), alum.GetValue())
	if err != nil {
		fmt.Println(err)
		return
	}
	dose, err := ask.For(recipe.Pot{Dry: quantity.Grams(1080)}, recipe.Scale{})
	fmt.Println(stage.GetCelsius(), "°C,", stage.GetMinutes(), "min,", ask, "=", dose.Take, err)
	// Output: 55 °C, 60 min, 15 % WOF = 162 g <nil>
}
