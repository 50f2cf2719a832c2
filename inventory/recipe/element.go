package recipe

import "strings"

// elementKind is what a dyer needs to know of an element: whether it is the
// part of a salt that ties dye to fibre.
type elementKind uint8

const (
	nonmetal  elementKind = iota // and the half-metals
	companion                    // groups 1 and 2: they come along in alum and soda, and mordant nothing
	metal                        // everything else: aluminium, iron, copper, tin, chromium and so on
)

type element struct {
	name   string
	weight int64 // 10^-4 g/mol
	kind   elementKind
}

// Abridged standard atomic weights of the 2021 table of the IUPAC Commission
// on Isotopic Abundances and Atomic Weights (Prohaska et al., Pure and Applied
// Chemistry 94 (2022) 573–600), in g/mol, for all elements that have one.
const atomicWeights = `
H hydrogen 1.0080 -, He helium 4.0026 -, Li lithium 6.94 +, Be beryllium 9.0122 +, B boron 10.81 -, C carbon 12.011 -,
N nitrogen 14.007 -, O oxygen 15.999 -, F fluorine 18.998 -, Ne neon 20.180 -, Na sodium 22.990 +, Mg magnesium 24.305 +,
Al aluminium 26.982 m, Si silicon 28.085 -, P phosphorus 30.974 -, S sulfur 32.06 -, Cl chlorine 35.45 -, Ar argon 39.95 -,
K potassium 39.098 +, Ca calcium 40.078 +, Sc scandium 44.956 m, Ti titanium 47.867 m, V vanadium 50.942 m, Cr chromium 51.996 m,
Mn manganese 54.938 m, Fe iron 55.845 m, Co cobalt 58.933 m, Ni nickel 58.693 m, Cu copper 63.546 m, Zn zinc 65.38 m,
Ga gallium 69.723 m, Ge germanium 72.630 -, As arsenic 74.922 -, Se selenium 78.971 -, Br bromine 79.904 -, Kr krypton 83.798 -,
Rb rubidium 85.468 +, Sr strontium 87.62 +, Y yttrium 88.906 m, Zr zirconium 91.224 m, Nb niobium 92.906 m, Mo molybdenum 95.95 m,
Ru ruthenium 101.07 m, Rh rhodium 102.91 m, Pd palladium 106.42 m, Ag silver 107.87 m, Cd cadmium 112.41 m, In indium 114.82 m,
Sn tin 118.71 m, Sb antimony 121.76 -, Te tellurium 127.60 -, I iodine 126.90 -, Xe xenon 131.29 -, Cs caesium 132.91 +,
Ba barium 137.33 +, La lanthanum 138.91 m, Ce cerium 140.12 m, Pr praseodymium 140.91 m, Nd neodymium 144.24 m, Sm samarium 150.36 m,
Eu europium 151.96 m, Gd gadolinium 157.25 m, Tb terbium 158.93 m, Dy dysprosium 162.50 m, Ho holmium 164.93 m, Er erbium 167.26 m,
Tm thulium 168.93 m, Yb ytterbium 173.05 m, Lu lutetium 174.97 m, Hf hafnium 178.49 m, Ta tantalum 180.95 m, W tungsten 183.84 m,
Re rhenium 186.21 m, Os osmium 190.23 m, Ir iridium 192.22 m, Pt platinum 195.08 m, Au gold 196.97 m, Hg mercury 200.59 m,
Tl thallium 204.38 m, Pb lead 207.2 m, Bi bismuth 208.98 m, Th thorium 232.04 m, Pa protactinium 231.04 m, U uranium 238.03 m`

var elements = readElements(atomicWeights)

var elementKinds = map[string]elementKind{"-": nonmetal, "+": companion, "m": metal}

// readElements turns the printed table into one that is looked up. The table
// is a constant and a test reads every row, so it has no error to return.
func readElements(table string) map[string]element {
	read := map[string]element{}
	for row := range strings.SplitSeq(table, ",") {
		f := strings.Fields(row) // symbol, name, weight, kind
		whole, decimals, _ := strings.Cut(f[2], ".")
		weight := int64(0)
		for _, digit := range whole + (decimals + "0000")[:4] {
			weight = weight*10 + int64(digit-'0')
		}
		read[f[0]] = element{f[1], weight, elementKinds[f[3]]}
	}
	return read
}
