package api

import (
	"fmt"

	"google.golang.org/protobuf/proto"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/colour"
	"dyelot/inventory/fault"
	"dyelot/server/store"
)

// depth is K/S of the mean reflectance, over the undyed cloth where that was read
// at the same wavelengths and not with another gloss.
func (b beside) depth(m store.Measurement, c colour.Curve, s colour.Spectrum, ws *warnings) *dyelotv1.ClothDepth {
	item, known := b.items[m.LotID]
	if m.Tag != "" {
		item, known = b.pieces[m.Tag]
	}
	why := ""
	switch {
	case !known:
		why = "no undyed cloth is on record for it"
	case item.ground == nil:
		why = fmt.Sprintf("undyed %s was never read: dyelot reading ground %s FILE", item.code, item.code)
	case item.ground.Curve.Specular.Against(c.Specular):
		why = fmt.Sprintf("undyed %s was read with the gloss %s and this with it %s", item.code, item.ground.Curve.Specular, c.Specular)
	}
	if why == "" {
		ground, err := item.ground.Curve.Spectrum("ground")
		if err == nil {
			if d, err := s.DepthOver(ground); err == nil {
				return encodeDepth(d, item.code, "")
			}
		}
		why = fmt.Sprintf("undyed %s was read at other wavelengths", item.code)
	}
	d, err := s.Depth()
	if err != nil {
		f, _ := fault.Of(err)
		ws.add("no-depth", "there is no K/S: %s", f.Say)
		return nil
	}
	return encodeDepth(d, "", why)
}

func encodeDepth(d colour.Depth, over, why string) *dyelotv1.ClothDepth {
	return &dyelotv1.ClothDepth{Max: d.Max, MaxNm: int32(d.MaxNM), Sum: d.Sum, OverItemCode: over, WhyNot: why, Formula: ksFormula}
}

// metamerism is to the standard's spectrum, from daylight to the shop's tube and
// to a lamp: the buyer sees both.
func (b beside) metamerism(m store.Measurement, c colour.Curve, s colour.Spectrum, ws *warnings) (all []*dyelotv1.MetamericIndex) {
	std := b.standardOf(m.LotID)
	kept, ok := b.spectra[std.ID]
	if !ok {
		return nil
	}
	if kept.Curve.Specular.Against(c.Specular) {
		ws.add("other-gloss", "standard %s was read with the gloss %s and this with it %s: part of the difference is gloss, not dye, so no index of metamerism is given", std.Code, kept.Curve.Specular, c.Specular)
		return nil
	}
	standard, err := kept.Curve.Spectrum("standard")
	if err != nil { // it was checked when it was kept
		return nil
	}
	for _, test := range []colour.Illuminant{colour.F11, colour.A} {
		x, err := colour.Metamerism(standard, s, m.View.Observer, colour.D65, test)
		if err != nil {
			f, _ := fault.Of(err)
			ws.add("no-metamerism", "there is no index of metamerism: %s", f.Say)
			return nil
		}
		all = append(all, &dyelotv1.MetamericIndex{Reference: colour.D65.String(), Test: test.String(), Observer: int32(m.View.Observer.Degrees()), Index: x.Index, Formula: metamerFormula})
	}
	return all
}

// withoutCurves is a request as the audit keeps it: the reflectances stand with
// their spots, where nothing changes them, and would be read again with every page
// of the audit.
func withoutCurves(req *dyelotv1.RecordMeasurementsRequest) *dyelotv1.RecordMeasurementsRequest {
	short := proto.CloneOf(req)
	for _, m := range short.GetMeasurements() {
		for _, s := range m.GetSpots() {
			if s.GetSpectrum() != nil {
				s.Spectrum.Reflectance = nil
			}
		}
	}
	return short
}
