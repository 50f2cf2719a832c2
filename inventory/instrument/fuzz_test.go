package instrument_test

import (
	"bytes"
	"os"
	"testing"

	"dyelot/inventory/fault"
	"dyelot/inventory/instrument"
)

// readAny reads what may be anything: no panic; a refusal is of the file; what
// is read keeps its laws and is read the same from our own CGATS.
func readAny(t failer, data []byte) {
	t.Helper()
	f, err := instrument.Read(bytes.NewReader(data), instrument.Hint{})
	if err != nil {
		if refused, is := fault.Of(err); !is || refused.Field != "file" || refused.Say == "" {
			t.Fatalf("refused as %v", err)
		}
		return
	}
	check(t, f)
	again(t, f)
}

func fuzz(f *testing.F, seeds ...string) {
	for _, file := range seeds {
		data, err := os.ReadFile(file)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
	f.Fuzz(func(t *testing.T, data []byte) { readAny(t, data) })
}

func FuzzCGATS(f *testing.F) {
	for _, text := range cgatsTexts {
		f.Add([]byte(text))
	}
	fuzz(f, "testdata/spectra.cgats", samples+"/ColorChecker.cie", samples+"/SOtele.sp")
}

func FuzzCxF3(f *testing.F) {
	for _, text := range cxfTexts {
		f.Add([]byte(text))
	}
	fuzz(f, "testdata/spectra.cxf")
}

func FuzzCSV(f *testing.F) {
	for _, text := range csvTexts {
		f.Add([]byte(text))
	}
	fuzz(f, "testdata/spectra.csv", "testdata/spectra-upright.tsv", "testdata/spectra_inputs.csv")
}
