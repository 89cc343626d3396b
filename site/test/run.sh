#!/bin/sh
# Drives the built page in Chromium and Firefox and runs the page's unit tests.
# What is missing is installed with the ordinary package clients; where that
# fails the tests are skipped and say so, which with CI=true is a failure.
set -eu
cd "$(dirname "$0")"

give_up() {
  echo "SKIPPED: the page's tests did not run: $1"
  [ "${CI:-}" = "true" ] && exit 1
  exit 0
}

command -v node >/dev/null 2>&1 && command -v npm >/dev/null 2>&1 || {
  [ "$(id -u)" = 0 ] && apt-get update -qq && apt-get install -y -qq nodejs npm >/dev/null 2>&1 || true
}
command -v node >/dev/null 2>&1 || give_up "node is not here and could not be installed"

node --test --test-reporter=spec unit/*.test.js

[ node_modules/.package-lock.json -nt package-lock.json ] || npm ci --no-fund --no-audit --loglevel=error || give_up "the npm packages could not be installed"

need=""
command -v chromium >/dev/null 2>&1 || need="$need chromium"
command -v firefox-esr >/dev/null 2>&1 || need="$need firefox-esr"
if [ -n "$need" ]; then
  if [ "$(id -u)" = 0 ]; then
    apt-get update -qq && apt-get install -y -qq $need >/dev/null || give_up "could not install$need"
  else
    give_up "missing$need (install them with your package client)"
  fi
fi

if [ "${SHEENLAY_LONG:-}" = 1 ]; then
  # What takes too long for every day; its figures go into the docs.
  npm --prefix audit install --no-package-lock --no-fund --no-audit --loglevel=error || give_up "the page audit could not be installed"
  SHEENLAY_FIGURES=$(mktemp)
  export SHEENLAY_FIGURES
  failed=0
  # One file at a time: what is measured must not share the machine.
  node --test --test-reporter=spec --test-concurrency=1 client/*.test.js page/faults.test.js long/*.test.js || failed=1
  node figures.js "$SHEENLAY_FIGURES" >../docs/figures-browser.md
  rm "$SHEENLAY_FIGURES"
  exit $failed
fi
# Two files at a time: a test waits for what stays, not for a time, so a busy
# machine makes it slower and not wrong.
node --test --test-reporter=spec --test-concurrency=2 client/*.test.js page/*.test.js
