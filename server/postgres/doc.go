// Package postgres keeps a studio's private PostgreSQL: a cluster of its own,
// made and run from Debian's programs, reached over one Unix socket and by
// nobody but the user it runs as. A studio with one bench needs no database
// administrator; it needs its ledger to be there after the plug was pulled.
//
// # What is in the state folder
//
//	postgres/       the cluster's data, checksummed, mode 0700
//	postgres.lock   held by the one process that may run it
//	postgres.log    what PostgreSQL had to say, without row contents
//	socket/         the socket, unless the caller wants it elsewhere
//
// # Seven rules
//
// These make it come back after kill -9 of the parent, of the postmaster or of
// both. Each is one short piece of code here:
//
//  1. One process at a time: a file lock on the state folder, which the kernel
//     lifts when its holder dies (lock.go).
//  2. initdb works in a temporary folder that is renamed when whole (create.go).
//  3. A postmaster left behind is told by its command line and working folder,
//     not by signal 0, which a zombie or a stranger with the same number
//     answers too (leftover.go).
//  4. It gets SIGINT, PostgreSQL's fast shutdown, and is waited for; backends
//     that outlived their postmaster get SIGTERM, since one at work does not
//     notice its death (leftover.go).
//  5. A start that fails over leftovers is tried again for a minute, since dying
//     backends still hold shared memory (launch.go).
//  6. PostgreSQL has its own process group, so that Ctrl-C reaches the service,
//     which drains its calls, and not the database under it (launch.go).
//  7. When PostgreSQL ends, [Cluster.Done] closes, and the service exits rather
//     than answer without a ledger (cluster.go).
//
// Pdeathsig is not used: it fires when the starting thread ends, not the process.
//
// # Roles
//
// The service connects as role "dyelot", which owns the database and is no
// superuser, so that no statement can read files or run programs. Role "keeper"
// is for backups and for tests that make databases. Peer authentication lets
// in only the user that runs the cluster, and root where root started it.
package postgres
