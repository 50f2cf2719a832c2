package client

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"dyelot/client/paper"
	"dyelot/inventory/fault"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

// errNotWhole ends `dyelot verify` with exit code 1 when the books are off.
var errNotWhole = errors.New("the books are not whole: keep a copy as it is, and see each finding above")

func (s *session) verifyCommand() *cobra.Command {
	return s.command(verb{
		use:     "verify",
		short:   "Rebuild every balance and check every law of the books",
		long:    "Rebuild every balance from the movements and check every law of the books.\nExit code 1 when anything is off.",
		example: "dyelot verify",
		build: func(*form) func(context.Context, []string) error {
			return func(ctx context.Context, _ []string) error {
				resp, err := s.studios().VerifyBooks(ctx, &dyelotv1.VerifyBooksRequest{})
				if err != nil {
					return err
				}
				if err := s.show(ctx, resp, func(p *paper.Sheet) { p.Verified(resp) }); err != nil {
					return err
				}
				if len(resp.GetFindings()) > 0 {
					return errNotWhole
				}
				return nil
			}
		},
	})
}

// usualAudit is how many entries a person wants to see without saying so.
const usualAudit = 50

func (s *session) auditCommand() *cobra.Command {
	list := s.command(verb{
		use:     "list",
		short:   "List who asked for what, the newest at the end",
		example: "dyelot audit list --newest 20",
		build: func(f *form) func(context.Context, []string) error {
			var newest int32
			f.number(&newest, "newest", "only so many of the newest; 0 is all of them (50)")
			return func(ctx context.Context, _ []string) error {
				keep := int(newest)
				switch {
				case keep < 0:
					return fault.BadField("--newest", "%d is negative", keep)
				case !f.changed("newest"):
					keep = usualAudit
				}
				all, err := s.audit(ctx, keep)
				if err != nil {
					return err
				}
				return s.show(ctx, all, func(p *paper.Sheet) { p.Audit(all) })
			}
		},
	})
	return s.noun("audit", "Who did what, and when", "", list)
}

// audit reads every page, since the oldest come first, and keeps the end.
func (s *session) audit(ctx context.Context, keep int) (*dyelotv1.ListAuditEntriesResponse, error) {
	entries, err := pages(func(token string) ([]*dyelotv1.AuditEntry, string, error) {
		resp, err := s.studios().ListAuditEntries(ctx, &dyelotv1.ListAuditEntriesRequest{PageSize: pageSize, PageToken: token})
		return resp.GetEntries(), resp.GetNextPageToken(), err
	})
	if keep > 0 && len(entries) > keep {
		entries = entries[len(entries)-keep:]
	}
	return &dyelotv1.ListAuditEntriesResponse{Entries: entries}, err
}

// kept is a backup as the command reports it.
type kept struct {
	File   string `json:"file"`
	Bytes  int64  `json:"bytes"`
	SHA256 string `json:"sha256"`
}

func (s *session) backupCommand() *cobra.Command {
	return s.command(verb{
		use:   "backup FILE",
		short: "Copy the whole database into a file while the studio works",
		long: `Copy the whole database into a file while the studio works. The file appears only
when it is whole, and only you can read it. An existing file is not overwritten
unless you say --replace.`,
		example: "dyelot backup studio-2026-05-14.backup",
		build: func(f *form) func(context.Context, []string) error {
			var replace bool
			f.flag(&replace, "replace", "overwrite the file when it is there")
			return func(ctx context.Context, args []string) error {
				if _, err := os.Lstat(args[0]); !replace && !errors.Is(err, fs.ErrNotExist) {
					return fault.BadField("FILE", "%s is there already: choose another name, or say --replace", args[0])
				}
				k, err := s.backUp(ctx, args[0])
				if err != nil {
					return err
				}
				return s.showValue(ctx, k, func(p *paper.Sheet) { p.Line("kept %s: %d bytes, SHA-256 %s", k.File, k.Bytes, k.SHA256) })
			}
		},
	})
}

func (s *session) backUp(ctx context.Context, file string) (kept, error) {
	stream, err := s.studios().Backup(ctx, &dyelotv1.BackupRequest{})
	if err != nil {
		return kept{}, err
	}
	k := kept{File: file}
	sum := sha256.New()
	err = putPrivate(file, func(w io.Writer) error {
		w = io.MultiWriter(w, sum)
		for {
			part, err := stream.Recv()
			if errors.Is(err, io.EOF) {
				if k.Bytes == 0 {
					return errors.New("the service sent an empty backup: nothing was written")
				}
				return nil
			}
			if err != nil {
				return err
			}
			n, err := w.Write(part.GetChunk())
			k.Bytes += int64(n)
			if err != nil {
				return err
			}
		}
	})
	k.SHA256 = hex.EncodeToString(sum.Sum(nil))
	return k, err
}

func writePrivate(file string, text []byte) error {
	return putPrivate(file, func(w io.Writer) error {
		_, err := w.Write(text)
		return err
	})
}

// putPrivate writes a file that only its owner can read, whole or not at all:
// beside it first, then renamed, so that a crash leaves the old one.
func putPrivate(file string, write func(io.Writer) error) (err error) {
	dir := filepath.Dir(file)
	tmp, err := os.CreateTemp(dir, "."+filepath.Base(file)+".*") // 0600, so says os.CreateTemp
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			_ = tmp.Close()
			_ = os.Remove(tmp.Name())
		}
	}()
	if err := write(tmp); err != nil {
		return err
	}
	if err := tmp.Sync(); err != nil {
		return err
	}
	if err := tmp.Close(); err != nil {
		return err
	}
	if err := os.Rename(tmp.Name(), file); err != nil {
		return err
	}
	return syncFolder(dir)
}

// syncFolder makes a rename outlive a power cut.
func syncFolder(dir string) error {
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	if err := d.Sync(); err != nil {
		_ = d.Close()
		return fmt.Errorf("keeping %s: %w", dir, err)
	}
	return d.Close()
}
