# shellcheck shell=bash
# What a script of this folder needs from the machine: packages, Go, the two
# programs, a system user. Sourced first:
#
#   set -euo pipefail
#   . "$(dirname "${BASH_SOURCE[0]}")/needs.bash"
#   need_go
#   need_packages postgresql
#   build
#
# Nothing here happens twice: what is there is left as it is.

CLONE=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd -P)
BUILD=$CLONE/.build
ACCOUNT=dyelot # the system user of a studio that root starts

# Cron and systemd give no HOME, and Go's caches need one.
export HOME=${HOME:-$(getent passwd "$(id -u)" | cut -d: -f6)}

say() { printf '%s\n' "$*" >&2; }

die() {
  say "${0##*/}: $*"
  exit 1
}

is_root() { [[ $EUID -eq 0 ]]; }

as_root() {
  if is_root; then
    "$@"
  elif command -v sudo >/dev/null; then
    sudo "$@"
  else
    die "this needs root, and sudo is not installed: run as root: $*"
  fi
}

# caller_name is the person behind sudo, or whoever runs the script.
caller_name() {
  if is_root && [[ -n ${SUDO_USER:-} ]]; then
    printf '%s\n' "$SUDO_USER"
  else
    id -un
  fi
}

caller_home() { getent passwd "$(caller_name)" | cut -d: -f6; }

# as_caller runs a command as the person behind sudo, so that a clone and its
# caches do not fill with files of root's.
as_caller() {
  local name
  name=$(caller_name)
  if [[ $name == "$(id -un)" ]]; then
    "$@"
  else
    setpriv --reuid="$name" --regid="$(id -g "$name")" --init-groups \
      env HOME="$(caller_home)" USER="$name" LOGNAME="$name" "$@"
  fi
}

# need_go refuses a machine without Go 1.26 in one sentence. GOTOOLCHAIN=local:
# an older Go would fetch a newer one and look new enough.
need_go() {
  local version
  if ! command -v go >/dev/null; then
    die "Go 1.26 or later must be on PATH, and there is no go there (under sudo, keep your PATH: sudo env \"PATH=\$PATH\" $0)"
  fi
  version=$(cd / && GOTOOLCHAIN=local go env GOVERSION)
  if ! [[ $version =~ ^go([0-9]+)\.([0-9]+) ]] ||
    ((BASH_REMATCH[1] < 1 || (BASH_REMATCH[1] == 1 && BASH_REMATCH[2] < 26))); then
    die "Go 1.26 or later must be on PATH, and $(command -v go) is $version"
  fi
}

# is_installed knows a package by what it is wanted for, where something else
# may serve as well, and by its name otherwise.
is_installed() {
  local bin
  if [[ $1 == postgresql ]]; then
    for bin in /usr/lib/postgresql/*/bin/postgres; do
      [[ $bin =~ ^/usr/lib/postgresql/([0-9]+)/ ]] && ((BASH_REMATCH[1] >= 15)) && [[ -x $bin ]] && return
    done
    return 1
  fi
  [[ $(dpkg-query -W -f='${db:Status-Status}' "$1" 2>/dev/null) == installed ]]
}

# need_packages installs those of the Debian packages named that are missing,
# and starts no service: a studio's PostgreSQL is its own, and of prometheus
# only promtool is used.
need_packages() {
  local package missing=()
  for package; do
    is_installed "$package" || missing+=("$package")
  done
  ((${#missing[@]})) || return 0
  command -v apt-get >/dev/null || die "${missing[*]} is missing, and this is no Debian with apt-get"
  say "installing ${missing[*]}"
  as_root bash -c "CREATECLUSTER=$CREATECLUSTER; $(declare -f refuse_debians_cluster restore_debians_defaults install_quietly); install_quietly \"\$@\"" \
    bash "${missing[@]}" >&2 ||
    die "installing ${missing[*]} failed; what apt-get said is above"
  for package in "${missing[@]}"; do
    is_installed "$package" || die "package $package was installed and is still not usable: is this Debian 12 or later?"
  done
}

# refuse_debians_cluster keeps Debian from making a cluster of its own when it
# installs PostgreSQL. The file must be there before the package is.
CREATECLUSTER=/etc/postgresql-common/createcluster.conf
refuse_debians_cluster() {
  [[ -e $CREATECLUSTER ]] && return
  mkdir -p "${CREATECLUSTER%/*}"
  printf 'create_main_cluster = false\n' >"$CREATECLUSTER"
}

# restore_debians_defaults gives that file all of Debian's other settings back,
# for a person who makes a cluster by hand one day.
restore_debians_defaults() {
  local default=/usr/share/postgresql-common/createcluster.conf
  [[ $(<"$CREATECLUSTER") == 'create_main_cluster = false' && -r $default ]] || return 0
  sed 's/^#create_main_cluster = true$/create_main_cluster = false # by dyelot, which has a cluster of its own/' \
    "$default" >"$CREATECLUSTER"
}

# install_quietly runs as root in a shell of its own. policy-rc.d is Debian's
# way to say that no service may be started; an administrator's own is kept.
install_quietly() {
  set -euo pipefail
  local policy=/usr/sbin/policy-rc.d apt=(apt-get -q -o DPkg::Lock::Timeout=300)
  export DEBIAN_FRONTEND=noninteractive UCF_FORCE_CONFFOLD=1
  if ! [[ -e $policy ]]; then
    # shellcheck disable=SC2064 # the path is known now, and gone when the trap runs
    trap "rm -f '$policy'" EXIT
    printf '#!/bin/sh\nexit 101\n' >"$policy"
    chmod 0755 "$policy"
  fi
  refuse_debians_cluster
  "${apt[@]}" update
  "${apt[@]}" install -y --no-install-recommends "$@"
  restore_debians_defaults
  if [[ " $* " == *' prometheus '* ]]; then
    rm -f /etc/systemd/system/multi-user.target.wants/prometheus.service # or the next boot would start it
    update-rc.d prometheus disable
  fi
}

# need_account makes the system user that a studio of root's runs as.
need_account() {
  getent passwd "$ACCOUNT" >/dev/null && return
  as_root useradd --system --user-group --home-dir /var/lib/dyelot --no-create-home \
    --shell /usr/sbin/nologin "$ACCOUNT"
}

# as_account becomes that user where root runs the script, for good: exec it.
as_account() {
  if is_root; then
    exec setpriv --reuid="$ACCOUNT" --regid="$ACCOUNT" --init-groups --no-new-privs \
      env HOME=/var/lib/dyelot USER="$ACCOUNT" LOGNAME="$ACCOUNT" "$@"
  fi
  exec "$@"
}

# version names the commit, so that a program can say what it was built from.
version() {
  git -c safe.directory="$CLONE" -C "$CLONE" describe --always --dirty 2>/dev/null || printf 'unknown\n'
}

# build compiles both programs; Go's cache makes a repeat quick.
build() {
  say "building"
  as_caller mkdir -p "$BUILD"
  (cd "$CLONE" && as_caller go build -trimpath -buildvcs=false -ldflags "-X main.version=$(version)" \
    -o "$BUILD/" ./client/cmd/dyelot ./server/cmd/dyelotd) || die "the programs do not compile"
}

# put installs a program under another name and moves it in place, since the
# one that is there may be running. It fails softly when nothing changed.
put() {
  local from=$1 to=$2
  cmp -s "$from" "$to" && return 1
  { install -D -m 0755 "$from" "$to.new" && mv -f "$to.new" "$to"; } || die "$to cannot be written"
}

# processes_below prints each process whose program or working folder lies in
# a folder: all that a studio there has started.
processes_below() {
  local folder=$1 proc link
  for proc in /proc/[0-9]*; do
    for link in exe cwd; do
      link=$(readlink "$proc/$link" 2>/dev/null) || continue
      if [[ $link == "$folder" || $link == "$folder"/* ]]; then
        printf '%s %s\n' "${proc#/proc/}" "$(tr '\0' ' ' <"$proc/cmdline" 2>/dev/null | cut -c1-80)"
        break
      fi
    done
  done
}

# await_end waits up to so many seconds until a process has ended.
await_end() {
  local pid=$1 tenths=$(($2 * 10))
  # A zombie has ended too; its parent may be long about it.
  while [[ -e /proc/$pid ]] && ! grep -qs '^State:.Z' "/proc/$pid/status"; do
    ((tenths-- > 0)) || return 1
    sleep 0.1
  done
}
