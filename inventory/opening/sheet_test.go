package opening_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"dyelot/inventory/opening"
	"dyelot/inventory/quantity"
	"dyelot/inventory/stock"
)

func day(text string) time.Time {
	d, err := time.Parse(time.DateOnly, text)
	if err != nil {
		panic(err)
	}
	return d
}

// bare are books that hold an item of each kind.
func bare() opening.Books {
	silk := []stock.FibrePart{{Fibre: "silk", Percent: quantity.WholePercent(100)}}
	items := map[string]stock.Item{}
	for _, it := range []stock.Item{
		{Code: "alum", Kind: stock.Mordant, Substance: "potassium alum"},
		{Code: "weld", Kind: stock.Dyestuff, Plant: "weld"},
		{Code: "iron-liquor", Kind: stock.Solution, Substance: "copperas"},
		{Code: "tunic", Kind: stock.Blank, Fibres: silk, PieceMass: quantity.Grams(105)},
	} {
		checked, _, err := it.Check()
		if err != nil {
			panic(err)
		}
		items[it.Code] = checked
	}
	return opening.Books{Today: day("2026-05-14"), Zone: time.UTC, Currency: "NOK", By: "owner", Items: items}
}

// read reads one parcels sheet against bare books.
func read(t testing.TB, text string, f opening.Form) opening.Understood {
	t.Helper()
	return readAll(t, opening.Sheets{}, f, map[opening.Kind]string{opening.Parcels: text})
}

func readAll(t testing.TB, s opening.Sheets, f opening.Form, texts map[opening.Kind]string) opening.Understood {
	t.Helper()
	var off opening.Notes
	for _, k := range opening.Kinds() {
		text, given := texts[k]
		if !given {
			continue
		}
		sheet, err := opening.Read(k, strings.NewReader(text), &off)
		if err != nil {
			t.Fatal(err)
		}
		*map[opening.Kind]*opening.Sheet{opening.Items: &s.Items, opening.Parcels: &s.Parcels, opening.Lots: &s.Lots}[k] = sheet
	}
	return opening.Understand(s, bare(), f, off)
}

func lines(n opening.Notes) []string {
	all := []string{}
	for _, one := range n.List {
		all = append(all, fmt.Sprintf("%d %s: %s", one.Line, one.Column, one.Text))
	}
	return all
}

// What untidy spreadsheets hold, each read in the one way that it can be: RFC
// 4180 for quoting and line ends, ISO 80000-1 (7.3.1) for spaces between groups
// of digits. Amounts are in µg: 8 oz are 226.796185 g, since one ounce is
// 28.349523125 g by the international yard and pound agreement of 1959.
func TestUntidySheets(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		text string
		form opening.Form
		want []int64 // on the shelf, row by row
	}{
		"commas":                    {text: "item,amount\nalum,12.5 g\n", want: []int64{12_500_000}},
		"semicolons":                {text: "item;amount\nalum;12,5 g\n", want: []int64{12_500_000}},
		"tabs":                      {text: "item\tamount\nalum\t12,5 g\n", want: []int64{12_500_000}},
		"a byte order mark":         {text: "\ufeffitem;amount\nalum;1 g\n", want: []int64{1_000_000}},
		"CRLF":                      {text: "item;amount\r\nalum;1 g\r\n", want: []int64{1_000_000}},
		"no end of line":            {text: "item;amount\nalum;1 g", want: []int64{1_000_000}},
		"a quoted decimal comma":    {text: "item,amount\nalum,\"12,5 g\"\n", want: []int64{12_500_000}},
		"ounces":                    {text: "item,amount\nalum,8 oz\nalum,1oz\n", want: []int64{226_796_185, 28_349_523}},
		"an ounce, a thousandfold":  {text: "item,amount\nalum,1000 oz\n", want: []int64{28_349_523_125}},
		"pounds":                    {text: "item,amount\nalum,1 lb\n", want: []int64{453_592_370}},
		"a unit column":             {text: "item,amount,unit\nalum,8,oz\nalum,\"0,5\",kg\nalum,3 g,oz\n", want: []int64{226_796_185, 500_000_000, 3_000_000}},
		"a unit in the header":      {text: "Item,Amount (oz)\nalum,8\nalum,3 g\n", want: []int64{226_796_185, 3_000_000}},
		"square brackets":           {text: "ITEM;Amount [kg]\nalum;0,25\n", want: []int64{250_000_000}},
		"pieces need no unit":       {text: "item,amount\ntunic,10\ntunic,4 pc\n", want: []int64{10, 4}},
		"blank lines and cells":     {text: "\n\nitem;amount;;\n;;;\n\nalum;1 g;;\n  ;\nalum;2 g\n", want: []int64{1_000_000, 2_000_000}},
		"columns in any order":      {text: "note,amount,ref,item\nx,1 g,a,alum\n", want: []int64{1_000_000}},
		"spaces in a number":        {text: "item;amount\nalum;1 234,5 g\nalum;1\u00a0234 g\nalum;12\u202f345,25 g\n", want: []int64{1_234_500_000, 1_234_000_000, 12_345_250_000}},
		"a comma that was said":     {text: "item,amount\nalum,\"1,234 g\"\n", form: opening.Form{Mark: opening.Comma}, want: []int64{1_234_000}},
		"a point that was said":     {text: "item,amount\nalum,\"1,234 g\"\nalum,1.234 g\nalum,\"1,234.5 g\"\n", form: opening.Form{Mark: opening.Point}, want: []int64{1_234_000_000, 1_234_000, 1_234_500_000}},
		"thousands in a comma's":    {text: "item;amount\nalum;1.234,5 g\nalum;1.234 g\n", form: opening.Form{Mark: opening.Comma}, want: []int64{1_234_500_000, 1_234_000_000}},
		"a point between commas":    {text: "item,amount\nalum,1.234 g\n", want: []int64{1_234_000}},
		"below one is no thousand":  {text: "item;amount\nalum;0,234 g\nalum;0.234 g\n", want: []int64{234_000, 234_000}},
		"two decimals, or four":     {text: "item;amount\nalum;1,23 g\nalum;1.2345 g\n", want: []int64{1_230_000, 1_234_500}},
		"text over several lines":   {text: "item,note,amount\nalum,\"one\r\ntwo, \"\"three\"\"\",5 g\n", want: []int64{5_000_000}},
		"capitals":                  {text: "item,amount\nALUM,5 G\n", want: []int64{5_000_000}},
		"litres":                    {text: "item,amount,grams_per_litre\niron-liquor,\"0,5 L\",200\n", want: []int64{500_000}},
		"midnights":                 {text: "item,amount,arrived_on\nalum,5 g,2024-07-02 00:00:00\nalum,5 g,2024-07-02T00:00:00\n", want: []int64{5_000_000, 5_000_000}},
		"days, the day first":       {text: "item,amount,arrived_on\nalum,5 g,02.07.2024\nalum,5 g,2/7/2024\n", form: opening.Form{Days: "dmy"}, want: []int64{5_000_000, 5_000_000}},
		"days, the month first":     {text: "item,amount,arrived_on\nalum,5 g,07/02/2024\n", form: opening.Form{Days: "mdy"}, want: []int64{5_000_000}},
		"a used-up bag that was in": {text: "item,amount,received\nalum,0 g,500 g\n", want: []int64{0}},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			u := read(t, c.text, c.form)
			if u.Off.Count > 0 {
				t.Fatalf("refused: %v", lines(u.Off))
			}
			var got []int64
			for _, p := range u.Plan.Parcels {
				got = append(got, p.Has.N)
			}
			if diff := cmp.Diff(c.want, got); diff != "" {
				t.Error(diff)
			}
		})
	}
}

// What could mean two things, or nothing, is told by line and column.
func TestWhatIsOffIsToldByLineAndColumn(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		text string
		form opening.Form
		want []string
	}{
		"a thousand, perhaps":         {text: "item,amount\nalum,\"1,234 g\"\n", want: []string{`2 amount: "1,234" may be a thousand times less or more: say which is the decimal mark, comma or point`}},
		"a point in semicolons":       {text: "item;amount\nalum;1.234 g\n", want: []string{`2 amount: "1.234" may be a thousand times less or more: say which is the decimal mark, comma or point`}},
		"both marks":                  {text: "item;amount\nalum;1.234,5 g\n", want: []string{`2 amount: "1.234,5" has a comma and a point: write it without a thousands mark, or say which is the decimal mark`}},
		"two thousands":               {text: "item;amount\nalum;1.000.000 g\n", want: []string{`2 amount: "1.000.000" has a thousands mark: write it without, or say which is the decimal mark`}},
		"the other mark":              {text: "item;amount\nalum;12.5 g\n", form: opening.Form{Mark: opening.Comma}, want: []string{`2 amount: "12.5": the decimal mark was said to be the other one`}},
		"UTF-16":                      {text: "\xff\xfei\x00t\x00", want: []string{"0 : is UTF-16 text: save the sheet as CSV in UTF-8"}},
		"UTF-16 without its mark":     {text: "i\x00t\x00e\x00m\x00", want: []string{"0 : holds zero bytes, so it is no text, or UTF-16: save the sheet as CSV in UTF-8"}},
		"Latin-1":                     {text: "item,amount,note\nalum,1 g,x\nalum,1 g,gr\xf8nn\n", want: []string{"3 : is not UTF-8 text: save the sheet as CSV in UTF-8"}},
		"a spreadsheet itself":        {text: "PK\x03\x04…", want: []string{"0 : is a spreadsheet and no CSV file: save each sheet as CSV"}},
		"carriage returns alone":      {text: "item,amount\ralum,1 g\r", want: []string{"0 : ends its lines with a carriage return alone: save the sheet anew, with line feeds"}},
		"nothing":                     {text: "\ufeff \n", want: []string{"0 : is empty: its first line names the columns"}},
		"an unknown column":           {text: "item,amount,colour\nalum,x,y\n", want: []string{"1 colour: is no column of the parcels sheet; those are: item, amount, unit, ref, received, origin, arrived_on, supplier, supplier_lot, cost, usable_until, grams_per_litre, piece_mass, strength, picked_on, place, part, ripeness, permission, fresh, note"}},
		"a column twice":              {text: "item,amount,Amount\nalum,1 g,2 g\n", want: []string{"1 amount: stands there twice"}},
		"a needed column":             {text: "amount\n1 g\n", want: []string{"1 item: is needed: its item: of the items sheet, or in the books"}},
		"a cell beyond the header":    {text: "item,amount\nalum,1 g,more\n", want: []string{`2 : has "more" in a column without a name`}},
		"lines inside quotes count":   {text: "item,note,amount\nalum,\"one\ntwo\nthree\",1 g\nalum,,x g\n", want: []string{`5 amount: "x g" is no amount such as 500 g`}},
		"an open quote":               {text: "item,amount\nalum,\"1 g\nalum,2 g\n", want: []string{"2 : has a cell whose quotation marks do not match: a cell ends with one where it begins with one, and marks inside are doubled"}},
		"a bare quote, and more":      {text: "item,amount,note\nalum,1 g,5\" pot\nalum,,\n", want: []string{"2 : has a quotation mark inside a cell: a cell with one is put in quotation marks, and the mark doubled", "3 amount: is empty: write what lies on the shelf, 0 where nothing does"}},
		"no unit":                     {text: "item,amount\nalum,5\n", want: []string{`2 amount: "5" has no unit: write 500 g, or give the unit in the header or in a column of its own`}},
		"millilitres of a salt":       {text: "item,amount\nalum,5 mL\n", want: []string{`2 amount: 5 mL is a volume: give it in g`}},
		"half a piece":                {text: "item,amount\ntunic,\"1,5\"\n", want: []string{`2 amount: 1.5 pieces: only whole pieces are counted`}},
		"below zero":                  {text: "item,amount\nalum,-5 g\n", want: []string{`2 amount: -5 g is below zero`}},
		"NaN":                         {text: "item,amount\nalum,NaN g\n", want: []string{`2 amount: "NaN g" is no amount such as 500 g`}},
		"an exponent":                 {text: "item,amount\nalum,1e3 g\n", want: []string{`2 amount: unknown unit "e3 g": use one of g, kg, mg, oz, lb, mL, L, floz, pc`}},
		"more than there is":          {text: "item,amount\nalum,99999999999 kg\n", want: []string{`2 amount: 99999999999 kg is beyond what is kept here (at most 1000000 kg)`}},
		"more than there is, in sum":  {text: "item,amount\nalum,900000 kg\nalum,900000 kg\n", want: []string{`3 amount: alum would come to more than is kept here (at most 1000000 kg)`}},
		"a day of another order":      {text: "item,amount,arrived_on\nalum,5 g,02.07.2024\n", want: []string{`2 arrived_on: "02.07.2024": write it as 2024-07-02, or say whether day or month comes first`}},
		"a day that never was":        {text: "item,amount,arrived_on\nalum,5 g,2023-02-29\n", want: []string{`2 arrived_on: "2023-02-29" is not a day such as 2024-07-02`}},
		"a 13th month":                {text: "item,amount,arrived_on\nalum,5 g,02/13/2024\n", form: opening.Form{Days: "dmy"}, want: []string{`2 arrived_on: "02/13/2024" is not a day such as 2024-07-02`}},
		"tomorrow":                    {text: "item,amount,arrived_on\nalum,5 g,2026-05-15\n", want: []string{`2 arrived_on: 2026-05-15 is in the future: today is 2026-05-14`}},
		"good until before it came":   {text: "item,amount,arrived_on,usable_until\nalum,5 g,2024-02-01,2023-01-01\n", want: []string{`2 usable_until: 2023-01-01 is before it came, on 2024-02-01`}},
		"an unknown item":             {text: "item,amount\nalumn,5 g\n", want: []string{`2 item: there is no item "alumn", neither in the items sheet nor in the books`}},
		"money in a sign":             {text: "item,amount,cost\nalum,5 g,12 €\n", want: []string{`2 cost: "12 €": write a sum of money with its code behind it, such as 12.40 EUR`}},
		"strength of cloth":           {text: "item,amount,strength\ntunic,5,90\n", want: []string{`2 strength: tunic is a blank counted in pc: only what is weighed and acts has a strength; that of a solution is its g/L`}},
		"grams a litre of a salt":     {text: "item,amount,grams_per_litre\nalum,5 g,200\n", want: []string{`2 grams_per_litre: alum is weighed in g: only liquids have grams a litre`}},
		"a harvest of blanks":         {text: "item,amount,picked_on\ntunic,5,2024-05-01\n", want: []string{`2 item: tunic is a blank counted in pc: only plants weighed in grams are harvested`}},
		"coordinates":                 {text: "item,amount,picked_on,place\nweld,5 g,2024-05-01,\"57.1234, -2.3456\"\n", want: []string{`2 place: holds coordinates: write the place in the studio's own words, a list of patches is not kept here`}},
		"a rest of a harvest":         {text: "item,amount,picked_on,fresh\nweld,5 g,2024-05-01,3.2 kg\n", want: []string{`2 received: 5 g dry of 3200 g fresh is less than 1 in 100; where only a rest is left, say in received what was weighed dry`}},
		"less in than there":          {text: "item,amount,received\nalum,5 g,4 g\n", want: []string{`2 received: 4 g is less than the 5 g that lies there and the 0 g that past lots took`}},
		"nothing at all":              {text: "item,amount\nalum,0 g\n", want: []string{`2 amount: is nothing, nothing came in and no past lot took any: there is no such parcel`}},
		"a ref twice, in other words": {text: "ref,item,amount\nBag  one,alum,5 g\nbag one,alum,5 g\n", want: []string{`3 ref: "bag one" stands in line 2 already`}},
		"a ref like a code":           {text: "ref,item,amount\np7,alum,5 g\n", want: []string{`2 ref: p7 looks like a parcel's code of these books: choose another word`}},
		"an escape":                   {text: "item,amount,note\nalum,5 g,\x1b[31mred\n", want: []string{`2 note: holds a control character`}},
		"a name without end":          {text: "item,amount,supplier\nalum,5 g," + strings.Repeat("ä", 201) + "\n", want: []string{`2 supplier: has 201 characters, at most 200 are kept`}},
		"a row without end":           {text: "item,amount,note\nalum,5 g," + strings.Repeat("ä", 33_000) + "\nalum,,\n", want: []string{`2 : is longer than 64 KB: look for a quotation mark that was not closed`, `3 amount: is empty: write what lies on the shelf, 0 where nothing does`}},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			got := lines(read(t, c.text, c.form).Off)
			if len(got) != len(c.want) {
				t.Fatalf("%s", cmp.Diff(c.want, got))
			}
			for i := range got {
				if !strings.HasPrefix(got[i], c.want[i]) {
					t.Errorf("%s", cmp.Diff(c.want[i], got[i]))
				}
			}
		})
	}
}

// Every row that is off is told; beyond 500 they are only counted.
func TestEveryRowIsTold(t *testing.T) {
	t.Parallel()
	u := read(t, "item,amount\n"+strings.Repeat("alum,x\n", 600), opening.Form{})
	if len(u.Off.List) != opening.MaxNotes || u.Off.Count != 600 || u.Off.List[499].Line != 501 {
		t.Errorf("%d of %d, the last %v", len(u.Off.List), u.Off.Count, u.Off.List[len(u.Off.List)-1])
	}
	var off opening.Notes
	if _, err := opening.Read(opening.Parcels, strings.NewReader("item\n"+strings.Repeat("a\n", opening.MaxRows+1)), &off); err != nil || len(off.List) != 1 || off.List[0].Line != opening.MaxRows+2 {
		t.Errorf("%v, %v", err, off)
	}
	off = opening.Notes{}
	if s, err := opening.Read(opening.Items, strings.NewReader(strings.Repeat("x", opening.MaxBytes+1)), &off); err != nil || len(s.Rows) > 0 || off.Count != 1 {
		t.Errorf("%v, %v", err, off)
	}
}
