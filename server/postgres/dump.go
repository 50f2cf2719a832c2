package postgres

import (
	"bufio"
	"bytes"
	"context"
	"crypto/sha256"
	"database/sql"
	"errors"
	"fmt"
	"hash"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"

	"dyelot/inventory/fault"
)

// A backup is one line that says what it is, PostgreSQL's own archive, and the
// SHA-256 of all that came before: a file that was cut or changed is refused
// before anything is restored.
const backupHead = "dyelot backup 1\n"

// Dumper writes a backup of the database at dsn, taken in one snapshot while
// the database works, by the newest pg_dump on the machine.
func Dumper(dsn string) func(ctx context.Context, to io.Writer) error {
	return func(ctx context.Context, to io.Writer) error {
		p, err := findPrograms(programsRoot, 0)
		if err != nil {
			return err
		}
		sum := sha256.New()
		w := io.MultiWriter(to, sum)
		if _, err := io.WriteString(w, backupHead); err != nil {
			return err
		}
		cmd := exec.CommandContext(ctx, filepath.Join(filepath.Dir(p.postgres), "pg_dump"),
			"--format=custom", "--no-owner", "--no-privileges", "--dbname="+dsn)
		cmd.Stdout = w
		if err := told(cmd); err != nil {
			return fmt.Errorf("pg_dump: %w", err)
		}
		_, err = to.Write(sum.Sum(nil))
		return err
	}
}

// Restore reads a backup into the empty database at dsn, in one transaction.
//
// fault.Refused: NOT_A_BACKUP (another file), BACKUP_DAMAGED (cut or changed),
// NOT_EMPTY (there are tables already; nothing is touched).
func Restore(ctx context.Context, dsn string, from *os.File) error {
	size, err := checkBackup(from)
	if err != nil {
		return err
	}
	if err := checkEmpty(ctx, dsn); err != nil {
		return err
	}
	p, err := findPrograms(programsRoot, 0)
	if err != nil {
		return err
	}
	cmd := exec.CommandContext(ctx, filepath.Join(filepath.Dir(p.postgres), "pg_restore"),
		"--single-transaction", "--exit-on-error", "--no-owner", "--no-privileges", "--dbname="+dsn)
	cmd.Stdin = io.NewSectionReader(from, int64(len(backupHead)), size)
	if err := told(cmd); err != nil {
		return fmt.Errorf("pg_restore: %w", err)
	}
	return nil
}

// checkBackup returns how long the archive inside is.
func checkBackup(from *os.File) (int64, error) {
	info, err := from.Stat()
	if err != nil {
		return 0, err
	}
	head := make([]byte, len(backupHead))
	if _, err := from.ReadAt(head, 0); err != nil && !errors.Is(err, io.EOF) || string(head) != backupHead {
		return 0, fault.Refuse("NOT_A_BACKUP", "%s is not a backup of dyelot", info.Name())
	}
	archive := info.Size() - int64(len(backupHead)) - sha256.Size
	damaged := fault.Refuse("BACKUP_DAMAGED", "%s was cut or changed since it was written: use another backup; nothing was touched", info.Name())
	if archive <= 0 {
		return 0, damaged
	}
	want := make([]byte, sha256.Size)
	if _, err := from.ReadAt(want, info.Size()-sha256.Size); err != nil {
		return 0, err
	}
	sum := sha256.New()
	if err := copyAll(sum, io.NewSectionReader(from, 0, info.Size()-sha256.Size)); err != nil {
		return 0, err
	}
	if !bytes.Equal(sum.Sum(nil), want) {
		return 0, damaged
	}
	return archive, nil
}

func copyAll(sum hash.Hash, from io.Reader) error {
	_, err := io.Copy(sum, bufio.NewReaderSize(from, 1<<20))
	return err
}

func checkEmpty(ctx context.Context, dsn string) error {
	db, err := sql.Open("postgres", dsn)
	if err != nil {
		return err
	}
	defer db.Close()
	var tables int
	if err := db.QueryRowContext(ctx, `select count(*) from pg_tables where schemaname = 'public'`).Scan(&tables); err != nil {
		return err
	}
	if tables > 0 {
		return fault.Refuse("NOT_EMPTY", "there is a studio in that place already: restore into an empty state folder or an empty database; nothing was touched")
	}
	return nil
}

// told runs a program of PostgreSQL's and puts what it said into the error.
func told(cmd *exec.Cmd) error {
	var said bytes.Buffer
	cmd.Stderr = &said
	if err := cmd.Run(); err != nil {
		return fmt.Errorf("%w: %s", err, strings.TrimSpace(said.String()))
	}
	return nil
}
