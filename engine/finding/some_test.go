package finding

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestSome(t *testing.T) {
	for n, want := range map[int]string{0: "0 travels cross", 1: "1 travel crosses", 2: "2 travels cross", 1200: "1200 travels cross"} {
		assert.Equal(t, want, Some(n, "travel crosses", "travels cross"))
	}
}
