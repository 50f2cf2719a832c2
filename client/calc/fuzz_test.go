package calc_test

import (
	"bytes"
	"encoding/json"
	"slices"
	"strings"
	"testing"
	"time"

	"dyelot/inventory/fault"
)

// FuzzDocuments puts any bytes to any calculation: an answer that is one JSON
// document with neither NaN nor −0, or a refusal that names a field; never a
// panic, never for long.
func FuzzDocuments(f *testing.F) {
	var names []string
	for name, document := range sound {
		names = append(names, name)
		f.Add(name, []byte(document))
		f.Add(name, []byte(strings.ReplaceAll(document, "0", "1e99")))
		f.Add(name, []byte(strings.ReplaceAll(document, ":", ":[")))
	}
	slices.Sort(names)
	f.Fuzz(func(t *testing.T, name string, document []byte) {
		if !slices.Contains(names, name) {
			name = names[len(document)%len(names)]
		}
		start := time.Now()
		out, err := run(string(document), name, "--in", "-", "--json", "--timeout", "200ms")
		if took := time.Since(start); took > 10*time.Second {
			t.Errorf("%s took %v for %q", name, took, document)
		}
		if err != nil {
			if fa, ok := fault.Of(err); !ok || fa.Kind != fault.Invalid || fa.Field == "" && fa.Reason != "BEYOND_NUMBERS" || out != "" {
				t.Errorf("%s refuses %q with %v and %q", name, document, err, out)
			}
			return
		}
		if !json.Valid([]byte(out)) || bytes.Count([]byte(out), []byte("\n")) != 1 || strings.Contains(out, ":-0,") || strings.Contains(out, "[-0,") {
			t.Errorf("%s answers %q with %q", name, document, out)
		}
		if spoken, err := run(string(document), name, "--in", "-", "--timeout", "200ms"); err != nil || spoken == "" {
			t.Errorf("%s answers %q in JSON, and to a person %v", name, document, err)
		}
	})
}
