// Package outside holds tests only: the engine beside libraries that nobody
// here wrote, over inputs aimed at the degenerate, and all of its geometry over
// one integer lattice whose answers are known exactly. The table of what was
// compared, with how many cases and the largest difference, stands in
// site/docs/outside-checks.md; `make figures` writes it.
package outside
