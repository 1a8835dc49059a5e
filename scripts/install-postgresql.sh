#!/usr/bin/env bash
# Installs what the tests of a store on a server need: Debian's PostgreSQL. Its own
# cluster is not used: the tests start one in a temporary folder and stop it again.
# Ends with 1 and one clear line if it cannot; those tests are then skipped.
set -eu

if compgen -G "/usr/lib/postgresql/*/bin/initdb" >/dev/null; then
  echo "PostgreSQL tests: the server is there."
  exit 0
fi

cannot() {
  echo "PostgreSQL tests: it cannot be installed here: $1." >&2
  echo "Install postgresql by hand to run them; without, they are skipped." >&2
  exit 1
}

command -v apt-get >/dev/null || cannot "there is no apt-get"

as_root=()
if [ "$(id -u)" -ne 0 ]; then
  command -v sudo >/dev/null || cannot "neither root nor sudo"
  sudo -n true 2>/dev/null || cannot "sudo asks for a password"
  as_root=(sudo -n)
fi

echo "PostgreSQL tests: installing postgresql"
"${as_root[@]}" apt-get update -qq || cannot "apt-get update failed"
"${as_root[@]}" env DEBIAN_FRONTEND=noninteractive \
  apt-get install -y -qq --no-install-recommends postgresql >/dev/null ||
  cannot "apt-get install failed"
