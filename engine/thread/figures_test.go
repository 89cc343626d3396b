package thread_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"sheenlay/engine/fill"
)

// figureCases are the generators with fields or curves.
var figureCases = []struct {
	id     string
	params map[string]float64
}{
	{"wood-grain", nil}, {"flowing-noise", nil}, {"rings", nil}, {"scale-waves", nil}, {"arc-tiles", nil},
	{"seven-treasures", map[string]float64{"lines": 1}}, {"sunburst", nil},
	{"spiral", nil}, {"hilbert", nil}, {"peano", nil}, {"gosper", nil}, {"sierpinski", nil},
}

func TestFigures(t *testing.T) {
	for _, c := range figureCases {
		for _, o := range outlines() {
			t.Run(c.id+"/"+o.name, func(t *testing.T) {
				p := build(t, c.id, c.params, o.face)
				res := lay(t, o.face, p)
				f := measured(o.face, p, res)
				t.Logf("%-15s %-14s %s", c.id, o.name, f)
				count := map[string]int{}
				for _, x := range res.Findings {
					count[x.Code]++
				}
				t.Logf("%v %v", count, res.Stats)
				assert.Zero(t, fill.Crossings(res.Strands))
				picture(t, strings.ReplaceAll(c.id+" "+o.name, "/", "-"), o.face, res.Strands)
			})
		}
	}
}
