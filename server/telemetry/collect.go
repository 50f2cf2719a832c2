package telemetry

import (
	"context"
	"log/slog"
	"time"

	"github.com/prometheus/client_golang/prometheus"

	"dyelot/server/store"
)

// pool reports the database connections.
type pool struct{ store *store.Store }

var (
	poolOpen = prometheus.NewDesc("dyelot_database_connections", "Open connections to the database.", []string{"state"}, nil)
	poolWait = prometheus.NewDesc("dyelot_database_wait_seconds_total", "Time that calls waited for a connection.", nil, nil)
)

func (p pool) Describe(ch chan<- *prometheus.Desc) { ch <- poolOpen; ch <- poolWait }

func (p pool) Collect(ch chan<- prometheus.Metric) {
	s := p.store.Stats()
	ch <- prometheus.MustNewConstMetric(poolOpen, prometheus.GaugeValue, float64(s.InUse), "used")
	ch <- prometheus.MustNewConstMetric(poolOpen, prometheus.GaugeValue, float64(s.Idle), "idle")
	ch <- prometheus.MustNewConstMetric(poolWait, prometheus.CounterValue, s.WaitDuration.Seconds())
}

// studio reports what a studio acts on, counted at each scrape.
type studio struct {
	store *store.Store
	log   *slog.Logger
}

var (
	lotsIn     = prometheus.NewDesc("dyelot_lots", "Lots by state.", []string{"state"}, nil)
	belowMin   = prometheus.NewDesc("dyelot_items_below_minimum", "Items whose free stock is below the minimum kept.", nil, nil)
	collectFor = 2 * time.Second
)

func (s studio) Describe(ch chan<- *prometheus.Desc) { ch <- lotsIn; ch <- belowMin }

func (s studio) Collect(ch chan<- prometheus.Metric) {
	ctx, cancel := context.WithTimeout(context.Background(), collectFor)
	defer cancel()
	err := s.store.Read(ctx, func(tx *store.Tx) error {
		g, err := tx.Gauges()
		if err != nil {
			return err
		}
		for state, n := range g.Lots {
			ch <- prometheus.MustNewConstMetric(lotsIn, prometheus.GaugeValue, float64(n), state)
		}
		ch <- prometheus.MustNewConstMetric(belowMin, prometheus.GaugeValue, float64(g.BelowMinimum))
		return nil
	})
	if err != nil {
		s.log.Warn("studio metrics not collected", "error", err)
	}
}
