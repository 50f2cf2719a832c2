package postgres

import (
	"errors"
	"os/user"
	"strconv"
	"syscall"

	"dyelot/inventory/fault"
)

// account is the system user that PostgreSQL runs as.
type account struct {
	name     string
	uid, gid int

	// starter is root's name where root starts PostgreSQL as another user, and
	// empty where it runs as the user of this process.
	starter string
}

// credential is what the children get; nil leaves them this process's own.
func (a account) credential() *syscall.Credential {
	if a.starter == "" {
		return nil
	}
	return &syscall.Credential{Uid: uint32(a.uid), Gid: uint32(a.gid)}
}

// accountFor decides whom PostgreSQL runs as when a process of user euid asks
// for runAs.
func accountFor(euid int, runAs string) (account, error) {
	self, err := user.LookupId(strconv.Itoa(euid))
	if err != nil {
		return account{}, fault.Refuse("RUN_AS_REFUSED", "the system knows no user with id %d, and PostgreSQL needs one with a name", euid)
	}
	if runAs == "" || runAs == self.Username {
		if euid == 0 {
			return account{}, fault.Refuse("ROOT_REFUSED", "PostgreSQL does not run as root; start the service as another user, such as dyelot")
		}
		return accountOf(self)
	}
	if euid != 0 {
		return account{}, fault.Refuse("RUN_AS_REFUSED", "only root may run PostgreSQL as another user; %s asked for %s", self.Username, runAs)
	}
	other, err := user.Lookup(runAs)
	if _, unknown := errors.AsType[user.UnknownUserError](err); unknown {
		return account{}, fault.Refuse("RUN_AS_REFUSED", "there is no system user %q to run PostgreSQL as", runAs)
	}
	if err != nil {
		return account{}, err
	}
	a, err := accountOf(other)
	if err == nil && a.uid == 0 {
		return account{}, fault.Refuse("ROOT_REFUSED", "PostgreSQL does not run as root, and %s is root by another name", runAs)
	}
	a.starter = self.Username
	return a, err
}

func accountOf(u *user.User) (account, error) {
	uid, err := strconv.Atoi(u.Uid)
	if err != nil {
		return account{}, err
	}
	gid, err := strconv.Atoi(u.Gid)
	if err != nil {
		return account{}, err
	}
	return account{name: u.Username, uid: uid, gid: gid}, nil
}
