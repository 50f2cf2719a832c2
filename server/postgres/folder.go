package postgres

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"

	"dyelot/inventory/fault"
)

const (
	// socketPort names the socket file; nothing listens on a TCP port.
	socketPort = 5432

	// socketPathLimit is the size of sun_path in Linux's sockaddr_un, 108
	// bytes, less the closing zero byte (unix(7)).
	socketPathLimit = 107
)

// settle checks the folders, makes those that are missing and says where all lies.
func settle(opts Options, who account) (place, error) {
	if !filepath.IsAbs(opts.StateDir) {
		return place{}, fault.BadField("state_dir", "the state folder needs an absolute path, not %q", opts.StateDir)
	}
	if opts.SocketDir != "" && !filepath.IsAbs(opts.SocketDir) {
		return place{}, fault.BadField("socket_dir", "the socket folder needs an absolute path, not %q", opts.SocketDir)
	}
	state, err := ownFolder(opts.StateDir, who)
	if err != nil {
		return place{}, err
	}
	if err := mayEnter(state, who); err != nil {
		return place{}, err
	}
	socket := opts.SocketDir
	if socket == "" {
		socket = filepath.Join(state, "socket")
	}
	if socket, err = makeFolder(socket, who); err != nil {
		return place{}, err
	}
	path := filepath.Join(socket, fmt.Sprintf(".s.PGSQL.%d", socketPort))
	if len(path) > socketPathLimit {
		return place{}, fault.Refuse("SOCKET_PATH_LONG",
			"the socket path %s has %d bytes, and a Unix socket takes at most %d: name a shorter socket folder", path, len(path), socketPathLimit)
	}
	return placeIn(state, socket), mayEnter(socket, who)
}

// ownFolder makes the state folder, or takes one that is empty, or accepts one
// that only its owner can enter. It never changes the mode of a folder that
// holds something: a slip such as /var would lock a whole machine.
func ownFolder(path string, who account) (string, error) {
	path, err := makeFolder(path, who)
	if err != nil {
		return "", err
	}
	info, err := os.Stat(path)
	if err != nil {
		return "", fmt.Errorf("look at the state folder: %w", err)
	}
	if info.Mode().Perm()&0o077 == 0 && int(info.Sys().(*syscall.Stat_t).Uid) == who.uid {
		return path, nil
	}
	inside, err := os.ReadDir(path)
	if err != nil {
		return "", fmt.Errorf("look into the state folder: %w", err)
	}
	if len(inside) > 0 {
		return "", fault.Refuse("STATE_OPEN", "the state folder %s holds something and is not closed to all but %s (mode %04o): chown and chmod 700 it, or name another",
			path, who.name, info.Mode().Perm())
	}
	if err := os.Chmod(path, 0o700); err != nil {
		return "", fmt.Errorf("close the state folder to others: %w", err)
	}
	return path, give(path, who)
}

// makeFolder makes a folder that is missing, for its owner alone, and resolves
// symbolic links. Parents that are missing stay open for passing through.
func makeFolder(path string, who account) (string, error) {
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return "", fmt.Errorf("make the folder above %s: %w", path, err)
	}
	err := os.Mkdir(path, 0o700)
	if err == nil {
		err = give(path, who)
	}
	if err != nil && !errors.Is(err, fs.ErrExist) {
		return "", fmt.Errorf("make the folder %s: %w", path, err)
	}
	real, err := filepath.EvalSymlinks(path)
	if err != nil {
		return "", fmt.Errorf("find the folder %s: %w", path, err)
	}
	return real, nil
}

// give hands a file or folder to the user PostgreSQL runs as.
func give(path string, who account) error {
	if who.starter == "" {
		return nil
	}
	if err := os.Lchown(path, who.uid, who.gid); err != nil {
		return fmt.Errorf("hand %s to %s: %w", path, who.name, err)
	}
	return nil
}

// mayEnter refuses a path that the user PostgreSQL runs as cannot walk to,
// such as one below root's home: initdb's own words would not say which folder
// is closed. It reads the mode bits alone; an access list may still say no.
func mayEnter(path string, who account) error {
	if who.starter == "" {
		return nil
	}
	for dir := path; dir != "/"; dir = filepath.Dir(dir) {
		info, err := os.Stat(dir)
		if err != nil {
			return fmt.Errorf("look at %s: %w", dir, err)
		}
		owner, bits := info.Sys().(*syscall.Stat_t), info.Mode().Perm()
		open := bits&0o001 != 0
		switch {
		case int(owner.Uid) == who.uid:
			open = bits&0o100 != 0
		case int(owner.Gid) == who.gid:
			open = bits&0o010 != 0
		}
		if !open {
			return fault.Refuse("STATE_UNREACHABLE", "user %s cannot enter %s, so %s cannot be used: name a folder elsewhere", who.name, dir, path)
		}
	}
	return nil
}
