// Command bench measures ratios, each side by side in one run: machines are
// noisy, so an absolute figure says little and is printed only beside its ratio.
package main

import (
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"slices"
	"time"

	"dyelot/server/postgres"
)

func main() {
	var b bench
	file := flag.String("json", "", "write the ratios to this file")
	flag.StringVar(&b.dyelot, "dyelot", "", "the client program")
	flag.StringVar(&b.stateDir, "state-dir", "", "folder of the private PostgreSQL")
	flag.StringVar(&b.runAs, "run-as", "", "system user of the private PostgreSQL, when run by root")
	flag.DurationVar(&b.each, "each", 3*time.Second, "how long one side of one round takes")
	flag.IntVar(&b.rounds, "rounds", 5, "rounds, the sides taking turns")
	flag.Parse()
	if err := b.run(context.Background(), *file); err != nil {
		fmt.Fprintln(os.Stderr, "bench:", err)
		os.Exit(1)
	}
}

type bench struct {
	dyelot, stateDir, runAs string
	each                    time.Duration
	rounds                  int
	ratios                  map[string]float64
}

func (b *bench) run(ctx context.Context, file string) error {
	b.ratios = map[string]float64{}
	cluster, err := postgres.Start(ctx, postgres.Options{StateDir: b.stateDir, RunAs: b.runAs})
	if err != nil {
		return err
	}
	defer func() { _ = cluster.Stop(context.Background()) }() // its folder is thrown away
	for _, part := range []func(context.Context, string) error{
		b.record,
		b.difference,
		b.nearest,
		b.season,
		b.recall,
		b.start,
	} {
		if err := part(ctx, cluster.DSN()); err != nil {
			return err
		}
	}
	if file == "" {
		return nil
	}
	text, err := json.MarshalIndent(b.ratios, "", "  ")
	if err != nil {
		return err
	}
	return os.WriteFile(file, append(text, '\n'), 0o644)
}

// report prints a ratio with its spread over the rounds, and keeps the median.
func (b *bench) report(name string, rounds []float64, unit string, ours, theirs []float64) {
	slices.Sort(rounds)
	b.ratios[name] = median(rounds)
	fmt.Printf("%-22s %.3f  (%.3f to %.3f over %d rounds; median %s: %.4g over %.4g)\n",
		name, median(rounds), rounds[0], rounds[len(rounds)-1], len(rounds), unit, median(ours), median(theirs))
}

func median(xs []float64) float64 {
	s := slices.Sorted(slices.Values(xs))
	n := len(s)
	if n%2 == 1 {
		return s[n/2]
	}
	return (s[n/2-1] + s[n/2]) / 2
}

// start is the wall time of "dyelot --version" over that of /bin/true.
func (b *bench) start(ctx context.Context, _ string) error {
	if b.dyelot == "" {
		return fmt.Errorf("--dyelot names no program")
	}
	const runs = 60
	var ratios, ours, theirs []float64
	for range b.rounds {
		var dyelot, nothing []float64
		for range runs {
			for _, side := range []struct {
				into *[]float64
				args []string
			}{{&dyelot, []string{b.dyelot, "--version"}}, {&nothing, []string{"/bin/true"}}} {
				began := time.Now()
				if err := exec.CommandContext(ctx, side.args[0], side.args[1:]...).Run(); err != nil {
					return err
				}
				*side.into = append(*side.into, time.Since(began).Seconds()*1000)
			}
		}
		ours, theirs = append(ours, median(dyelot)), append(theirs, median(nothing))
		ratios = append(ratios, median(dyelot)/median(nothing))
	}
	b.report("cli_start", ratios, "ms", ours, theirs)
	return nil
}
