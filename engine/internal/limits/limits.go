// Package limits holds tests to what one input may cost: a time and an amount
// of memory. Fuzz targets run every input within them, so that an input that
// hangs or floods the page fails like one that panics.
package limits

import (
	"fmt"
	"runtime"
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
// few milliseconds; garbage does not count, but what other tests of the process
// take meanwhile does. Under wasm nothing can look while f runs, and memory is
// not held.
//
// A call that does not end is ended with the process: after five times the
// limit, by the same reckoning, it panics, which shows where it hangs, and the
// fuzzer keeps the input.
func Within(t testing.TB, limit time.Duration, bytes uint64, f func()) {
	t.Helper()
	limit *= slowdown
	w := watch{most: 5 * limit, spent: processorTime(), before: read("/gc/heap/live:bytes"), bytes: bytes}
	began := time.Now()
	// Most inputs are done before the first look, and cost next to nothing.
	w.mutex.Lock()
	w.timer = time.AfterFunc(look, w.look)
	w.mutex.Unlock()
	defer w.end()
	f()
	took := time.Since(began)
	if own := processorTime() - w.spent; own > 0 && own < took {
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
	spent  time.Duration // processor time at its start
	before uint64        // memory alive
	bytes  uint64        // by which it may grow

	mutex  sync.Mutex
	timer  *time.Timer
	looks  time.Duration // taken so far, in time
	grown  uint64        // by which it was seen to have grown
	closed bool
}

func (w *watch) look() {
	w.mutex.Lock()
	defer w.mutex.Unlock()
	if w.closed {
		return
	}
	w.measure()
	ran := processorTime() - w.spent
	if w.looks += look; w.looks > w.most && (ran == 0 || ran > w.most) {
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
	}
	return w.grown
}

// measure notes how much memory is alive. Only where the heap with its garbage is
// suspiciously large is the garbage collected to tell.
func (w *watch) measure() {
	if read("/memory/classes/heap/objects:bytes") <= w.before+w.bytes {
		return
	}
	runtime.GC()
	if alive := read("/gc/heap/live:bytes"); alive > w.before {
		w.grown = max(w.grown, alive-w.before)
	}
}

func read(metric string) uint64 {
	sample := [1]metrics.Sample{{Name: metric}}
	metrics.Read(sample[:])
	return sample[0].Value.Uint64()
}
