package store

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"github.com/lib/pq"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
)

// Studio is the studio's own row.
type Studio struct {
	Name         string `db:"name"`
	TimeZone     string `db:"time_zone"`
	Currency     string `db:"currency"`
	PoisonCentre string `db:"poison_centre"`
}

// Studio returns it; the migration made it.
func (t *Tx) Studio() (Studio, error) {
	var s Studio
	err := t.get(&s, `select name, time_zone, currency, poison_centre from studio`)
	return s, err
}

// SetStudio writes it whole.
func (t *Tx) SetStudio(s Studio) error {
	return t.exec(`update studio set name = $1, time_zone = $2, currency = $3, poison_centre = $4`, s.Name, s.TimeZone, s.Currency, s.PoisonCentre)
}

// Today is the studio's day now, at midnight UTC of that date.
func (t *Tx) Today() (time.Time, error) {
	zone, err := t.Zone()
	if err != nil {
		return time.Time{}, err
	}
	y, m, d := t.Now.In(zone).Date()
	return time.Date(y, m, d, 0, 0, 0, 0, time.UTC), nil
}

// Zone is where the studio's days begin and end.
func (t *Tx) Zone() (*time.Location, error) {
	s, err := t.Studio()
	if err != nil {
		return nil, err
	}
	zone, err := time.LoadLocation(s.TimeZone)
	if err != nil {
		return nil, fmt.Errorf("studio's time zone: %w", err)
	}
	return zone, nil
}

// Vessel is a pot, tub, vat or bucket.
type Vessel struct {
	ID     int64
	Code   string
	Name   string
	Volume quantity.Amount // brim
	Fill   quantity.Percent
	Uses   []string
	Note   string
}

type vesselRow struct {
	ID     int64          `db:"id"`
	Code   string         `db:"code"`
	Name   string         `db:"name"`
	Volume int64          `db:"volume_ul"`
	Fill   int64          `db:"fill_percent"`
	Uses   pq.StringArray `db:"uses"`
	Note   string         `db:"note"`
}

func (r vesselRow) vessel() Vessel {
	return Vessel{r.ID, r.Code, r.Name, quantity.Amount{N: r.Volume, Unit: quantity.Volume}, quantity.Percent(r.Fill), r.Uses, r.Note}
}

// AddVessel writes a vessel; its code must be new.
func (t *Tx) AddVessel(v Vessel) error {
	return t.exec(`
		insert into vessel (code, name, volume_ul, fill_percent, uses, note, added_at) values ($1, $2, $3, $4, $5, $6, $7)`,
		v.Code, v.Name, v.Volume.N, int64(v.Fill), pq.StringArray(v.Uses), v.Note, t.Now)
}

// Vessels lists every vessel by code.
func (t *Tx) Vessels() ([]Vessel, error) {
	var rows []vesselRow
	err := t.list(&rows, `select id, code, name, volume_ul, fill_percent, uses, note from vessel order by code`)
	vs := make([]Vessel, len(rows))
	for i, r := range rows {
		vs[i] = r.vessel()
	}
	return vs, err
}

// Vessel finds one by code.
func (t *Tx) Vessel(code string) (Vessel, error) {
	var r vesselRow
	err := t.get(&r, `select id, code, name, volume_ul, fill_percent, uses, note from vessel where code = $1`, code)
	return r.vessel(), missing(err, "vessel", code)
}

// Code writes an id the way it stands on bags and cards: P7, L3, S12.
func Code(letter byte, id int64) string { return string(letter) + strconv.FormatInt(id, 10) }

// ID reads such a code, in either case. A wrong form is fault.Invalid on the
// field what.
func ID(letter byte, what, code string) (int64, error) {
	c := strings.ToUpper(strings.TrimSpace(code))
	if len(c) > 1 && c[0] == letter {
		if n, err := strconv.ParseInt(c[1:], 10, 64); err == nil && n > 0 && c[1] != '0' && c[1] != '+' {
			return n, nil
		}
	}
	return 0, fault.BadField(what, "%.40q is not a %s such as %c7", code, strings.ReplaceAll(what, "_", " "), letter)
}
