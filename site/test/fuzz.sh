#!/bin/sh
# Runs every fuzz target for FUZZTIME each (10m unless said). A target that
# fails does not keep the others from running; the exit code tells.
set -u
cd "$(dirname "$0")/../.."
failed=""
for file in $(grep -rl --include='*_test.go' '^func Fuzz' engine | sort); do
  dir=$(dirname "$file")
  for target in $(sed -n 's/^func \(Fuzz[A-Za-z0-9_]*\).*/\1/p' "$file"); do
    echo "== $target in $dir"
    # Shrinking an interesting input by time can stall on slow ones: ten tries.
    # Growth beyond GOMEMLIMIT shows as time spent collecting.
    GOMEMLIMIT=512MiB go test "./$dir" -run='^$' -fuzz="^$target\$" \
      -fuzztime="${FUZZTIME:-10m}" -fuzzminimizetime=10x || failed="$failed $dir:$target"
  done
done
[ -z "$failed" ] || { echo "failed:$failed"; exit 1; }
