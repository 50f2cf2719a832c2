# shellcheck shell=bash
# Where the real studio of this user lives, for deploy/up and deploy/down.
# Sourced after needs.bash.
# shellcheck disable=SC2034 # the names set here are for those two
#
# Root's studio serves the machine: it runs as the system user dyelot, from
# folders that user can reach wherever the clone lies. A person's studio lives
# in that person's state folder and runs as that person.

if is_root; then
  STATE=/var/lib/dyelot
  RUN=/run/dyelot
  PROGRAMS=/usr/local/lib/dyelot
  CLIENT=/usr/local/bin/dyelot
  SETTINGS=/etc/dyelot/dyelotd.env
  [[ ${DYELOT_STATE_DIR:-$STATE} == "$STATE" ]] ||
    die "a studio that root starts lives in $STATE; unset DYELOT_STATE_DIR, or start \"dyelotd serve\" yourself"
else
  STATE=${DYELOT_STATE_DIR:-${XDG_STATE_HOME:-$HOME/.local/state}/dyelot}
  RUN=$STATE
  PROGRAMS=$HOME/.local/lib/dyelot
  CLIENT=$HOME/.local/bin/dyelot
  SETTINGS=${XDG_CONFIG_HOME:-$HOME/.config}/dyelot/dyelotd.env
fi
DAEMON=$PROGRAMS/dyelotd
PIDFILE=$RUN/dyelotd.pid
LOG=$STATE/dyelotd.log
UNIT=/etc/systemd/system/dyelotd.service

# by_systemd tells whether systemd looks after the service.
by_systemd() { is_root && [[ -d /run/systemd/system ]]; }

# running_pid prints the service's process id. The number alone proves nothing:
# it must be this studio's program, perhaps replaced on disk since it started.
running_pid() {
  local pid exe
  if by_systemd; then
    pid=$(systemctl show --property=MainPID --value dyelotd.service)
    [[ $pid -gt 0 ]] && printf '%s\n' "$pid"
    return
  fi
  [[ -r $PIDFILE ]] || return 1
  pid=$(<"$PIDFILE")
  exe=$(readlink "/proc/$pid/exe" 2>/dev/null) || return 1
  [[ ${exe% (deleted)} == "$DAEMON" ]] && printf '%s\n' "$pid"
}

# what_it_said shows the end of the service's log.
what_it_said() {
  if by_systemd; then
    journalctl --no-pager --lines 20 --unit dyelotd.service >&2
  else
    tail -n 20 "$LOG" >&2
  fi
}

# halt stops the service and waits: calls under way finish, PostgreSQL writes
# its last checkpoint. It is never killed from here.
halt() {
  local pid
  pid=$(running_pid) || return 0
  if by_systemd; then
    systemctl stop dyelotd.service
  else
    kill -TERM "$pid"
  fi
  await_end "$pid" 60 || die "the studio (process $pid) has not stopped within 60 s; its log is $LOG"
  rm -f "$PIDFILE"
}
