//go:build race

package limits

// slowdown is what the race detector may cost.
const slowdown = 15
