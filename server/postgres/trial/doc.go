// Package trial gives each test a PostgreSQL database of its own, cloned from
// a migrated template and dropped at the end. server/store wraps it once, with
// its migrations, as the helper that all other tests call:
//
//	func New(t testing.TB) *store.Store {
//		dsn := trial.New(t, trial.Schema{Name: "studio", Version: hash, Migrate: store.Migrate})
//		…
//	}
//
// # One cluster for all
//
// Every test process of a user, of every package that go test runs side by
// side, shares one cluster in os.TempDir()/dyelot-trial-UID, with fsync off.
// The first process to come starts a keeper, which is its own binary started
// once more (see init in keeper.go); the keeper starts PostgreSQL, and stops
// it and ends itself once no process has used it for [linger]. So plain
// "go test ./..." needs no script before or after it, works for root (PostgreSQL
// then runs as user "postgres") and for a person, and leaves no process behind
// even when a test binary is killed. A missing PostgreSQL fails the test.
//
// # Locks
//
// Three files in that folder are locked with flock, which the kernel lifts when
// a holder dies, however it dies:
//
//	using    shared, by each test process for its whole life
//	alive    exclusive, by the keeper for its whole life
//	door     exclusive, while somebody starts the cluster or shuts it
//
// The keeper shuts only while it holds the door and finds nobody using; a test
// process becomes a user only while it holds the door. So no test ever meets
// a cluster that is going down. Scripts wait for the end with
// "flock FOLDER/alive true".
//
// Templates are kept for the next run; their name holds the schema's version,
// so a changed migration makes a new one. They are made under an advisory lock
// and renamed when whole.
package trial
