package api

import (
	"encoding/hex"
	"strings"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/colour"
	"dyelot/inventory/fault"
	"dyelot/server/store"
)

// decodeCurve reads a spectrum, of which every fault is on field.
func decodeCurve(field string, m *dyelotv1.Spectrum) (c colour.Curve, s colour.Spectrum, err error) {
	c = colour.Curve{FirstNM: int(m.GetFirstNm()), StepNM: int(m.GetStepNm()), Reflectance: m.GetReflectance()}
	if c.Specular, err = colour.NewSpecular(field+".specular", m.GetSpecular()); err != nil {
		return c, s, err
	}
	s, err = c.Spectrum(field)
	return c, s, err
}

func encodeCurve(c *colour.Curve) *dyelotv1.Spectrum {
	if c == nil {
		return nil
	}
	return &dyelotv1.Spectrum{FirstNm: int32(c.FirstNM), StepNm: int32(c.StepNM), Reflectance: c.Reflectance, Specular: string(c.Specular)}
}

// decodeFile reads where a spectrum came from; absent is no file.
func decodeFile(field string, m *dyelotv1.InstrumentFile) (f store.File, err error) {
	f.Name, f.Sample = m.GetName(), m.GetSample()
	if m.GetSha256() == "" {
		if f.Name != "" || f.Sample != "" {
			return f, fault.BadField(field+".sha256", "is needed: the file's SHA-256, so that it can be proved again")
		}
		return f, nil
	}
	f.SHA256, err = hex.DecodeString(strings.ToLower(m.GetSha256()))
	if err != nil || len(f.SHA256) != 32 {
		return f, fault.BadField(field+".sha256", "is not a SHA-256: 64 hexadecimal digits")
	}
	return f, nil
}

func encodeFile(f store.File) *dyelotv1.InstrumentFile {
	if f.Name == "" && len(f.SHA256) == 0 {
		return nil
	}
	return &dyelotv1.InstrumentFile{Name: f.Name, Sha256: f.Hex(), Sample: f.Sample}
}

func encodeLabValues(c colour.Lab) *dyelotv1.LabValues {
	return &dyelotv1.LabValues{L: c.L, A: c.A, B: c.B}
}
