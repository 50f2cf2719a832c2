package api

import (
	"encoding/hex"
	"fmt"
	"strings"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/colour"
	"dyelot/inventory/depth"
	"dyelot/inventory/fault"
	"dyelot/server/store"
)

// DepthServer answers how deep a dose dyes: the strength of a harvest, and the
// dose for a depth.
type DepthServer struct {
	dyelotv1.UnsafeDepthServiceServer
	store *store.Store
}

// NewDepthServer serves the books of one studio.
func NewDepthServer(s *store.Store) *DepthServer { return &DepthServer{store: s} }

// depthBands reads a spectrum that depth can be read from.
func depthBands(field string, m *dyelotv1.Spectrum) (colour.Curve, colour.Spectrum, error) {
	if m == nil {
		return colour.Curve{}, colour.Spectrum{}, fault.BadField(field, "is needed: depth is read from a spectrum")
	}
	return decodeCurve(field, m)
}

// undyedGiven finds the undyed cloth that a call gives or points at; nil where
// it does neither. said is whose it is.
func undyedGiven(tx *store.Tx, m *dyelotv1.Spectrum, itemCode string) (b *colour.Curve, said string, err error) {
	switch {
	case m != nil && itemCode != "":
		return nil, "", fault.BadField("ground_item_code", "the undyed cloth is given already, as ground")
	case m != nil:
		given, _, err := depthBands("ground", m)
		return &given, "undyed cloth as given", err
	case itemCode != "":
		it, err := tx.ItemByCode(itemCode)
		if err != nil {
			return nil, "", onField("ground_item_code", err)
		}
		kept, err := tx.DepthOfUndyed(it.ID, it.Code)
		return &kept, "undyed " + it.Code, err
	}
	return nil, "", nil
}

// decodeDips reads the dips of one side of a series.
func decodeDips(field string, ms []*dyelotv1.TestDip) (dips []store.Dip, read []depth.Dip, err error) {
	for i, m := range ms {
		at := fmt.Sprintf("%s[%d]", field, i)
		if err := needed(at+".percent_wof", m.GetPercentWof()); err != nil {
			return nil, nil, err
		}
		d := store.Dip{Specular: m.GetSpectrum().GetSpecular(), FileName: m.GetFile().GetName(), FileSample: m.GetFile().GetSample()}
		if d.WOF, _, err = percent(at+".percent_wof", m.GetPercentWof()); err != nil {
			return nil, nil, err
		}
		if d.WOF <= 0 {
			return nil, nil, fault.BadField(at+".percent_wof", "%s is no dose", d.WOF)
		}
		var s colour.Spectrum
		if d.Read, s, err = depthBands(at+".spectrum", m.GetSpectrum()); err != nil {
			return nil, nil, err
		}
		if sum := m.GetFile().GetSha256(); sum != "" {
			if d.FileSHA256, err = hex.DecodeString(strings.ToLower(sum)); err != nil || len(d.FileSHA256) != 32 {
				return nil, nil, fault.BadField(at+".file.sha256", "is not a SHA-256: 64 hexadecimal digits")
			}
		}
		dips, read = append(dips, d), append(read, depth.Dip{WOF: d.WOF, Read: s})
	}
	return dips, read, nil
}

// limitSource is what stands behind a limit of package depth.
const limitSource = "this program's own limit"

func encodeMinds(ws []depth.Warning) []*dyelotv1.Warning {
	var all []*dyelotv1.Warning
	for _, w := range ws {
		m := &dyelotv1.Warning{Key: w.Key, Text: w.Text}
		if w.Limit {
			m.Source = limitSource
		}
		all = append(all, m)
	}
	return all
}
