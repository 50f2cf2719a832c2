# shellcheck shell=bash
# A studio for one script: a folder of its own, free ports, a private
# PostgreSQL, and nothing left afterwards. Sourced after needs.bash:
#
#   need_go; need_packages postgresql; build
#   trap throwaway_close EXIT
#   throwaway_open
#   dyelot studio show        # $DYELOT_ADDR and $DYELOT_TOKEN are set
#
# throwaway_open sets THROWAWAY (the folder) and THROWAWAY_PID, exports
# DYELOT_ADDR, DYELOT_TOKEN and, where the log tells it, DYELOT_METRICS_ADDR,
# and gives the client folders of its own, so that the caller's settings and
# outbox stay untouched. throwaway_stop and throwaway_start restart it.

THROWAWAY=
THROWAWAY_PID=

# throwaway_open [FLAG...] starts the service; flags go to "dyelotd serve".
throwaway_open() {
  # Root's studio runs as another user, who may not enter the clone nor a
  # temporary folder of root's: /tmp is open to all.
  if is_root; then
    need_account
    THROWAWAY=$(mktemp -d /tmp/dyelot-XXXXXX)
    chmod 0711 "$THROWAWAY"
    install -d -m 0700 -o "$ACCOUNT" -g "$ACCOUNT" "$THROWAWAY/state"
  else
    THROWAWAY=$(mktemp -d)
    install -d -m 0700 "$THROWAWAY/state"
  fi
  install -D -m 0755 -t "$THROWAWAY/bin" "$BUILD/dyelot" "$BUILD/dyelotd"
  export PATH=$THROWAWAY/bin:$PATH
  export XDG_CONFIG_HOME=$THROWAWAY/client/config XDG_STATE_HOME=$THROWAWAY/client/state
  export XDG_DATA_HOME=$THROWAWAY/client/data XDG_CACHE_HOME=$THROWAWAY/client/cache
  throwaway_start "$@"
}

# throwaway_start starts the service in the folder, again where it was stopped.
# Port 0 lets the system choose a free one; the log says which it was.
throwaway_start() {
  local log=$THROWAWAY/dyelotd.log tries
  unset DYELOT_DATABASE_URL DYELOT_STATE_DIR DYELOT_CA DYELOT_PAGE_ADDR
  : >"$log"
  # A session of its own: Ctrl-C is for the script, which then closes in order.
  (cd / && as_account setsid "$THROWAWAY/bin/dyelotd" serve --state-dir "$THROWAWAY/state" \
    --addr 127.0.0.1:0 --metrics-addr 127.0.0.1:0 "$@") >>"$log" 2>&1 </dev/null &
  THROWAWAY_PID=$!
  for ((tries = 0; ; tries++)); do
    DYELOT_ADDR=$(sed -n 's/.*msg=ready addr=//p' "$log")
    [[ -n $DYELOT_ADDR ]] && break
    if ((tries > 900)) || await_end "$THROWAWAY_PID" 0; then
      tail -n 20 "$log" >&2
      die "the studio did not start; what it said is above"
    fi
    sleep 0.1
  done
  DYELOT_METRICS_ADDR=$(sed -n 's/.*msg=metrics addr=//p' "$log")
  DYELOT_TOKEN=$(<"$THROWAWAY/state/owner-token")
  export DYELOT_ADDR DYELOT_METRICS_ADDR DYELOT_TOKEN
  [[ -n $DYELOT_METRICS_ADDR ]] || unset DYELOT_METRICS_ADDR
}

# throwaway_stop stops the service in order and keeps the folder.
throwaway_stop() {
  local left
  [[ -n $THROWAWAY_PID ]] || return 0
  kill -TERM "$THROWAWAY_PID" 2>/dev/null || true
  await_end "$THROWAWAY_PID" 60 || {
    say "the studio did not stop within 60 s and is ended hard"
    kill -KILL "$THROWAWAY_PID" 2>/dev/null || true
  }
  wait "$THROWAWAY_PID" 2>/dev/null || true
  THROWAWAY_PID=
  left=$(processes_below "$THROWAWAY")
  [[ -z $left ]] || {
    say "processes of the studio are left:"
    say "$left"
    return 1
  }
}

# throwaway_close is for the EXIT trap: it keeps the script's exit status,
# unless the studio left something behind.
throwaway_close() {
  local status=$? pid
  trap - EXIT
  [[ -n $THROWAWAY ]] || exit "$status"
  if ! throwaway_stop; then
    ((status)) || status=1
    while read -r pid _; do
      kill -KILL "$pid" 2>/dev/null || true
    done < <(processes_below "$THROWAWAY")
  fi
  rm -rf "$THROWAWAY"
  exit "$status"
}
