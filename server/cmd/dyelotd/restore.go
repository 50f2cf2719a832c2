package main

import (
	"context"
	"errors"
	"fmt"
	"os"

	"github.com/spf13/cobra"

	"dyelot/server/postgres"
	"dyelot/server/store"
)

func restoreCommand() *cobra.Command {
	var c config
	cmd := &cobra.Command{
		Use:   "restore FILE",
		Short: "Read a backup into an empty place, and verify its books",
		Long: `Reads a backup, as "dyelot backup" writes it, into an empty state folder or an
empty database. A file that was cut or changed is refused before anything is
touched. The tokens of the studio come back with it.`,
		Example: "  dyelotd restore studio.backup --state-dir /srv/studio-again",
		Args:    cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			return restore(cmd.Context(), c, args[0], cmd)
		},
	}
	c.where(cmd.Flags())
	return cmd
}

func restore(ctx context.Context, c config, path string, cmd *cobra.Command) (err error) {
	if err := c.check(); err != nil {
		return err
	}
	log, err := newLog(c.LogLevel)
	if err != nil {
		return err
	}
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	cluster, dsn, err := openDatabase(ctx, c, log)
	if err != nil {
		return err
	}
	st := &studio{cluster: cluster, dsn: dsn}
	defer func() { err = errors.Join(err, st.close()) }()
	if err := postgres.Restore(ctx, dsn, f); err != nil {
		return err
	}
	if err := store.Migrate(ctx, dsn); err != nil {
		return err
	}
	if st.store, err = store.Open(ctx, dsn); err != nil {
		return err
	}
	return st.store.Read(ctx, func(tx *store.Tx) error {
		v, err := tx.Verify()
		if err != nil {
			return err
		}
		for _, found := range v.Findings {
			fmt.Fprintf(cmd.ErrOrStderr(), "%s %s: %s\n", found.Check, found.Subject, found.Text)
		}
		if len(v.Findings) > 0 {
			return fmt.Errorf("the backup was read, and %d checks of its books fail", len(v.Findings))
		}
		fmt.Fprintf(cmd.OutOrStdout(), "restored: %d movements, %d lots, %d garments; balances %.16s\n", v.Counts["movements"], v.Counts["lots"], v.Counts["garments"], v.Digest)
		return nil
	})
}
