#!/usr/bin/env bash
# Installs what the browser tests need: Debian's Chromium, the typeface that the sheets
# ask for first (another is as wide as it likes, and pages are counted), and poppler's
# tools that turn a printed page into a picture. Ends with 1 and one clear line if it
# cannot.
set -eu

missing=()
command -v chromium >/dev/null || missing+=(chromium)
command -v pdftoppm >/dev/null || missing+=(poppler-utils)
compgen -G "/usr/share/fonts/*/liberation*/LiberationSans-Regular.*" >/dev/null ||
  missing+=(fonts-liberation)

if [ "${#missing[@]}" -eq 0 ]; then
  echo "Browser tests: chromium, its typeface and pdftoppm are there."
  exit 0
fi

cannot() {
  echo "Browser tests: ${missing[*]} cannot be installed here: $1." >&2
  echo "Install ${missing[*]} by hand to run them; without, they fail with one line each." >&2
  exit 1
}

command -v apt-get >/dev/null || cannot "there is no apt-get"

as_root=()
if [ "$(id -u)" -ne 0 ]; then
  command -v sudo >/dev/null || cannot "neither root nor sudo"
  sudo -n true 2>/dev/null || cannot "sudo asks for a password"
  as_root=(sudo -n)
fi

echo "Browser tests: installing ${missing[*]}"
"${as_root[@]}" apt-get update -qq || cannot "apt-get update failed"
"${as_root[@]}" env DEBIAN_FRONTEND=noninteractive \
  apt-get install -y -qq --no-install-recommends "${missing[@]}" >/dev/null ||
  cannot "apt-get install failed"
