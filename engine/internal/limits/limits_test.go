package limits

import (
	"fmt"
	"runtime"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

// said takes what a test would be failed with.
type said struct {
	testing.TB
	errors []string
}

func (s *said) Helper() {}
func (s *said) Errorf(format string, values ...any) {
	s.errors = append(s.errors, fmt.Sprintf(format, values...))
}

var kept [][]byte

// spin keeps the processor busy for as long, by the clock that Within goes by.
func spin(most time.Duration) func() {
	return func() {
		from, spent := time.Now(), processorTime()
		for time.Since(from) < most || processorTime() > 0 && processorTime()-spent < most {
			runtime.Gosched()
		}
	}
}

func take(mb int) func() {
	return func() {
		for range mb {
			block := make([]byte, 1<<20)
			for i := 0; i < len(block); i += 4096 {
				block[i] = 1
			}
			kept = append(kept, block)
		}
		if mb > 1 {
			time.Sleep(10 * look) // held long enough to be seen
		}
		kept = nil
	}
}

func TestWithin(t *testing.T) {
	const limit = 300 * time.Millisecond
	for _, c := range []struct {
		name string
		run  func()
		want string
	}{
		{"nothing", func() {}, ""},
		{"short and small", take(1), ""},
		{"short and large", take(64), "MB of memory; the limit for one input is 32 MB"},
		{"a great deal of garbage", func() {
			for range 200 {
				take(1)()
			}
		}, ""},
		{"long", spin(slowdown * limit * 3 / 2), "the limit for one input is"},
		{"long, but asleep: others had the processor", func() { time.Sleep(2 * slowdown * limit) }, ""},
	} {
		if runtime.GOOS == "js" && c.name != "long" && c.name != "nothing" {
			continue // neither processor time nor memory is known there
		}
		s := &said{TB: t}
		Within(s, limit, 32<<20, c.run)
		if c.want == "" {
			assert.Empty(t, s.errors, c.name)
			continue
		}
		if assert.Len(t, s.errors, 1, c.name) {
			assert.Contains(t, s.errors[0], c.want, c.name)
		}
	}
}

// A panic goes through, and nothing looks on after it.
func TestPanicsGoThrough(t *testing.T) {
	assert.PanicsWithValue(t, "a fault", func() { Reader(t, func() { panic("a fault") }) })
	time.Sleep(3 * look)
}

func TestHangsAreSeen(t *testing.T) {
	w := watch{most: 10 * time.Millisecond}
	w.timer = time.AfterFunc(time.Hour, func() {})
	defer w.end()
	w.look()
	w.look()
	assert.Panics(t, w.look)
}

func BenchmarkReader(b *testing.B) {
	for b.Loop() {
		Reader(b, func() {})
	}
}
