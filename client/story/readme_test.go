package story_test

import (
	"flag"
	"os"
	"os/exec"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write what the commands of README.md print now into it; read it before keeping it")

const readme = "../../README.md"

// The README's first hour is typed as it stands there, into a fresh studio, and
// must print what stands there. A line "…" stands for lines left out.
func TestTheReadmesFirstHourPrintsWhatItSays(t *testing.T) {
	t.Parallel()
	text, err := os.ReadFile(readme)
	if err != nil {
		t.Fatal(err)
	}
	s := open(t)
	parts := strings.Split(string(text), "```console\n")
	for i, part := range parts[1:] {
		block, rest, ok := strings.Cut(part, "```\n")
		if !ok {
			t.Fatal("a console block has no end")
		}
		parts[i+1] = s.block(block) + "```\n" + rest
	}
	if *update {
		if err := os.WriteFile(readme, []byte(strings.Join(parts, "```console\n")), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// block types each command of a block and compares what it prints; it returns
// the block as it should read.
func (s *studio) block(block string) string {
	s.t.Helper()
	var out strings.Builder
	lines := strings.Split(strings.TrimSuffix(block, "\n"), "\n")
	for i := 0; i < len(lines); {
		if !strings.HasPrefix(lines[i], "$ ") {
			s.t.Fatalf("README: %q follows no command", lines[i])
		}
		command := []string{strings.TrimPrefix(lines[i], "$ ")}
		out.WriteString(lines[i] + "\n")
		for i++; strings.HasSuffix(command[len(command)-1], "\\"); i++ {
			command = append(command, lines[i])
			out.WriteString(lines[i] + "\n")
		}
		var want []string
		for ; i < len(lines) && !strings.HasPrefix(lines[i], "$ "); i++ {
			want = append(want, lines[i])
		}
		got := s.typed(strings.Join(command, "\n"))
		if !*update && !reads(got, want) {
			s.t.Errorf("README: %s\nprints\n%s\nand the README says\n%s", strings.Join(command, "\n"), strings.Join(got, "\n"), strings.Join(want, "\n"))
		}
		for _, line := range shortened(got, want) {
			out.WriteString(line + "\n")
		}
	}
	return out.String()
}

// typed runs a line in a shell, as a person would, and returns what both
// outputs showed.
func (s *studio) typed(line string) []string {
	s.t.Helper()
	cmd := exec.Command("bash", "-c", line)
	cmd.Env = s.env()
	out, err := cmd.CombinedOutput()
	if _, failed := err.(*exec.ExitError); err != nil && !failed {
		s.t.Fatal(err)
	}
	if len(out) == 0 {
		return nil
	}
	return strings.Split(strings.TrimSuffix(string(out), "\n"), "\n")
}

// reads: the lines are those wanted, where "…" stands for any number of them.
func reads(got, want []string) bool {
	for k, w := range want {
		if w == "…" {
			for skip := 0; skip <= len(got); skip++ {
				if reads(got[skip:], want[k+1:]) {
					return true
				}
			}
			return false
		}
		if len(got) == 0 || strings.TrimRight(got[0], " ") != strings.TrimRight(w, " ") {
			return false
		}
		got = got[1:]
	}
	return len(got) == 0
}

// shortened keeps the README's own choice of what to leave out, where it still
// fits; otherwise everything is shown.
func shortened(got, want []string) []string {
	if reads(got, want) {
		return want
	}
	for i := range got {
		got[i] = strings.TrimRight(got[i], " ")
	}
	return got
}
