package trial

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"time"
)

// linger is how long the cluster outlives its last user. Test binaries follow
// one another with gaps while the next is compiled; starting again in a longer
// gap costs a fifth of a second.
const linger = 3 * time.Second

// keeperLimit is how long the keeper may take: a new cluster is there in two
// seconds, and an old one may take postgres.Start's minute.
const keeperLimit = 90 * time.Second

// The lock files, as doc.go explains them, and the file that says where the
// cluster is.
const (
	usingFile   = "using"
	aliveFile   = "alive"
	doorFile    = "door"
	addressFile = "address"
	keeperLog   = "keeper.log"
)

// folder makes the shared folder, or accepts it only where nobody else can
// have prepared it: temporary folders are open to all.
func folder() (string, error) {
	dir := filepath.Join(os.TempDir(), fmt.Sprintf("dyelot-trial-%d", os.Geteuid()))
	err := os.Mkdir(dir, 0o711)
	if err == nil {
		err = os.Chmod(dir, 0o711) // PostgreSQL's user passes through, whatever the umask
	}
	if err != nil && !errors.Is(err, fs.ErrExist) {
		return "", fmt.Errorf("make the test cluster's folder: %w", err)
	}
	info, err := os.Lstat(dir)
	if err != nil {
		return "", fmt.Errorf("look at the test cluster's folder: %w", err)
	}
	if owner := int(info.Sys().(*syscall.Stat_t).Uid); !info.IsDir() || owner != os.Geteuid() || info.Mode().Perm()&0o022 != 0 {
		return "", fmt.Errorf("%s is not a folder that only user %d may write to: remove it", dir, os.Geteuid())
	}
	return dir, nil
}

// join makes this process a user of the cluster, starting it where it is not
// running.
func join(dir string, linger time.Duration) (*cluster, error) {
	door, err := lockFile(filepath.Join(dir, doorFile), syscall.LOCK_EX)
	if err != nil {
		return nil, err
	}
	defer door.Close()
	seat, err := lockFile(filepath.Join(dir, usingFile), syscall.LOCK_SH)
	if err != nil {
		return nil, err
	}
	alive, err := lockFile(filepath.Join(dir, aliveFile), syscall.LOCK_EX|syscall.LOCK_NB)
	switch {
	case errors.Is(err, syscall.EWOULDBLOCK): // a keeper holds it
	case err != nil:
		return nil, err
	default:
		_ = alive.Close()
		if err := startKeeper(dir, linger); err != nil {
			return nil, err
		}
	}
	address, err := os.ReadFile(filepath.Join(dir, addressFile))
	if err != nil {
		return nil, fmt.Errorf("read where the test cluster is: %w", err)
	}
	u, err := url.Parse(strings.TrimSpace(string(address)))
	if err != nil {
		return nil, fmt.Errorf("read where the test cluster is: %w", err)
	}
	return &cluster{keeper: u, seat: seat, ready: map[string]bool{}}, nil
}

// startKeeper starts this binary once more as the keeper and waits until its
// cluster is ready. The keeper has a session, a log and a folder of its own:
// go test waits for whoever holds its output, and Ctrl-C is not meant for it.
func startKeeper(dir string, linger time.Duration) error {
	self, err := os.Executable()
	if err != nil {
		return err
	}
	log, err := os.Create(filepath.Join(dir, keeperLog))
	if err != nil {
		return fmt.Errorf("open the keeper's log: %w", err)
	}
	defer log.Close()
	news, tell, err := os.Pipe()
	if err != nil {
		return err
	}
	defer news.Close()
	command := exec.Command(self)
	command.Args = []string{"dyelot-trial-keeper"}
	command.Env = append(os.Environ(), keeperEnv+"="+dir, lingerEnv+"="+linger.String())
	command.Dir = "/"
	command.Stdout, command.Stderr = log, log
	command.ExtraFiles = []*os.File{tell} // becomes readyFD
	command.SysProcAttr = &syscall.SysProcAttr{Setsid: true}
	err = command.Start()
	_ = tell.Close()
	if err != nil {
		return fmt.Errorf("start the keeper of the test cluster: %w", err)
	}
	said := make([]byte, len(readyWord))
	_ = news.SetReadDeadline(time.Now().Add(keeperLimit))
	if _, err := io.ReadFull(news, said); err == nil && string(said) == readyWord {
		return command.Process.Release()
	}
	_ = command.Process.Kill()
	_ = command.Wait()
	why, _ := os.ReadFile(log.Name())
	return fmt.Errorf("the test cluster did not start: %s", strings.TrimSpace(string(why)))
}

// lockFile opens a file and locks it; closing it, or dying, lets go.
func lockFile(path string, how int) (*os.File, error) {
	file, err := os.OpenFile(path, os.O_CREATE|os.O_RDWR|syscall.O_NOFOLLOW, 0o600)
	if err != nil {
		return nil, fmt.Errorf("open a lock of the test cluster: %w", err)
	}
	for {
		err = syscall.Flock(int(file.Fd()), how)
		if !errors.Is(err, syscall.EINTR) {
			break
		}
	}
	if err != nil {
		_ = file.Close()
		return nil, fmt.Errorf("lock %s: %w", path, err)
	}
	return file, nil
}
