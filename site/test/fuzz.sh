#!/bin/sh
# Runs every fuzz target for FUZZTIME each (10m unless said). A target that
# fails does not keep the others from running; the exit code tells. Every target
# holds each input to two seconds and 512 MB (engine/internal/limits).
set -u
cd "$(dirname "$0")/../.."
failed=""
files=$(grep -rl --include='*_test.go' '^func Fuzz' engine | sort)
for file in $files; do
  grep -q 'internal/limits' "$file" || failed="$failed $file:without-limits"
done
for file in $files; do
  dir=$(dirname "$file")
  for target in $(sed -n 's/^func \(Fuzz[A-Za-z0-9_]*\).*/\1/p' "$file"); do
    echo "== $target in $dir"
    # Shrinking an interesting input by time can stall on slow ones: ten tries.
    # The collector is made to keep each worker within the same 512 MB.
    GOMEMLIMIT=512MiB go test "./$dir" -run='^$' -fuzz="^$target\$" \
      -fuzztime="${FUZZTIME:-10m}" -fuzzminimizetime=10x || failed="$failed $dir:$target"
  done
done
[ -z "$failed" ] || {
  echo "failed:$failed"
  echo "The inputs stand in testdata/fuzz of the package; keep them there as tests."
  exit 1
}
