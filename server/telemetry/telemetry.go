// Package telemetry is what the service says of itself: one log line a call,
// and metrics that Prometheus reads.
package telemetry

import (
	"context"
	"errors"
	"log/slog"
	"net"
	"net/http"
	"time"

	grpcprom "github.com/grpc-ecosystem/go-grpc-middleware/providers/prometheus"
	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
	"github.com/prometheus/client_golang/prometheus/promhttp"
	"google.golang.org/grpc"
	"google.golang.org/grpc/status"

	"dyelot/server/store"
)

// Watch holds the service's own registry and the interceptors that fill it.
type Watch struct {
	registry *prometheus.Registry
	metrics  *grpcprom.ServerMetrics
	log      *slog.Logger
}

// New registers the Go runtime, the process, every call and the pool.
func New(log *slog.Logger, s *store.Store, version string) *Watch {
	w := &Watch{
		registry: prometheus.NewRegistry(),
		metrics: grpcprom.NewServerMetrics(grpcprom.WithServerHandlingTimeHistogram(
			grpcprom.WithHistogramBuckets([]float64{0.001, 0.0025, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1, 2.5, 10}))),
		log: log,
	}
	build := prometheus.NewGaugeFunc(prometheus.GaugeOpts{
		Name: "dyelot_build_info", Help: "The version that is running; always 1.", ConstLabels: prometheus.Labels{"version": version},
	}, func() float64 { return 1 })
	w.registry.MustRegister(w.metrics, build, collectors.NewGoCollector(),
		collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}), pool{s}, studio{s, log})
	return w
}

// Unary counts, times and logs one call, with its request id.
func (w *Watch) Unary(ctx context.Context, req any, info *grpc.UnaryServerInfo, next grpc.UnaryHandler) (any, error) {
	began := time.Now()
	resp, err := w.metrics.UnaryServerInterceptor()(ctx, req, info, next)
	id := ""
	if r, ok := req.(interface{ GetRequestId() string }); ok {
		id = r.GetRequestId()
	}
	w.line(ctx, info.FullMethod, id, began, err)
	return resp, err
}

// Stream is Unary for streams.
func (w *Watch) Stream(srv any, ss grpc.ServerStream, info *grpc.StreamServerInfo, next grpc.StreamHandler) error {
	began := time.Now()
	err := w.metrics.StreamServerInterceptor()(srv, ss, info, next)
	w.line(ss.Context(), info.FullMethod, "", began, err)
	return err
}

// line is at debug level for what went well: a studio's log should say what
// wants a look. slog quotes each value, so no text of a request forges a line.
func (w *Watch) line(ctx context.Context, method, id string, began time.Time, err error) {
	level := slog.LevelDebug
	if err != nil {
		level = slog.LevelInfo
	}
	w.log.LogAttrs(ctx, level, "call", slog.String("method", method), slog.String("code", status.Code(err).String()),
		slog.String("request_id", id), slog.Duration("took", time.Since(began).Round(time.Microsecond)))
}

// Serve answers /metrics on addr until ctx is done.
func (w *Watch) Serve(ctx context.Context, addr string) error {
	mux := http.NewServeMux()
	mux.Handle("GET /metrics", promhttp.HandlerFor(w.registry, promhttp.HandlerOpts{}))
	server := &http.Server{Handler: mux, ReadHeaderTimeout: 5 * time.Second}
	l, err := (&net.ListenConfig{}).Listen(ctx, "tcp", addr)
	if err != nil {
		return err
	}
	w.log.Info("metrics", "addr", l.Addr().String())
	go func() {
		<-ctx.Done()
		_ = server.Close() // nothing of a scrape is worth waiting for
	}()
	go func() {
		if err := server.Serve(l); !errors.Is(err, http.ErrServerClosed) {
			w.log.Error("metrics stopped", "error", err)
		}
	}()
	return nil
}
