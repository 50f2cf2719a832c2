package client

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// home is a bench with this configuration file.
func home(t *testing.T, mode os.FileMode, file string) bench {
	t.Helper()
	dir := t.TempDir()
	if err := os.Mkdir(filepath.Join(dir, "dyelot"), 0o700); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(dir, "dyelot", "config.toml")
	if err := os.WriteFile(path, []byte(file), mode); err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(path, mode); err != nil { // past the umask
		t.Fatal(err)
	}
	return bench{env: map[string]string{"XDG_CONFIG_HOME": dir}}
}

// The contract: flags win over the environment, the environment over the file.
func TestFlagsOverEnvironmentOverFile(t *testing.T) {
	t.Parallel()
	service := open(t, nil)
	wrong := "127.0.0.1:1"
	token := func(i int) string { return strings.Join(service.seen()[i].metadata.Get("authorization"), "") }

	b := home(t, 0o600, `addr = "`+service.addr+`"`+"\ntoken = \"from-file\"\ntime_zone = \"UTC\"\n")
	if got := b.run(t, "stock", "list"); got.code != 0 || token(0) != "Bearer from-file" || got.err != "" {
		t.Fatalf("file: exit code %d, %s, %s", got.code, token(0), got.err)
	}
	b = home(t, 0o600, `addr = "`+wrong+`"`+"\ntoken = \"from-file\"\n")
	b = b.with("DYELOT_ADDR", service.addr).with("DYELOT_TOKEN", "from-env")
	if got := b.run(t, "stock", "list"); got.code != 0 || token(1) != "Bearer from-env" {
		t.Fatalf("environment over file: exit code %d, %s", got.code, token(1))
	}
	b = b.with("DYELOT_ADDR", wrong)
	if got := b.run(t, "stock", "list", "--addr", service.addr, "--token", "from-flag"); got.code != 0 || token(2) != "Bearer from-flag" {
		t.Fatalf("flag over environment: exit code %d, %s", got.code, token(2))
	}
}

func TestTheFileIsReadStrictly(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		file, says string
		code       int
	}{
		"an unknown key":   {"adress = \"127.0.0.1:1\"\n", `"adress" is not a setting`, 2},
		"an unknown table": {"[server]\naddr = \"x\"\n", `"server`, 2},
		"no TOML":          {"addr = \n", "config.toml: ", 2},
		"not text":         {"token = \"\xff\"\n", "config.toml: ", 2},
		"a bad token":      {"token = \"two words\"\n", "token: ", 2},
		"a bad zone":       {"time_zone = \"Atlantis/Old\"\naddr = \"127.0.0.1:1\"\n", "is not a time zone", 2},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			got := home(t, 0o600, c.file).run(t, "stock", "count", "P1", "1g", "--at", "today")
			if got.code != c.code || !strings.Contains(got.err, c.says) {
				t.Errorf("exit code %d: %s; want %d with %q", got.code, got.err, c.code, c.says)
			}
		})
	}
}

func TestATokenThatOthersCanReadIsWarnedOf(t *testing.T) {
	t.Parallel()
	service := open(t, nil)
	for mode, warned := range map[os.FileMode]bool{0o600: false, 0o400: false, 0o640: true, 0o644: true} {
		got := home(t, mode, "token = \"t\"\n").with("DYELOT_ADDR", service.addr).run(t, "stock", "list", "--json")
		if strings.Contains(got.err, "chmod 600") != warned || got.code != 0 {
			t.Errorf("mode %o: exit code %d, stderr %q", mode, got.code, got.err)
		}
	}
	got := home(t, 0o644, "time_zone = \"UTC\"\n").with("DYELOT_ADDR", service.addr).run(t, "stock", "list")
	if got.err != "" {
		t.Errorf("no token in it, but %q", got.err)
	}
}

// What needs no service reads no configuration: a broken file does not stop the
// bench calculator or the help.
func TestABrokenFileStopsNothingElse(t *testing.T) {
	t.Parallel()
	b := home(t, 0o600, "nonsense")
	for _, line := range []string{"--version", "--help", "stock --help", "calc tag --serial 1234"} {
		if got := b.run(t, strings.Fields(line)...); got.code != 0 || got.out == "" {
			t.Errorf("dyelot %s: exit code %d: %s", line, got.code, got.err)
		}
	}
}

// The studio is asked for its zone only where nobody said one.
func TestTimesAreReadInTheStudiosZone(t *testing.T) {
	t.Parallel()
	service := open(t, shelf)
	b := bench{env: map[string]string{"DYELOT_ADDR": service.addr}}
	if got := b.run(t, "lot", "issue", "L1", "--at", "2026-05-14 08:00"); got.code != 0 {
		t.Fatal(got.err)
	}
	calls := service.seen()
	issue, _ := calls[len(calls)-1].request.(*dyelotv1.IssueLotRequest)
	if calls[0].method != "StudioService/GetStudio" || issue.GetHappenedAt().GetSeconds() != 1778738400 {
		t.Errorf("asked %v", calls)
	}
	if got := b.run(t, "lot", "issue", "L1", "--at", "2026-05-14 08:00", "--time-zone", "UTC"); got.code != 0 {
		t.Fatal(got.err)
	}
	if calls = service.seen(); len(calls) != 3 {
		t.Errorf("asked %d times, want no question about the zone", len(calls)-2)
	}
}
