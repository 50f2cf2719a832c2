package opening

import (
	"regexp"
	"strconv"
	"strings"
	"time"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
)

// Form is how the numbers and days of the sheets are written.
type Form struct {
	Mark Mark
	Days Order
}

// cells reads one row; what is off is noted, and ok tells whether nothing was.
type cells struct {
	sheet Sheet
	row   Row
	form  Form
	off   *Notes
	ok    bool
}

func (c *cells) text(column string) string { return c.sheet.cell(c.row, column) }

// name is a text on one line, its spaces single.
func (c *cells) name(column string) string { return strings.Join(strings.Fields(c.text(column)), " ") }

// code is a text as codes are kept.
func (c *cells) code(column string) string { return strings.ToLower(c.text(column)) }

func (c *cells) refuse(column, format string, args ...any) {
	c.ok = false
	c.off.add(c.sheet.Kind, c.row.Line, column, format, args...)
}

// fault notes what a rule refused. called maps the rule's field to a column
// where they are called differently.
func (c *cells) fault(err error, called map[string]string) {
	f, is := fault.Of(err)
	if !is {
		c.refuse("", "%v", err)
		return
	}
	field, _, _ := strings.Cut(strings.TrimPrefix(f.Field, "reorder."), "[")
	column := field
	if as, named := called[field]; named {
		column = as
	}
	if _, known := columnOf(c.sheet.Kind, column); !known {
		column = ""
	}
	c.refuse(column, "%s", f.Say)
}

// needed is false, and notes it, where a cell is empty.
func (c *cells) needed(column string) bool {
	if c.text(column) != "" {
		return true
	}
	c.refuse(column, "is empty, and every row needs it")
	return false
}

// number is a cell's number as a plain decimal; ok false where it is none.
func (c *cells) number(column, text string) (plain string, ok bool) {
	plain, err := Number(text, c.form.Mark, c.sheet.Separator)
	if err != nil {
		c.fault(err, map[string]string{"": column})
		return "", false
	}
	return plain, true
}

// whole is a whole number from least to most; zero where the cell is empty.
func (c *cells) whole(column string, least, most int) int {
	text := c.text(column)
	if text == "" {
		return 0
	}
	plain, ok := c.number(column, text)
	if !ok {
		return 0
	}
	if whole, decimals, has := strings.Cut(plain, "."); has && strings.Trim(decimals, "0") == "" {
		plain = whole // 6.00 pieces are six
	}
	n, err := strconv.Atoi(plain)
	if err != nil || n < least || n > most {
		c.refuse(column, "%q is not a whole number from %d to %d", clip(text), least, most)
		return 0
	}
	return n
}

// amount is a cell's amount; its unit stands in the cell, in the header, or is
// usual. It is absent where the cell is empty or off. An amount below zero is
// off.
func (c *cells) amount(column, usual string, want ...quantity.Unit) quantity.Amount {
	text := c.text(column)
	if text == "" {
		return quantity.Amount{}
	}
	number, unit := suffixed(text)
	if number == "" {
		c.refuse(column, "%q is no amount such as 500 g", clip(text))
		return quantity.Amount{}
	}
	if unit == "" {
		unit = c.sheet.units[column]
	}
	if unit == "" {
		unit = usual
	}
	if unit == "" {
		c.refuse(column, "%q has no unit: write 500 g, or give the unit in the header or in a column of its own", clip(text))
		return quantity.Amount{}
	}
	return c.measured(column, number, unit, want...)
}

func (c *cells) measured(column, number, unit string, want ...quantity.Unit) quantity.Amount {
	plain, ok := c.number(column, number)
	if !ok {
		return quantity.Amount{}
	}
	a, err := quantity.Parse(plain, unit)
	switch {
	case err != nil:
		f, _ := fault.Of(err)
		c.refuse(column, "%s", f.Say)
		return quantity.Amount{}
	case a.N < 0:
		c.refuse(column, "%s is below zero", a)
		return quantity.Amount{}
	}
	for _, u := range want {
		if u == a.Unit {
			return a
		}
	}
	if len(want) > 0 {
		c.refuse(column, "%s is a %s: give it in %s", a, a.Unit, want[0].Name())
		return quantity.Amount{}
	}
	return a
}

// percent is a cell's per cent; zero where it is empty or off.
func (c *cells) percent(column string) quantity.Percent {
	text := strings.TrimSpace(strings.TrimSuffix(c.text(column), "%"))
	if text == "" {
		return 0
	}
	plain, ok := c.number(column, text)
	if !ok {
		return 0
	}
	p, err := quantity.ParsePercent(plain)
	if err != nil {
		c.fault(err, map[string]string{"percent": column})
	}
	return p
}

// pastDay is a cell's day, not after today; zero where it is empty or off.
func (c *cells) pastDay(column string, today time.Time) time.Time {
	d := c.day(column)
	if d.After(today) {
		c.refuse(column, "%s is in the future: today is %s", d.Format(time.DateOnly), today.Format(time.DateOnly))
		return time.Time{}
	}
	return d
}

func (c *cells) day(column string) time.Time {
	text := c.text(column)
	if text == "" {
		return time.Time{}
	}
	d, err := Day(text, c.form.Days)
	if err != nil {
		c.fault(err, map[string]string{"": column})
		return time.Time{}
	}
	return d
}

var currency = regexp.MustCompile(`^[A-Za-z]{3}$`)

// money is a cell's sum, in the currency that stands behind it or in the
// header, else the studio's.
func (c *cells) money(column, studios string) quantity.Money {
	text := c.text(column)
	if text == "" {
		return quantity.Money{}
	}
	number, code := suffixed(text)
	switch {
	case code == "" && c.sheet.units[column] != "":
		code = c.sheet.units[column]
	case code == "":
		code = studios
	case !currency.MatchString(code):
		c.refuse(column, "%q: write a sum of money with its code behind it, such as 12.40 EUR", clip(text))
		return quantity.Money{}
	}
	plain, ok := c.number(column, number)
	if !ok {
		return quantity.Money{}
	}
	m, err := quantity.ParseMoney(plain, strings.ToUpper(code))
	switch {
	case err != nil:
		c.fault(err, map[string]string{"value": column, "currency": column})
		return quantity.Money{}
	case m.Micro < 0:
		c.refuse(column, "%s is below zero", m)
		return quantity.Money{}
	}
	return m
}

// listed splits a cell that holds several things: by |, + or ; or by lines.
func listed(text string) []string {
	var parts []string
	for _, p := range strings.FieldsFunc(text, func(r rune) bool { return r == '|' || r == '+' || r == ';' || r == '\n' }) {
		if p = strings.TrimSpace(p); p != "" {
			parts = append(parts, p)
		}
	}
	return parts
}
