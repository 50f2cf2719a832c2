package instrument

import (
	"io"

	"dyelot/inventory/colour"
	"dyelot/inventory/fault"
)

// Limits of what is read, each with its reason.
const (
	// MaxBytes: 5 000 spectra of 81 bands in text; what one call of the service
	// carries.
	MaxBytes = 4_000_000
	// MaxSamples: the largest printed charts hold a few thousand patches, and no
	// bench measures more cloth than that into one file.
	MaxSamples = 5000
	// MaxFields: a list by 1 nm from 300 to 1100 nm, and names and colours beside.
	MaxFields = 1000
	// MaxElements of XML: forty for each of 5 000 samples. A file that is all
	// brackets would otherwise fill the memory.
	MaxElements = 200_000
	// MaxDepth of XML: CxF3 nests about ten deep.
	MaxDepth = 64
	// MaxName is how many characters of a sample's name fit a label and a line.
	MaxName = 200
	// MaxNotes: after so many, more say nothing new.
	MaxNotes = 50
)

// The ends of what any instrument for cloth sees, in nm: near ultraviolet to
// near infrared. A number outside is no wavelength.
const (
	lowestNM  = 300
	highestNM = 1100
)

// Format is how a file is written.
type Format string

// The formats.
const (
	CGATS Format = "cgats" // CGATS.17, ISO 28178
	CxF3  Format = "cxf3"  // ISO 17972-1
	CSV   Format = "csv"   // comma, semicolon or tab
)

// Scale is how a file writes reflectance.
type Scale string

// The scales.
const (
	Unsaid   Scale = ""
	Fraction Scale = "fraction" // 0 to 1
	Percent  Scale = "percent"  // 0 to 100
)

// File is what a file holds.
type File struct {
	Format     Format
	Instrument string // as the file names it
	Date       string // as the file writes it
	Specular   string // "included", "excluded", or empty where the file does not say, or says both
	// Notes are sentences for a person: what was taken for what, what was left
	// aside, and what the file does not say.
	Notes   []string
	Samples []Sample
}

// Sample is one measured spot: a spectrum, or a colour where the file has no
// spectrum of it.
type Sample struct {
	Name     string
	Line     int           // where it begins in the file, from 1
	Specular string        // "included", "excluded" or empty
	Bands    *colour.Curve // nil where the file has only a colour
	Lab      *Colour       // nil where the file has a spectrum
}

// Colour is L*a*b*, with the light and the eye that it was computed for; View is
// nil where neither the file nor a hint says.
type Colour struct {
	colour.Lab
	View *colour.View
}

// Hint is what a person knows of a file that it may not say itself. Where the
// file says otherwise, it is refused.
type Hint struct {
	View  *colour.View // of its L*a*b* or XYZ
	Scale Scale        // of its reflectances
}

// Read takes a file apart. What cannot be read is a fault.BadField on "file",
// with the line and the reason; an error of the reader itself is returned as it
// is.
func Read(r io.Reader, hint Hint) (File, error) {
	data, err := io.ReadAll(io.LimitReader(r, MaxBytes+1))
	if err != nil {
		return File{}, err
	}
	f := &found{}
	text, err := f.plain(data)
	if err != nil {
		return File{}, err
	}
	f.Format = formatOf(text)
	readers := map[Format]func(string) error{CGATS: f.cgats, CxF3: f.cxf, CSV: f.csv}
	if err := readers[f.Format](text); err != nil {
		return File{}, err
	}
	return f.settle(hint)
}

// refuse names what is off, and where. Line 0 is the whole file.
func refuse(line int, format string, args ...any) *fault.Fault {
	f := fault.BadField("file", format, args...)
	if line > 0 {
		f = fault.BadField("file", "line %d: %s", line, f.Say).With("line", itoa(line))
	}
	return f
}
