#!/bin/sh
# Runs every fuzz target of the engine for FUZZTIME each.
set -eu
for file in $(grep -rl --include='*_test.go' '^func Fuzz' engine); do
  for target in $(sed -n 's/^func \(Fuzz[A-Za-z0-9_]*\).*/\1/p' "$file"); do
    echo "== $target in $(dirname "$file")"
    go test -tags=latex "./$(dirname "$file")" -run='^$' -fuzz="^$target\$" -fuzztime="${FUZZTIME:-10m}"
  done
done
