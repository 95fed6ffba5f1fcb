# Sourced by .ci/run: a PostgreSQL and a Redis of our own, on free ports of 127.0.0.1, with all
# their files in $scratch. Nothing that is installed or running on the machine is touched.

free_port() {
  python3 -c 'import socket; s = socket.socket(); s.bind(("127.0.0.1", 0)); print(s.getsockname()[1])'
}

# PostgreSQL refuses to run as root.
as_postgres() {
  if [ "$(id -u)" = 0 ]; then
    (cd "$scratch" && runuser -u postgres -- "$@")
  else
    "$@"
  fi
}

# Debian keeps the servers' programs off the path, one folder a version.
postgres_programs() {
  local newest
  newest=$(find /usr/lib/postgresql -maxdepth 2 -name bin 2>/dev/null | sort -V | tail -n 1)
  printf '%s\n' "${newest:-$(dirname "$(command -v initdb)")}"
}

start_postgres() {
  local port settings locale
  pg_bin=$(postgres_programs)
  pg_home=$scratch/postgres
  port=$(free_port)
  locale=$(locale -a | grep -iE '^(C|en_US)\.utf-?8$' | sort | head -n 1)
  mkdir "$pg_home"
  if [ "$(id -u)" = 0 ]; then
    chmod 711 "$scratch"
    chown postgres "$pg_home"
  fi
  as_postgres "$pg_bin/initdb" -D "$pg_home/data" -U marram -A trust -E UTF8 \
    --locale="${locale:-C}" >"$scratch/initdb.log"
  # A cluster that lives for one run need not survive a power cut.
  settings="-p $port -c listen_addresses=127.0.0.1 -c unix_socket_directories=$pg_home"
  settings="$settings -c fsync=off -c synchronous_commit=off -c full_page_writes=off"
  as_postgres "$pg_bin/pg_ctl" -D "$pg_home/data" -l "$pg_home/log" -o "$settings" -w start >/dev/null
  "$pg_bin/createdb" -h 127.0.0.1 -p "$port" -U marram marram
  export DATABASE_URL=postgres://marram@127.0.0.1:$port/marram
}

start_redis() {
  local port tries=0
  port=$(free_port)
  redis-server --bind 127.0.0.1 --port "$port" --save '' --appendonly no --dir "$scratch" \
    >"$scratch/redis.log" &
  redis_pid=$!
  until redis-cli -p "$port" ping >/dev/null 2>&1; do
    tries=$((tries + 1))
    if [ "$tries" -gt 50 ]; then
      cat "$scratch/redis.log" >&2
      return 1
    fi
    sleep 0.1
  done
  export MARRAM_BROKER_URL=redis://127.0.0.1:$port/0
}

stop_services() {
  if [ -n "${redis_pid:-}" ]; then
    kill "$redis_pid" 2>/dev/null || true
  fi
  if [ -n "${pg_home:-}" ] && [ -e "$pg_home/data/postmaster.pid" ]; then
    as_postgres "$pg_bin/pg_ctl" -D "$pg_home/data" -m immediate -w stop >/dev/null || true
  fi
  rm -rf "$scratch"
}
