package thread

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

func TestOverrun(t *testing.T) {
	const d = tol.ThreadOverrunMM
	for _, c := range []struct {
		name       string
		closed     bool
		line, want []plane.Point
	}{
		{"nothing", false, nil, nil},
		{"a step is no hairpin", false, []plane.Point{{}, {X: 2}, {X: 2, Y: 1}, {X: 4, Y: 1}}, []plane.Point{{}, {X: 2}, {X: 2, Y: 1}, {X: 4, Y: 1}}},
		{"to the left", false, []plane.Point{{}, {X: 2}, {X: 2, Y: 1}, {Y: 1}}, []plane.Point{{}, {X: 2 + d}, {X: 2 + d, Y: 1}, {Y: 1}}},
		{"to the right", false, []plane.Point{{}, {X: 2}, {X: 2, Y: -1}, {Y: -1}}, []plane.Point{{}, {X: 2 + d}, {X: 2 + d, Y: -1}, {Y: -1}}},
		{"its legs too far apart", false, []plane.Point{{}, {X: 2}, {X: 2, Y: 3}, {Y: 3}}, []plane.Point{{}, {X: 2}, {X: 2, Y: 3}, {Y: 3}}},
		{"turned by 60° and 120°", false, []plane.Point{{}, {X: 2}, {X: 2.5, Y: 0.8660254}, {X: 1.5, Y: 0.8660254}}, []plane.Point{{}, {X: 2}, {X: 2.5, Y: 0.8660254}, {X: 1.5, Y: 0.8660254}}},
		{"both ends of a closed one", true, []plane.Point{{}, {X: 2}, {X: 2, Y: 1}, {Y: 1}}, []plane.Point{{X: -d}, {X: 2 + d}, {X: 2 + d, Y: 1}, {X: -d, Y: 1}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := overrun(c.line, c.closed, 1)
			assert.Len(t, got, len(c.want))
			for k, p := range c.want {
				assert.InDelta(t, 0, p.Dist(got[k]), 1e-12, "point %d: %v", k, got[k])
			}
		})
	}
}
