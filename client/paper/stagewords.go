package paper

import (
	"fmt"
	"strings"

	"dyelot/inventory/recipe"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

// StageWords writes a stage in the small words of `dyelot recipe add --stage`,
// so that what is shown can be typed back.
func StageWords(st *dyelotv1.RecipeStage) string {
	words := []string{st.GetKind()}
	if st.GetShared() {
		words = append(words, "shared")
	}
	if st.GetCelsius() != 0 {
		words = append(words, fmt.Sprintf("%dC", st.GetCelsius()))
	}
	if st.GetMinutes() != 0 {
		words = append(words, fmt.Sprintf("%dmin", st.GetMinutes()))
	}
	for _, d := range st.GetDoses() {
		words = append(words, d.GetItemCode()+"="+DoseWords(d))
	}
	if r := st.GetLiquorRatio(); r != "" {
		words = append(words, "ratio="+r)
	}
	if low, high := st.GetPhLow(), st.GetPhHigh(); low != "" || high != "" {
		words = append(words, "pH="+low+"-"+high)
	}
	if st.GetNote() != "" {
		words = append(words, "# "+st.GetNote())
	}
	return strings.Join(words, " ")
}

// doseUnits are what stands behind a dose's number, by its basis.
var doseUnits = map[recipe.Basis]string{recipe.OnFibre: "%", recipe.InBath: "g/L", recipe.OfLiquor: "mL/kg", recipe.Counted: "pc/kg"}

// DoseWords writes a dose as it is typed: "15%", "1g/L".
func DoseWords(d *dyelotv1.Dose) string { return d.GetValue() + doseUnits[recipe.Basis(d.GetBasis())] }
