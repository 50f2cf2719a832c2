package api

import (
	"dyelot/inventory/colour"
	"dyelot/inventory/depth"
	"dyelot/inventory/fault"
	"dyelot/server/store"
)

// target reads the depth to reach, at its wavelength.
func (d *doseAsked) target(tx *store.Tx) error {
	undyed := d.measured[0].Undyed
	if d.given != nil {
		var err error
		if undyed, err = d.given.Spectrum("ground"); err != nil {
			return err
		}
	} else {
		d.whose = "undyed cloth of swatch " + d.measured[0].Code
	}
	from, to := depth.Common(d.measured)
	bands, field, err := d.targetBands(tx)
	if err != nil {
		return err
	}
	if bands == nil {
		return d.targetNumber(from, to)
	}
	s, err := bands.Spectrum(field)
	if err != nil {
		return err
	}
	if d.nm, d.ks, err = s.PeakOver(undyed, from, to); err != nil {
		return err
	}
	if !(d.ks > 0) {
		return fault.BadField(field, "is no deeper than %s anywhere", d.whose)
	}
	return nil
}

func (d *doseAsked) targetBands(tx *store.Tx) (b *colour.Curve, field string, err error) {
	if code := d.req.GetStandardCode(); code != "" {
		kept, err := tx.DepthOfStandard(code)
		d.of = "standard " + code
		return &kept, "standard_code", onField("standard_code", err)
	}
	if code := d.req.GetLotCode(); code != "" {
		id, err := store.ID('L', "lot_code", code)
		if err != nil {
			return nil, "", err
		}
		if _, err := tx.Lot(id); err != nil {
			return nil, "", onField("lot_code", err)
		}
		mean, reading, err := tx.DepthOfLot(id)
		d.of = "lot " + store.Code('L', id) + " as read in " + reading
		return &mean, "lot_code", onField("lot_code", err)
	}
	return nil, "", nil
}

// targetNumber takes K/S as asked for, where it is meant or where the deepest
// swatch takes up most.
func (d *doseAsked) targetNumber(from, to float64) error {
	d.ks, d.nm, d.of = d.req.GetTargetKs(), d.req.GetWavelengthNm(), "K/S as asked for"
	if d.nm != 0 {
		if !(d.nm >= from && d.nm <= to) {
			return fault.BadField("wavelength_nm", "%v nm: the swatches were all read from %v to %v nm", d.nm, from, to)
		}
		return nil
	}
	deepest := d.measured[0]
	for _, m := range d.measured {
		if m.Point.WOF > deepest.Point.WOF {
			deepest = m
		}
	}
	var err error
	d.nm, _, err = deepest.Dyed.PeakOver(deepest.Undyed, from, to)
	return err
}
