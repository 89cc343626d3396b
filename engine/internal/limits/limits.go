// Package limits holds tests to what one input may cost: a time and an amount
// of memory. Fuzz targets run every input within them, so that an input that
// hangs or floods the page fails like one that panics.
package limits

import (
	"fmt"
	"runtime/metrics"
	"sync"
	"testing"
	"time"
)

// The limits for one input of a reader: no hang over two seconds, no memory
// over 512 MB.
const (
	Time   = 2 * time.Second
	Memory = 512 << 20
)

// Reader runs f within the limits for one input of a reader.
func Reader(t testing.TB, f func()) {
	t.Helper()
	Within(t, Time, Memory, f)
}

// Within runs f and fails the test when it takes longer than limit, or when the
// memory in use grows by more than bytes meanwhile.
//
// Of the clock and the processor time of the whole process the smaller counts,
// so that other work on the machine fails nothing; slower builds (the race
// detector, wasm) are given slowdown times the limit. Memory is looked at every
// few milliseconds, garbage that is not collected yet counts, and so does what
// other tests of the process take meanwhile; under wasm, where nothing can look
// while f runs, it is not held.
//
// A call that does not end is ended with the process: after five times the
// limit it panics, which shows where it hangs, and the fuzzer keeps the input.
func Within(t testing.TB, limit time.Duration, bytes uint64, f func()) {
	t.Helper()
	limit *= slowdown
	w := watch{most: 5 * limit, before: inUse()}
	began, spent := time.Now(), processorTime()
	// Most inputs are done before the first look, and cost next to nothing.
	w.timer = time.AfterFunc(look, w.look)
	defer w.end()
	f()
	took := time.Since(began)
	if own := processorTime() - spent; own > 0 && own < took {
		took = own
	}
	if took > limit {
		t.Errorf("it took %v; the limit for one input is %v", took.Round(time.Millisecond), limit)
	}
	if grown := w.end(); grown > bytes {
		t.Errorf("it took %d MB of memory; the limit for one input is %d MB", grown>>20, bytes>>20)
	}
}

// look is how often a running call is looked at.
const look = 5 * time.Millisecond

type watch struct {
	most   time.Duration // after which the call counts as hanging
	before uint64        // memory in use

	mutex  sync.Mutex
	timer  *time.Timer
	looks  time.Duration // taken so far, in time
	peak   uint64        // memory in use
	closed bool
}

func (w *watch) look() {
	w.mutex.Lock()
	defer w.mutex.Unlock()
	if w.closed {
		return
	}
	w.peak = max(w.peak, inUse())
	if w.looks += look; w.looks > w.most {
		panic(fmt.Sprintf("limits: a call does not end; it has run for more than %v", w.most))
	}
	w.timer.Reset(look)
}

// end stops looking and returns by how much the memory in use had grown.
func (w *watch) end() uint64 {
	w.mutex.Lock()
	defer w.mutex.Unlock()
	if !w.closed {
		w.closed = true
		w.timer.Stop()
		w.peak = max(w.peak, inUse())
	}
	return max(w.peak, w.before) - w.before
}

// inUse returns the bytes of all objects on the heap, dead ones that are not
// collected yet among them.
func inUse() uint64 {
	sample := [1]metrics.Sample{{Name: "/memory/classes/heap/objects:bytes"}}
	metrics.Read(sample[:])
	return sample[0].Value.Uint64()
}
