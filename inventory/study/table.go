package study

import (
	"embed"
	"encoding/csv"
	"fmt"
	"slices"
	"strings"

	"dyelot/inventory/fastness"
	"dyelot/inventory/fault"
)

// The tables with their licence beside them.
//
//go:embed published/*.csv published/README.md
var published embed.FS

const expectOnly = "a published table says what to expect at most, and is never a lot's grade"

// table is one study and how its file is read.
type table struct {
	Study
	file    string
	columns []column
	row     func(cells map[string]string) Result // all but the cells' own
	decimal bool                                 // grades are printed as decimals
}

type column struct{ header, component string }

var tables = []table{
	{
		Study: Study{
			Key: "nayak2014", Citation: "L. Nayak, J. Textiles 2014, art. 593782, tables 5 and 6", Licence: "CC BY", Dye: "Rheum emodi", Substrate: "jute unions, printed",
			Caveats: []string{
				"cells arrived run together and were split where only one split is possible",
				"the order of the wash and rub columns could not be seen",
				expectOnly,
			},
		},
		file:    "nayak2014_rheum_emodi_fastness.csv",
		columns: []column{{"wash_1", "wash-1"}, {"wash_2", "wash-2"}, {"wash_3", "wash-3"}, {"rub_1", "rub-1"}, {"rub_2", "rub-2"}, {"light", "light"}},
		row: func(c map[string]string) Result {
			return Result{Table: c["table"], Sample: c["sample"], Mordant: c["mordant"], Fibre: c["fabric"], Conditions: "thickener " + c["thickener"]}
		},
	},
	{
		Study: Study{
			Key: "liriope2014", Citation: "J. Textiles 2014, art. 587497, table 9", Licence: "CC BY", Dye: "an anthocyanin", Substrate: "silk",
			Caveats: []string{
				"cells arrived run together and were split where only one split is possible",
				"half grades are printed as decimals; that the mordant is tin is inferred",
				"the table in hand does not say on which scale light was graded, nor whether perspiration is change or staining",
				expectOnly,
			},
		},
		file: "liriope2014_silk_anthocyanin_fastness.csv", decimal: true,
		columns: []column{{"wash_colour_change", "wash-change"}, {"wash_staining", "wash-staining"}, {"perspiration", "perspiration"}, {"crock_dry", "rub-dry"}, {"crock_wet", "rub-wet"}, {"light", "light"}},
		row: func(c map[string]string) Result {
			when, metal, mordanted := strings.Cut(strings.TrimSuffix(c["mordanting"], ")"), " (")
			conditions := "bath pH " + strings.TrimSuffix(c["bath_pH"], ".0")
			if !mordanted {
				return Result{Table: "9", Mordant: when, Fibre: "silk", Conditions: conditions}
			}
			return Result{Table: "9", Mordant: metal, Fibre: "silk", Conditions: conditions + ", " + when + "-mordanted (the metal is inferred)"}
		},
	},
	{
		Study: Study{
			Key: "cassia2017", Citation: "Adv. Mater. Sci. Eng. 2017, art. 7516409, table 3", Licence: "CC BY", Dye: "a dye that the table in hand does not name", Substrate: "leather",
			Caveats: []string{
				"leather is not cloth",
				"in the third row the printed reflectance and the printed K/S contradict each other",
				expectOnly,
			},
		},
		file:    "cassia2017_leather_colour.csv",
		columns: []column{{"R400_pct", "reflectance"}, {"KS400_printed", "ks"}, {"KS400_recomputed", "ks-recomputed"}, {"L", "l"}, {"a", "a"}, {"b", "b"}},
		row: func(c map[string]string) Result {
			r := Result{Table: "3", Mordant: c["method"], Fibre: "leather", Note: c["note"]}
			if c["method"] == "no mordant" {
				r.Mordant = noMordant
			}
			for _, when := range []string{"simultaneous ", "pre "} {
				if agent, ok := strings.CutPrefix(c["method"], when); ok {
					r.Mordant, r.Conditions = agent, strings.TrimSpace(when)
				}
			}
			return r
		},
	},
}

// Studies lists every study that is kept here.
func Studies() []Study {
	var all []Study
	for _, t := range tables {
		s := t.Study
		s.Caveats = slices.Clone(s.Caveats)
		all = append(all, s)
	}
	return all
}

// Read gives a study by its key, with every cell of its table. An unknown key is
// an INVALID_FIELD fault on "keys" that lists the known.
func Read(key string) (Study, []Result, error) {
	var known []string
	for _, t := range tables {
		if t.Key == key {
			results, err := t.read()
			return t.Study, results, err
		}
		known = append(known, t.Key)
	}
	return Study{}, nil, fault.BadField("keys", "there is no study %.40q; the studies are %s", key, strings.Join(known, ", "))
}

func (t table) read() ([]Result, error) {
	file, err := published.Open("published/" + t.file)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		return nil, fmt.Errorf("%s: %w", t.file, err)
	}
	var all []Result
	for _, row := range rows[1:] {
		cells := map[string]string{}
		for i, header := range rows[0] {
			cells[header] = row[i]
		}
		for _, c := range t.columns {
			r, err := t.cell(cells, c)
			if err != nil {
				return nil, err
			}
			r.Line = len(all) + 1
			all = append(all, r)
		}
	}
	return all, nil
}

func (t table) cell(cells map[string]string, c column) (Result, error) {
	if _, there := cells[c.header]; !there {
		return Result{}, fmt.Errorf("%s has no column %s", t.file, c.header)
	}
	r, component := t.row(cells), componentOf(c.component)
	r.Study, r.Component, r.Printed, r.Scale = t.Key, c.component, cells[c.header], component.Scale
	m := MordantOf(r.Mordant)
	r.Salt, r.SaltName, r.Metal, r.Fibres = m.Salt, m.Name, m.Metal, FibreWords(r.Fibre)
	if status := cells["split_status"]; status != "" && status != "unique" {
		r.Note = "the cell could be split in more than one way: " + cells["raw_cell"]
	}
	if component.Family == "colour" {
		return r, nil
	}
	var err error
	if r.Grade, err = gradeOf(r.Printed, t.decimal); err != nil {
		return r, fmt.Errorf("%s, %s %s: %w", t.file, r.Sample, c.header, err)
	}
	return r, nil
}

// gradeOf reads a printed grade, on the widest of the scales, since some papers do
// not say which it is.
func gradeOf(printed string, decimal bool) (fastness.Grade, error) {
	if whole, half := strings.CutSuffix(printed, ".5"); decimal && half {
		g, err := fastness.Parse(whole, fastness.BlueWool)
		return g + 1, err
	}
	return fastness.Parse(printed, fastness.BlueWool)
}
