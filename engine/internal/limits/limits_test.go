package limits_test

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"sheenlay/engine/internal/limits"
)

// heard takes what a test would have failed with.
type heard struct {
	testing.TB
	errors []string
}

func (h *heard) Helper() {}
func (h *heard) Errorf(format string, _ ...any) {
	h.errors = append(h.errors, strings.Fields(format)[2])
}

var kept []byte

func TestWithin(t *testing.T) {
	for _, c := range []struct {
		name string
		f    func()
		want []string
	}{
		{"nothing", func() {}, nil},
		{"slow", func() { time.Sleep(60 * time.Millisecond) }, []string{"takes"}},
		{"large", func() { kept = make([]byte, 2<<20) }, []string{"allocates"}},
		{"large, freed again", func() {
			for range 64 {
				kept = make([]byte, 64<<10)
			}
		}, []string{"allocates"}},
	} {
		h := &heard{TB: t}
		limits.Within(h, 50*time.Millisecond, 1<<20, c.f)
		assert.Equal(t, c.want, h.errors, c.name)
	}
}
