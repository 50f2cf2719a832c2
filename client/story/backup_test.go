package story_test

import (
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"dyelot/server/postgres/trial"
)

// A backup is taken while the studio works, and the restored books are the same
// to the last balance; a file that was cut or changed is refused.
func TestABackupComesBackWhole(t *testing.T) {
	t.Parallel()
	s := open(t)
	s.do("item", "add", "mordant", "alum", "--substance", "potassium alum")
	s.do("stock", "receive", "alum", "500g", "--at", "2026-05-14")
	s.do("stock", "promise", "P1", "20g", "--for", "samples")
	s.do("stock", "count", "P1", "498.5g", "--reason", "stocktaking")
	whole := s.do("verify")
	file := filepath.Join(t.TempDir(), "studio.backup")
	s.show("backup", file)
	if info, err := os.Stat(file); err != nil || info.Mode().Perm() != 0o600 {
		t.Fatalf("the backup is %v, %v", info.Mode(), err)
	}
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	place := trial.Empty(t)
	changed := append([]byte{}, text...)
	changed[len(changed)/2] ^= 1
	for name, bad := range map[string][]byte{"cut": text[:len(text)-100], "changed": changed, "empty": {}, "something else": []byte("a shopping list")} {
		path := filepath.Join(t.TempDir(), "bad.backup")
		if err := os.WriteFile(path, bad, 0o600); err != nil {
			t.Fatal(err)
		}
		if out, code := restore(t.Context(), s.dir, path, place); code != 4 {
			t.Errorf("a backup that is %s: exit %d: %s", name, code, out)
		}
	}
	out, code := restore(t.Context(), s.dir, file, place)
	if code != 0 {
		t.Fatalf("restore: exit %d: %s", code, out)
	}
	if digest := whole.at("balances_sha256").text(); !strings.Contains(out, digest[:16]) {
		t.Errorf("the balances were %s and are not in: %s", digest, out)
	}
	if out, code := restore(t.Context(), s.dir, file, place); code != 4 {
		t.Errorf("a restore over a studio that is there: exit %d: %s", code, out)
	}
}

func restore(ctx context.Context, dir, file, dsn string) (string, int) {
	cmd := exec.CommandContext(ctx, filepath.Join(dir, "dyelotd"), "restore", file, "--database-url", dsn)
	out, _ := cmd.CombinedOutput() // the exit code says it
	return string(out), cmd.ProcessState.ExitCode()
}
