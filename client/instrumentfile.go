package client

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"path/filepath"
	"strings"

	"dyelot/client/paper"
	"dyelot/inventory/fault"
	"dyelot/inventory/instrument"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

// instrumentFile is what an instrument wrote, as it was read, with what proves
// it again.
type instrumentFile struct {
	instrument.File
	name, sha256 string
}

// openInstrument reads an instrument's file; whatever is off is told of the
// argument or flag, with its line, and what was taken for what goes where
// messages go.
func (s *session) openInstrument(said, path string, hint instrument.Hint) (*instrumentFile, error) {
	content, err := s.readSheet(path)
	if err != nil {
		return nil, fault.BadField(said, "%s: %v", path, err)
	}
	read, err := instrument.Read(bytes.NewReader(content), hint)
	if f, bad := fault.Of(err); bad {
		return nil, fault.BadField(said, "%s: %s", path, f.Say)
	}
	if err != nil {
		return nil, err
	}
	s.tellNotes(path, read.Notes)
	sum := sha256.Sum256(content)
	return &instrumentFile{read, filepath.Base(path), hex.EncodeToString(sum[:])}, nil
}

// of names the file and one sample of it.
func (f *instrumentFile) of(sample string) *dyelotv1.InstrumentFile {
	return &dyelotv1.InstrumentFile{Name: f.name, Sha256: f.sha256, Sample: strings.TrimSpace(sample)}
}

// bandsOf is the spectrum of a sample that has one.
func bandsOf(s instrument.Sample) *dyelotv1.Spectrum {
	return &dyelotv1.Spectrum{FirstNm: int32(s.Bands.FirstNM), StepNm: int32(s.Bands.StepNM), Reflectance: s.Bands.Reflectance, Specular: s.Specular}
}

// tellNotes says what a file was taken for.
func (s *session) tellNotes(path string, notes []string) {
	if s.flags.JSON || len(notes) == 0 {
		return
	}
	width, _ := terminal(s.Err)
	sheet := paper.New(s.Err, paper.Options{Width: width})
	for _, n := range notes {
		sheet.Para(0, "%s: %s", filepath.Base(path), n)
	}
	_ = sheet.Close() // where stderr is gone, the work is done all the same
}
