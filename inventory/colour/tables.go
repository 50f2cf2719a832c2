package colour

import (
	_ "embed" // the tables are a file that a person can read
	"encoding/csv"
	"fmt"
	"strconv"
	"strings"
	"sync"
)

// The tables run from 380 to 780 nm by 5 nm. See cie/README.md for their source
// and licence.
//
//go:embed cie/cie_tables_5nm.csv
var cieTables string

const (
	firstNM = 380
	lastNM  = 780
	tableNM = 5
	bands   = (lastNM-firstNM)/tableNM + 1
)

// weights is, for one View, what each band adds to X, Y and Z of a perfect
// white: illuminant × observer, scaled so that the Y sum to 100 (CIE 015).
type weights [bands]XYZ

// allWeights is read from the tables at first use and kept.
var allWeights = sync.OnceValue(func() *[len(illuminants)][len(observers)]weights {
	all := new([len(illuminants)][len(observers)]weights)
	columns := tableColumns(cieTables)
	for i, power := range illuminants {
		for o, eye := range observers {
			all[i][o] = weigh(columns[power], columns["x"+eye.columns], columns["y"+eye.columns], columns["z"+eye.columns])
		}
	}
	return all
})

func weigh(power, x, y, z *[bands]float64) (w weights) {
	sum := 0.0
	for i, p := range power {
		sum += p * y[i]
	}
	for i, p := range power {
		k := 100 * p / sum
		w[i] = XYZ{k * x[i], k * y[i], k * z[i]}
	}
	return w
}

// tableColumns reads a table whose first line names its columns. The text is
// part of the program, so a fault in it is a panic that every test would meet.
func tableColumns(text string) map[string]*[bands]float64 {
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil || len(rows) != bands+1 {
		panic(fmt.Sprintf("the CIE tables have %d rows, want %d: %v", len(rows), bands+1, err))
	}
	columns := make(map[string]*[bands]float64, len(rows[0]))
	for c, name := range rows[0] {
		column := new([bands]float64)
		for r, row := range rows[1:] {
			if column[r], err = strconv.ParseFloat(row[c], 64); err != nil {
				panic(fmt.Sprintf("the CIE tables, row %d, column %s: %v", r+1, name, err))
			}
		}
		columns[name] = column
	}
	return columns
}

// White returns the tristimulus values of a perfect white in this view: Y is
// 100.
func (v View) White() XYZ {
	var ones [bands]float64
	for i := range ones {
		ones[i] = 1
	}
	return v.sum(&ones)
}

// sum adds up what a surface with these reflectances, one for each band, sends
// to the eye.
func (v View) sum(reflectance *[bands]float64) (c XYZ) {
	for i, w := range allWeights()[v.Illuminant][v.Observer] {
		r := reflectance[i]
		c.X += r * w.X
		c.Y += r * w.Y
		c.Z += r * w.Z
	}
	return c
}
