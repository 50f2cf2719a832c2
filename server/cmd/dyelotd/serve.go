package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"time"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"
	healthpb "google.golang.org/grpc/health/grpc_health_v1"

	"dyelot/server/api"
	"dyelot/server/postgres"
	"dyelot/server/store"
	"dyelot/server/telemetry"
)

func serveCommand() *cobra.Command {
	var c config
	cmd := &cobra.Command{
		Use:     "serve",
		Short:   "Answer calls until told to stop",
		Example: "  dyelotd serve --state-dir /srv/studio --addr 127.0.0.1:7420",
		Args:    cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return serve(cmd.Context(), c, cmd)
		},
	}
	c.where(cmd.Flags())
	c.listen(cmd.Flags())
	return cmd
}

// drain is how long calls under way may take once the service was told to stop.
const drain = 10 * time.Second

func serve(ctx context.Context, c config, cmd *cobra.Command) (err error) {
	if err := c.check(); err != nil {
		return err
	}
	log, err := newLog(c.LogLevel)
	if err != nil {
		return err
	}
	slog.SetDefault(log)
	log.Info("starting", "version", version, "config", c.String())
	l, err := (&net.ListenConfig{}).Listen(ctx, "tcp", c.Addr)
	if err != nil {
		return fmt.Errorf("the address is not free: %w", err)
	}
	defer l.Close() // Serve closes it as well
	st, err := openStudio(ctx, c, log)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, st.close()) }()
	if err := st.firstStart(ctx, c, cmd); err != nil {
		return err
	}
	watch := telemetry.New(log, st.store, version)
	if c.MetricsAddr != "off" {
		if err := watch.Serve(ctx, c.MetricsAddr); err != nil {
			return fmt.Errorf("the address of the metrics is not free: %w", err)
		}
	}
	s, err := api.New(api.Options{
		Store: st.store, Version: version, Backup: postgres.Dumper(st.dsn),
		WatchUnary: watch.Unary, WatchStream: watch.Stream,
	})
	if err != nil {
		return err
	}
	return run(ctx, s, l, st, log)
}

// firstStart makes what a new studio lacks.
func (st *studio) firstStart(ctx context.Context, c config, cmd *cobra.Command) error {
	if c.TimeZone != "" {
		err := st.store.InTx(ctx, store.Principal{}, func(tx *store.Tx) error {
			if has, err := tx.HasOwner(); err != nil || has {
				return err // not the first start: the studio's own setting stands
			}
			s, err := tx.Studio()
			if err != nil {
				return err
			}
			s.TimeZone = c.TimeZone
			return tx.SetStudio(s)
		})
		if err != nil {
			return err
		}
	}
	return st.ownerToken(ctx, c, false, cmd.OutOrStdout())
}

// run answers until ctx is done or PostgreSQL ended, then lets calls under way
// finish, within limits.
func run(ctx context.Context, s *api.Server, l net.Listener, st *studio, log *slog.Logger) error {
	s.Health.SetServingStatus("", healthpb.HealthCheckResponse_SERVING)
	served := make(chan error, 1)
	go func() { served <- s.Serve(l) }()
	log.Info("ready", "addr", l.Addr().String())
	select {
	case err := <-served:
		return err
	case <-ctx.Done():
		log.Info("stopping")
	case <-st.ended():
		s.Stop()
		return st.cluster.Err()
	}
	s.Health.Shutdown()
	gone := make(chan struct{})
	go func() { s.GracefulStop(); close(gone) }()
	select {
	case <-gone:
	case <-time.After(drain):
		log.Warn("calls were still under way and are cut off", "after", drain)
		s.Stop()
	}
	if err := <-served; err != nil && !errors.Is(err, grpc.ErrServerStopped) {
		return err
	}
	log.Info("stopped")
	return nil
}
