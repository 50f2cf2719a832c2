package postgres

import (
	"context"
	"fmt"
	"log/slog"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"syscall"
	"time"

	"dyelot/inventory/fault"
)

// The names inside every cluster made here.
const (
	// Database is the studio's one database.
	Database = "dyelot"
	// Role owns the database. It is what the service connects as.
	Role = "dyelot"
	// KeeperRole is the superuser, for backups and for making test databases.
	KeeperRole = "keeper"
)

const (
	// DefaultMaxConnections leaves room beside the service's pool of about
	// eight for a backup, a second service during a change-over and a person
	// with psql. Each slot costs little while unused.
	DefaultMaxConnections = 64

	// startLimit bounds the retries of a start that fails over what an
	// earlier run left behind; the worst seen was 2.7 s.
	startLimit = 60 * time.Second

	// quitLimit is how long an immediate shutdown may take before SIGKILL.
	quitLimit = 5 * time.Second
)

// Options say where a cluster lives and whom it runs as. The zero value of
// each field but StateDir is the safe choice for a studio.
type Options struct {
	// StateDir is the absolute path of a folder that is the studio's alone. It
	// is made with mode 0700; an empty one is taken over; one that others may
	// enter is refused.
	StateDir string

	// SocketDir holds the socket; StateDir/socket where empty. It is made with
	// mode 0700 where it is missing and left as it is where it exists.
	SocketDir string

	// RunAs names the system user that PostgreSQL runs as. Empty means the
	// user of this process. Root must name another user, since PostgreSQL
	// refuses to run as root; nobody but root may name one.
	RunAs string

	// NoSync turns fsync, full_page_writes and synchronous_commit off. For
	// tests that may lose everything when the machine stops, and for no person.
	NoSync bool

	// MaxConnections is DefaultMaxConnections where 0.
	MaxConnections int

	// Logger gets a line for each step; nil keeps silent.
	Logger *slog.Logger
}

// Cluster is a running PostgreSQL. Its methods may be called from any goroutine.
type Cluster struct {
	place place
	lock  *stateLock
	log   *slog.Logger

	command *exec.Cmd
	done    chan struct{} // closed by the goroutine that waits for the postmaster
	exit    error         // how the postmaster ended; read after done

	mu       sync.Mutex
	stopping bool
}

// Start makes the cluster where there is none, takes over from what an
// earlier process left running, starts PostgreSQL and returns once it answers.
// ctx bounds the start, not the life of the cluster.
//
// It refuses with a fault of kind Refused: STATE_IN_USE (another process runs
// this cluster), ROOT_REFUSED, RUN_AS_REFUSED, STATE_OPEN, STATE_UNREACHABLE,
// STATE_FOREIGN, SOCKET_PATH_LONG, POSTGRES_MISSING; and with one of kind
// Unavailable: POSTGRES_LEFTOVER, POSTGRES_NOT_STARTED (with the last lines of
// its log). A relative StateDir or SocketDir is INVALID_FIELD.
func Start(ctx context.Context, opts Options) (*Cluster, error) {
	log := opts.Logger
	if log == nil {
		log = slog.New(slog.DiscardHandler)
	}
	who, err := accountFor(os.Geteuid(), opts.RunAs)
	if err != nil {
		return nil, err
	}
	at, err := settle(opts, who)
	if err != nil {
		return nil, err
	}
	lock, err := lockState(at.lockFile, who)
	if err != nil {
		return nil, err
	}
	c := &Cluster{place: at, lock: lock, log: log}
	if err := c.start(ctx, opts, who); err != nil {
		lock.release()
		return nil, err
	}
	return c, nil
}

func (c *Cluster) start(ctx context.Context, opts Options, who account) error {
	began := time.Now()
	made, err := madeBy(c.place.data)
	if err != nil {
		return err
	}
	programs, err := findPrograms(programsRoot, made)
	if err != nil {
		return err
	}
	if made == 0 {
		if err := create(ctx, programs, c.place, who, opts.NoSync); err != nil {
			return err
		}
		c.log.InfoContext(ctx, "made a private PostgreSQL cluster",
			"folder", c.place.data, "major", programs.major, "took", time.Since(began).Round(time.Millisecond))
	}
	if err := writeAccess(c.place, who); err != nil {
		return err
	}
	if err := c.launch(ctx, programs, who, settings(opts, c.place)); err != nil {
		return err
	}
	c.log.InfoContext(ctx, "PostgreSQL is ready",
		"pid", c.PID(), "socket", c.place.socket, "took", time.Since(began).Round(time.Millisecond))
	return nil
}

// DSN is the connection URL of the studio's database for the service.
func (c *Cluster) DSN() string { return dsn(c.place.socket, Role, Database) }

// KeeperDSN is the connection URL of the superuser, at the maintenance database.
func (c *Cluster) KeeperDSN() string { return dsn(c.place.socket, KeeperRole, "postgres") }

// PID is the process id of the postmaster.
func (c *Cluster) PID() int { return c.command.Process.Pid }

// Done is closed when PostgreSQL has ended, asked to or not. A service selects
// on it and exits.
func (c *Cluster) Done() <-chan struct{} { return c.done }

// Err says, once Done is closed, why PostgreSQL ended: nil where Stop asked
// for it, otherwise a fault of kind Unavailable, POSTGRES_ENDED.
func (c *Cluster) Err() error {
	c.mu.Lock()
	defer c.mu.Unlock()
	select {
	case <-c.done:
	default:
		return nil
	}
	if c.stopping {
		return nil
	}
	return fault.New(fault.Unavailable, "POSTGRES_ENDED",
		"PostgreSQL ended by itself (%s); its log is %s", ending(c.exit), c.place.logFile)
}

// Stop shuts PostgreSQL down and lets go of the state folder. Open
// transactions are rolled back, so close the pool first. When ctx ends before
// PostgreSQL does, it is ended hard and will recover at its next start; that
// is reported as a fault of kind Unavailable, POSTGRES_ENDED_HARD. Stopping
// twice is fine.
func (c *Cluster) Stop(ctx context.Context) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	select {
	case <-c.done: // ended already, asked to or not
		c.lock.release()
		return nil
	default:
	}
	c.stopping = true
	err := interrupt(ctx, c.command, c.done)
	c.lock.release()
	if err == nil {
		c.log.InfoContext(ctx, "PostgreSQL has stopped", "pid", c.PID())
	}
	return err
}

// interrupt asks for a fast shutdown, then for an immediate one, then kills.
func interrupt(ctx context.Context, command *exec.Cmd, done <-chan struct{}) error {
	_ = command.Process.Signal(syscall.SIGINT) // an error means that it has ended
	select {
	case <-done:
		return nil
	case <-ctx.Done():
	}
	_ = command.Process.Signal(syscall.SIGQUIT)
	select {
	case <-done:
	case <-time.After(quitLimit):
		_ = command.Process.Kill()
		<-done
	}
	return fault.New(fault.Unavailable, "POSTGRES_ENDED_HARD",
		"PostgreSQL did not stop in time and was ended hard; its next start recovers from the write-ahead log")
}

func ending(exit error) string {
	if exit == nil {
		return "exit status 0"
	}
	return exit.Error()
}

// dsn is written as a URL, the form that DYELOT_DATABASE_URL takes too. TLS
// has no meaning on a Unix socket, and the driver's default may change.
func dsn(socketDir, role, database string) string {
	q := url.Values{"host": {socketDir}, "port": {fmt.Sprint(socketPort)}, "sslmode": {"disable"}}
	return (&url.URL{Scheme: "postgres", User: url.User(role), Path: "/" + database, RawQuery: q.Encode()}).String()
}

// place is where everything of one cluster lies, all paths absolute and
// without symbolic links, so that they compare equal to what /proc shows.
type place struct {
	state, data, socket string
	lockFile, logFile   string
}

func placeIn(state, socket string) place {
	return place{
		state: state, socket: socket,
		data:     filepath.Join(state, "postgres"),
		lockFile: filepath.Join(state, "postgres.lock"),
		logFile:  filepath.Join(state, "postgres.log"),
	}
}
