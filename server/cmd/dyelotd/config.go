package main

import (
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/pflag"

	"dyelot/inventory/fault"
)

// config is everything that can be set. Flags win over the environment.
type config struct {
	Addr        string
	StateDir    string
	SocketDir   string
	DatabaseURL string
	MetricsAddr string
	TimeZone    string
	LogLevel    string
	RunAs       string
}

// Defaults: loopback only, since there is no encryption yet; the ports are
// next to each other and in no one's list.
const (
	defaultAddr    = "127.0.0.1:7420"
	defaultMetrics = "127.0.0.1:7421"
)

// where adds the flags that say which studio it is.
func (c *config) where(f *pflag.FlagSet) {
	f.StringVar(&c.StateDir, "state-dir", env("DYELOT_STATE_DIR", stateDir()), "folder of the studio's own database and owner's token (DYELOT_STATE_DIR)")
	f.StringVar(&c.SocketDir, "socket-dir", "", "folder of the private database's socket (below the state folder when empty)")
	f.StringVar(&c.DatabaseURL, "database-url", os.Getenv("DYELOT_DATABASE_URL"), "use this PostgreSQL 15 or later instead of a private one (DYELOT_DATABASE_URL)")
	f.StringVar(&c.RunAs, "run-as", "", "system user for the private database, when the service runs as root")
	f.StringVar(&c.LogLevel, "log-level", "info", "debug, info, warn or error")
}

// listen adds the flags of the service itself.
func (c *config) listen(f *pflag.FlagSet) {
	f.StringVar(&c.Addr, "addr", env("DYELOT_ADDR", defaultAddr), "address to answer on (DYELOT_ADDR)")
	f.StringVar(&c.MetricsAddr, "metrics-addr", env("DYELOT_METRICS_ADDR", defaultMetrics), `address of /metrics, "off" for none (DYELOT_METRICS_ADDR)`)
	f.StringVar(&c.TimeZone, "time-zone", os.Getenv("DYELOT_TIME_ZONE"), "the studio's time zone, set at the first start (DYELOT_TIME_ZONE)")
}

func (c *config) check() error {
	if c.DatabaseURL == "" && !filepath.IsAbs(c.StateDir) {
		return fault.BadField("state-dir", "%q is not an absolute path", c.StateDir)
	}
	if c.TimeZone != "" {
		if _, err := time.LoadLocation(c.TimeZone); err != nil {
			return fault.BadField("time-zone", "%q is not an IANA time zone such as Europe/Oslo", c.TimeZone)
		}
	}
	return nil
}

// String is the configuration without secrets, for the first log line.
func (c *config) String() string {
	database := "private, in " + c.StateDir
	if c.DatabaseURL != "" {
		database = redacted(c.DatabaseURL)
	}
	return fmt.Sprintf("addr=%s metrics=%s database=%s", c.Addr, c.MetricsAddr, database)
}

func redacted(dsn string) string {
	if u, err := url.Parse(dsn); err == nil && u.Scheme != "" {
		return u.Redacted()
	}
	var kept []string
	for _, part := range strings.Fields(dsn) {
		if !strings.HasPrefix(part, "password") {
			kept = append(kept, part)
		}
	}
	return strings.Join(kept, " ")
}

func env(name, otherwise string) string {
	if v := os.Getenv(name); v != "" {
		return v
	}
	return otherwise
}

// stateDir is the XDG state folder of the user, or /var/lib for root.
func stateDir() string {
	if os.Geteuid() == 0 {
		return "/var/lib/dyelot"
	}
	if dir := os.Getenv("XDG_STATE_HOME"); filepath.IsAbs(dir) {
		return filepath.Join(dir, "dyelot")
	}
	home, err := os.UserHomeDir()
	if err != nil {
		return ""
	}
	return filepath.Join(home, ".local", "state", "dyelot")
}
