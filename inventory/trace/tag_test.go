package trace_test

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"dyelot/inventory/fault"
	"dyelot/inventory/trace"
)

const alphabet = "0123456789ABCDEFGHJKMNPQRSTVWXYZ" // Crockford, Base 32

// wantField asks for a refusal that names the field.
func wantField(t *testing.T, err error, field string) {
	t.Helper()
	if f, ok := fault.Of(err); !ok || f.Kind != fault.Invalid || f.Field != field {
		t.Errorf("got %v, want %s refused", err, field)
	}
}

func TestTag(t *testing.T) {
	t.Parallel()
	for serial, want := range map[int64]string{
		1234: "16JD", // Crockford, Base 32
		// By hand.
		1: "11", 10: "AA", 31: "ZZ", 37: "150", 38: "161", 1024: "100S",
		// Python's integers: 2⁶³ − 1 is 5 modulo 37, 2⁶³ − 16 is 27.
		math.MaxInt64: "7ZZZZZZZZZZZZ5", math.MaxInt64 - 15: "7ZZZZZZZZZZZGV",
	} {
		got, err := trace.Tag(serial)
		if err != nil || got != want {
			t.Errorf("%d: %q, %v; want %q", serial, got, err, want)
		}
		if back, err := trace.ParseTag(want); err != nil || back != serial {
			t.Errorf("%q: %d, %v; want %d", want, back, err, serial)
		}
	}
}

func TestParseTagForgivesTheHand(t *testing.T) {
	t.Parallel()
	for _, text := range []string{"16JD", "16jd", "I6JD", "l6jd", "L6JD", "16-JD", " 1 6 J D ", "16J-D", "0016JD", "OO16JD", "ooi6jd"} {
		if serial, err := trace.ParseTag(text); err != nil || serial != 1234 {
			t.Errorf("%q: %d, %v", text, serial, err)
		}
	}
}

func TestParseTagRefuses(t *testing.T) {
	t.Parallel()
	for _, text := range []string{
		"", " ", "-", "D", "16J", "16JC", "1JD6", "61JD", "16DJ", // short, wrong, swapped
		"16UD", "1!JD", "16JÐ", "ı6JD", "１6JD", "16_JD", "16JD\n", // not of the alphabet
		"10*", "11~", "12$", "13=", "14U", "14u", // check characters that no tag carries
		"00", "0", "000", "OO", // serial 0
		"80000000000000", "7ZZZZZZZZZZZZZG", "ZZZZZZZZZZZZZZZZZZ0", // beyond int64
		strings.Repeat("0", 100) + "16JD",
	} {
		serial, err := trace.ParseTag(text)
		wantField(t, err, "tag")
		if serial != 0 {
			t.Errorf("%q: serial %d beside a refusal", text, serial)
		}
	}
}

func TestTagRefuses(t *testing.T) {
	t.Parallel()
	// 32 … 36 and their like modulo 37 would end in * ~ $ = U.
	for _, serial := range []int64{0, -1, math.MinInt64, 32, 33, 34, 35, 36, 69, 73, 37*1000 + 32} {
		_, err := trace.Tag(serial)
		wantField(t, err, "serial")
	}
}

// The issued serials are all but those, each once, and about 13 % are left out.
func TestNextSerialSkipsWhatCannotBeWritten(t *testing.T) {
	t.Parallel()
	const most = 37 * 100
	issued, at := 0, int64(0)
	for {
		next, err := trace.NextSerial(at)
		if err != nil {
			t.Fatal(err)
		}
		for skipped := at + 1; skipped < min(next, most); skipped++ {
			if _, err := trace.Tag(skipped); err == nil {
				t.Errorf("%d was skipped and can be written", skipped)
			}
		}
		if at = next; at >= most {
			break
		}
		if _, err := trace.Tag(at); err != nil {
			t.Error(err)
		}
		issued++
	}
	if issued != 100*32-1 { // residues 0 … 31, without serial 0
		t.Errorf("%d of %d issued", issued, most)
	}
}

func TestNextSerialEnds(t *testing.T) {
	t.Parallel()
	_, err := trace.NextSerial(-1)
	wantField(t, err, "after")
	_, err = trace.NextSerial(math.MaxInt64)
	wantField(t, err, "after")
}

// drawTag is a tag that was issued, of any length.
func drawTag(t *rapid.T) (int64, string) {
	bits := rapid.IntRange(1, 62).Draw(t, "bits")
	serial, err := trace.NextSerial(rapid.Int64Range(0, 1<<bits).Draw(t, "after"))
	if err != nil {
		t.Fatal(err)
	}
	tag, err := trace.Tag(serial)
	if err != nil {
		t.Fatal(err)
	}
	return serial, tag
}

func TestParseTagTurnsTagBack(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		serial, tag := drawTag(t)
		if got, err := trace.ParseTag(strings.ToLower(tag)); err != nil || got != serial {
			t.Fatalf("%s: %d, %v; want %d", tag, got, err, serial)
		}
		if strings.Trim(tag, alphabet) != "" {
			t.Fatalf("%s leaves the alphabet", tag)
		}
	})
}

// Every swap of two neighbours that differ, the check character's among them.
func TestEverySwapOfNeighboursIsCaught(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		_, tag := drawTag(t)
		for i := range len(tag) - 1 {
			b := []byte(tag)
			if b[i] == b[i+1] {
				continue
			}
			b[i], b[i+1] = b[i+1], b[i]
			if serial, err := trace.ParseTag(string(b)); err == nil {
				t.Fatalf("%s typed as %s is taken for %d", tag, b, serial)
			}
		}
	})
}

// Every other character in every place.
func TestEveryWrongCharacterIsCaught(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		_, tag := drawTag(t)
		for i := range len(tag) {
			for _, c := range []byte(alphabet) {
				if c == tag[i] {
					continue
				}
				typed := tag[:i] + string(c) + tag[i+1:]
				if serial, err := trace.ParseTag(typed); err == nil {
					t.Fatalf("%s typed as %s is taken for %d", tag, typed, serial)
				}
			}
		}
	})
}
