package layers_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/layers"
)

func TestShapes(t *testing.T) {
	for _, s := range shapes {
		for _, where := range []int{0, 1, 2} {
			for _, absolute := range []bool{false, true} {
				s := s
				s.where, s.absolute = where, absolute
				t.Run(fmt.Sprintf("%s/where=%d absolute=%v", s.name, where, absolute), func(t *testing.T) {
					f := build(s)
					r := layers.Find(f.data, layers.Options{})
					require.False(t, r.NeedsChoice, "%+v", r)
					require.GreaterOrEqual(t, len(r.Layers), 2)
					got := []int{r.Layers[0].Line, r.Layers[1].Line}
					assert.Equal(t, f.lines[:2], got, "%+v", r)
				})
			}
		}
	}
}
