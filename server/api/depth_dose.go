package api

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/colour"
	"dyelot/inventory/depth"
	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
	"dyelot/inventory/season"
	"dyelot/inventory/stock"
	"dyelot/server/store"
)

const (
	// mostTrials are looked at: the newest of a plant on a fibre.
	mostTrials = 2000
	// doseConfidence of the interval.
	doseConfidence = 0.95
)

// ProposeDose reads a dose off the swatches of the book. It applies nothing.
func (s *DepthServer) ProposeDose(ctx context.Context, req *dyelotv1.ProposeDoseRequest) (*dyelotv1.ProposeDoseResponse, error) {
	d, err := decodeProposal(req)
	if err != nil {
		return nil, err
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.ProposeDoseResponse, error) {
		d := d
		for _, step := range []func(*store.Tx) error{d.dyestuff, d.undyed, d.swatches, d.target, d.fit} {
			if err := step(tx); err != nil {
				return nil, err
			}
		}
		return d.encode(), nil
	})
}

// doseAsked is a proposal on its way, from what was asked to what is answered.
type doseAsked struct {
	req    *dyelotv1.ProposeDoseRequest
	fibre  string
	plant  string
	parcel stock.Parcel  // the zero one where none was named
	given  *colour.Curve // undyed cloth
	whose  string

	measured []depth.Measured
	passed   []depth.Passed
	minds    []depth.Warning

	ks, nm float64
	of     string
	curve  *depth.Fit
	dose   depth.Proposal
}

func decodeProposal(req *dyelotv1.ProposeDoseRequest) (d doseAsked, err error) {
	d.req = req
	targets := 0
	for _, given := range []bool{req.GetStandardCode() != "", req.GetLotCode() != "", req.GetTargetKs() != 0} {
		if given {
			targets++
		}
	}
	switch {
	case targets == 0:
		return d, fault.BadField("standard_code", "is needed, or lot_code, or target_ks: which depth is to be reached")
	case targets > 1:
		return d, fault.BadField("standard_code", "one depth at a time: a standard, a lot or target_ks")
	case req.GetTargetKs() < 0 || req.GetTargetKs() != req.GetTargetKs():
		return d, fault.BadField("target_ks", "%v is no depth: K/S above 0 is needed", req.GetTargetKs())
	case req.GetWavelengthNm() != 0 && req.GetTargetKs() == 0:
		return d, fault.BadField("wavelength_nm", "goes with target_ks: a standard and a lot bring their own")
	case req.GetItemCode() != "" && req.GetPlant() != "":
		return d, fault.BadField("plant", "the dyestuff is an item or a plant: not both")
	case req.GetItemCode() == "" && plantWord(req.GetPlant()) == "" && req.GetParcelCode() == "":
		return d, fault.BadField("plant", "is needed, or an item, or a parcel: which dyestuff")
	}
	if err := needed("fibre", req.GetFibre()); err != nil {
		return d, err
	}
	fibre, err := recipe.FibreOf(req.GetFibre())
	d.fibre, d.plant = fibre.Key, plantWord(req.GetPlant())
	return d, err
}

// plantWord is how the swatch book writes a plant.
func plantWord(name string) string {
	plant, _ := season.PlantOf(name, "")
	return plant
}

// dyestuff finds the plant by the item or the parcel, and holds them together.
func (d *doseAsked) dyestuff(tx *store.Tx) error {
	if code := d.req.GetItemCode(); code != "" {
		it, err := tx.ItemByCode(code)
		if err != nil {
			return onField("item_code", err)
		}
		if d.plant, err = plantOf("item_code", it); err != nil {
			return err
		}
	}
	code := d.req.GetParcelCode()
	if code == "" {
		return nil
	}
	var err error
	if d.parcel, err = tx.ParcelByCode("parcel_code", code); err != nil {
		return err
	}
	plant, err := plantOf("parcel_code", d.parcel.Item)
	if err != nil {
		return err
	}
	if d.plant != "" && d.plant != plant {
		return fault.BadField("parcel_code", "%s is %s, and the dose is for %s", store.Code('P', d.parcel.ID), plant, d.plant)
	}
	d.plant = plant
	if d.parcel.Strength == 0 {
		d.minds = append(d.minds, depth.Warning{Key: "strength-unset", Text: fmt.Sprintf("nobody set the strength of %s, so it is counted at full strength: test dips tell", store.Code('P', d.parcel.ID))})
	}
	return nil
}

func plantOf(field string, it stock.Item) (string, error) {
	if it.Kind != stock.Dyestuff {
		return "", fault.BadField(field, "%s is a %s: a depth is dyed with a dyestuff", it.Code, it.Kind)
	}
	if it.Plant == "" {
		return "", fault.BadField(field, "%s names no plant, and the swatch book is kept by plant: name the plant itself", it.Code)
	}
	return plantWord(it.Plant), nil
}

func (d *doseAsked) undyed(tx *store.Tx) (err error) {
	d.given, d.whose, err = undyedGiven(tx, d.req.GetGround(), d.req.GetGroundItemCode())
	return err
}

// swatches chooses what the curve goes through.
func (d *doseAsked) swatches(tx *store.Tx) error {
	trials, err := tx.TrialsOf(d.plant, d.req.GetPart(), d.fibre, mostTrials)
	if err != nil {
		return err
	}
	what := d.plant + " on " + d.fibre
	if len(trials) == 0 {
		return fault.Refuse("NO_SWATCHES", "the swatch book holds no %s", what).With("plant", d.plant).With("fibre", d.fibre)
	}
	if len(trials) == mostTrials {
		d.minds = append(d.minds, depth.Warning{Key: "newest-only", Text: fmt.Sprintf("only the newest %d swatches were looked at", mostTrials)})
	}
	var given *colour.Spectrum
	if d.given != nil {
		s, err := d.given.Spectrum("ground")
		if err != nil {
			return err
		}
		given = &s
	}
	measured, passed := depth.Measure(trials, given)
	if len(measured) == 0 {
		return fault.Refuse("NO_SWATCHES", "no swatch of %s can be used%s", what, reasons(passed)).With("plant", d.plant).With("fibre", d.fibre)
	}
	var mordants []string
	if len(d.req.GetMordants()) > 0 {
		mordants = d.req.GetMordants()
	}
	same, err := depth.Same(trialsIn(measured), mordants)
	if err != nil {
		return err
	}
	d.measured, d.passed = depth.Alike(measured, passed, same)
	return nil
}

func trialsIn(ms []depth.Measured) []depth.Trial {
	ts := make([]depth.Trial, len(ms))
	for i, m := range ms {
		ts[i] = m.Trial
	}
	return ts
}

// reasons says why the first few were passed over.
func reasons(passed []depth.Passed) string {
	const few = 3
	var why []string
	for i, p := range passed {
		if i == few {
			why = append(why, fmt.Sprintf("and %d more", len(passed)-few))
			break
		}
		why = append(why, p.Trial.Code+": "+p.Why)
	}
	if len(why) == 0 {
		return ""
	}
	return " (" + strings.Join(why, "; ") + ")"
}

// fit lays the curves and reads the dose off the best.
func (d *doseAsked) fit(*store.Tx) error {
	measured, passed := depth.At(d.measured, d.nm)
	slices.SortStableFunc(measured, func(a, b depth.Measured) int { return cmp.Compare(a.Point.WOF, b.Point.WOF) })
	d.measured, d.passed = measured, append(d.passed, passed...)
	points := make([]depth.Point, len(measured))
	for i, m := range measured {
		points[i] = m.Point
	}
	var err error
	if d.curve, err = depth.FitSwatches(points); err != nil {
		if f, ok := fault.Of(err); ok && len(d.passed) > 0 {
			g := *f
			g.Say += "; passed over" + reasons(d.passed)
			err = &g
		}
		return err
	}
	if d.dose, err = d.curve.Dose(d.ks, doseConfidence); err != nil {
		return err
	}
	d.minds = append(append(d.dose.Warnings, depth.Mixed(measured)...), d.minds...)
	return nil
}

// strength of the parcel asked for, as a factor per cent; 100 where nobody set
// one.
func (d *doseAsked) strength() float64 {
	if d.parcel.Strength == 0 {
		return 100
	}
	return float64(d.parcel.Strength) / float64(quantity.WholePercent(1))
}
