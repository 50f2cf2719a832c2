package calc_test

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"github.com/spf13/cobra"

	"dyelot/client/calc"
	"dyelot/inventory/fault"
)

// run is one command line of a root that has --json, as the program's has.
func run(stdin string, args ...string) (stdout string, err error) {
	return onScreen(false, stdin, args...)
}

// onScreen is run where the terminal has 24-bit colour, or has not.
func onScreen(trueColour bool, stdin string, args ...string) (stdout string, err error) {
	var out bytes.Buffer
	root := &cobra.Command{Use: "dyelot", SilenceErrors: true, SilenceUsage: true}
	root.PersistentFlags().Bool("json", false, "answer in JSON, for programs")
	root.PersistentFlags().Duration("timeout", 0, "give up after this long")
	root.AddCommand(calc.Command(func() bool { return trueColour }))
	root.SetIn(strings.NewReader(stdin))
	root.SetOut(&out)
	root.SetErr(&out)
	root.SetArgs(append([]string{"calc"}, args...))
	err = root.ExecuteContext(context.Background())
	return out.String(), err
}

// ask puts a document to a calculation and returns the document it answers.
func ask(t testing.TB, name, document string) map[string]any {
	t.Helper()
	out, err := run(document, name, "--in", "-", "--json")
	if err != nil {
		t.Fatalf("%s %s: %v", name, document, err)
	}
	var answer map[string]any
	dec := json.NewDecoder(strings.NewReader(out))
	if err := dec.Decode(&answer); err != nil {
		t.Fatalf("%s answers %q: %v", name, out, err)
	}
	if dec.More() || strings.Count(out, "\n") != 1 {
		t.Fatalf("%s answers more than one document: %q", name, out)
	}
	return answer
}

// wants compares an answer with the one written beside its source: the same
// fields and no other, numbers within so much of each other.
func wants(t testing.TB, name, document, want string, within float64) {
	t.Helper()
	var expected map[string]any
	if err := json.Unmarshal([]byte(want), &expected); err != nil {
		t.Fatalf("the expected answer %s: %v", want, err)
	}
	got := ask(t, name, document)
	if diff := cmp.Diff(expected, got, cmpopts.EquateApprox(0, within)); diff != "" {
		t.Errorf("%s %s (-want +got):\n%s", name, document, diff)
	}
}

// refuses wants a fault.Invalid that names a field and says some words.
func refuses(t testing.TB, field, says string, out string, err error) {
	t.Helper()
	f, ok := fault.Of(err)
	switch {
	case !ok || f.Kind != fault.Invalid:
		t.Errorf("want a refusal of %q, got %v and %.200q", field, err, out)
	case f.Field != field || !strings.Contains(f.Say, says):
		t.Errorf("want a refusal of %q that says %q, got %v", field, says, err)
	case out != "":
		t.Errorf("a refusal of %q came with an answer: %.200q", field, out)
	}
}

// golden compares with a file under testdata, and writes it where the
// environment says so: CALC_GOLDEN=write go test ./client/calc
func golden(t testing.TB, name, got string) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if os.Getenv("CALC_GOLDEN") == "write" {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), got); diff != "" {
		t.Errorf("%s (-want +got):\n%s", path, diff)
	}
}
