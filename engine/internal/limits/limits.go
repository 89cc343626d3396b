// Package limits holds what a reader may cost for one input, for tests: the
// fuzzing engine itself bounds neither time nor memory.
package limits

import (
	"fmt"
	"runtime/metrics"
	"testing"
	"time"
)

// What one input of a fuzz target may cost: a person waits two seconds before
// thinking that a page hangs, and a browser's tab has about this much memory to
// spare.
const (
	Time   = 2 * time.Second
	Memory = 512 << 20 // bytes
)

// hangs is how many times its limit a call may take before the process is
// stopped: it may never come back, and a failure would then not be told.
const hangs = 15

const allocated = "/gc/heap/allocs:bytes"

// Within calls f and fails the test when it takes longer than limit or
// allocates more than bytes in all, freed or not. It panics, with every
// goroutine's stack, when f does not come back in fifteen times the limit.
// Allocations are counted for the whole process, so that calls in parallel
// count together.
func Within(t testing.TB, limit time.Duration, bytes uint64, f func()) {
	t.Helper()
	sample := []metrics.Sample{{Name: allocated}}
	metrics.Read(sample)
	before, start := sample[0].Value.Uint64(), time.Now()
	watch := time.AfterFunc(hangs*limit, func() {
		panic(fmt.Sprintf("one input takes longer than %v", hangs*limit))
	})
	defer watch.Stop()
	f()
	took := time.Since(start)
	metrics.Read(sample)
	if took > limit {
		t.Errorf("one input takes %v; it may take %v", took.Round(time.Millisecond), limit)
	}
	if used := sample[0].Value.Uint64() - before; used > bytes {
		t.Errorf("one input allocates %d MB; it may allocate %d MB", used>>20, bytes>>20)
	}
}

// Input is Within with the limits for one input of a fuzz target.
func Input(t testing.TB, f func()) {
	t.Helper()
	Within(t, Time, Memory, f)
}
