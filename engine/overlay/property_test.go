package overlay_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/internal/limits"
	"sheenlay/engine/overlay"
	"sheenlay/engine/plane"
)

// decode reads rings on a small lattice from bytes: a zero byte ends a ring.
func decode(data []byte, scale float64) (rings []plane.Ring) {
	var r plane.Ring
	for _, b := range data {
		if b == 0 {
			rings, r = append(rings, r), nil
			continue
		}
		r = append(r, plane.Point{X: float64(b>>4) * scale, Y: float64(b&15) * scale})
	}
	return append(rings, r)
}

// checkLaws holds all operations on two drawings against what holds for sets, and
// against the crossing rule applied to the drawings themselves at places off all
// lattice lines.
func checkLaws(t *testing.T, a, b plane.Region, places []plane.Point, context string) {
	t.Helper()
	union, both := overlay.Union(a, b), overlay.Intersect(a, b)
	minus, xor := overlay.Subtract(a, b), overlay.Xor(a, b)
	na, nb := overlay.Normalize(a, overlay.EvenOdd), overlay.Normalize(b, overlay.EvenOdd)
	const slack = 1e-3
	require.InDelta(t, na.Area()+nb.Area(), union.Area()+both.Area(), slack, context)
	require.InDelta(t, na.Area()-both.Area(), minus.Area(), slack, context)
	require.InDelta(t, union.Area()-both.Area(), xor.Area(), slack, context)
	for _, p := range places {
		x, y := a.Contains(p), b.Contains(p)
		for _, c := range []struct {
			name string
			g    plane.Region
			want bool
		}{{"normal form", na, x}, {"union", union, x || y}, {"intersect", both, x && y}, {"subtract", minus, x && !y}, {"xor", xor, x != y}} {
			require.Equal(t, c.want, c.g.Contains(p), "%s at %v, %s", c.name, p, context)
		}
	}
	for _, g := range []plane.Region{na, union, both, minus, xor} {
		checkNormalForm(t, g, context)
	}
}

// places returns points off the lattice of the given scale and off its diagonals.
func places(scale float64) (out []plane.Point) {
	for i := range 15 {
		for j := range 15 {
			out = append(out, plane.Point{X: (float64(i) + 0.31415926) * scale, Y: (float64(j) + 0.5772157) * scale})
		}
	}
	return out
}

func TestLawsOfSets(t *testing.T) {
	for k := range *fuzzCases / 2 {
		rng := rand.New(rand.NewPCG(31, uint64(k)))
		draw := func() plane.Region {
			data := make([]byte, 4+rng.IntN(30))
			for i := range data {
				data[i] = byte(rng.IntN(256))
			}
			return decode(data, 0.42)
		}
		checkLaws(t, draw(), draw(), places(0.42), fmt.Sprint("case ", k))
	}
}

func FuzzBooleans(f *testing.F) {
	f.Add([]byte{0x11, 0x51, 0x55, 0x15}, []byte{0x33, 0x73, 0x77, 0x37})
	f.Add([]byte{0x11, 0x55, 0x51, 0x15, 0, 0x11, 0x11, 0x55}, []byte{0x15, 0x51})
	f.Fuzz(func(t *testing.T, a, b []byte) {
		limits.Reader(t, func() {
			if len(a)+len(b) > 200 {
				return
			}
			checkLaws(t, decode(a, 0.42), decode(b, 0.42), places(0.42), "fuzz")
		})
	})
}

// TestOffsetIsADistance asks places of random regions: a round offset holds those
// within the distance, whichever sign.
func TestOffsetIsADistance(t *testing.T) {
	for k := range *fuzzCases / 6 {
		rng := rand.New(rand.NewPCG(41, uint64(k)))
		var rings []plane.Ring
		for range 1 + rng.IntN(4) {
			rings = append(rings, blob(rng, plane.Point{X: 20 * rng.Float64(), Y: 20 * rng.Float64()}))
		}
		g := overlay.Normalize(rings, overlay.NonZero)
		d := []float64{0.05, 0.3, 1, 3}[rng.IntN(4)] * []float64{1, -1}[rng.IntN(2)]
		got := overlay.Offset(g, d, overlay.Round(), 0.0005)
		checkNormalForm(t, got, fmt.Sprint("case ", k))
		for range 300 {
			p := plane.Point{X: 40*rng.Float64() - 10, Y: 40*rng.Float64() - 10}
			signed := math.Inf(1)
			for _, r := range g {
				for i, a := range r {
					e := r[(i+1)%len(r)].Sub(a)
					s := math.Max(0, math.Min(1, p.Sub(a).Dot(e)/e.Dot(e)))
					signed = math.Min(signed, p.Dist(a.Add(e.Mul(s))))
				}
			}
			if g.Contains(p) {
				signed = -signed
			}
			if math.Abs(signed-d) > 0.002 {
				require.Equal(t, signed < d, got.Contains(p), "case %d, d=%g at %v, %g from the border", k, d, p, signed)
			}
		}
	}
}

// TestTurningTheInputTurnsTheResult: no direction is special.
func TestTurningTheInputTurnsTheResult(t *testing.T) {
	rng := rand.New(rand.NewPCG(51, 1))
	a := plane.Region{blob(rng, plane.Point{}), blob(rng, plane.Point{X: 6})}
	b := plane.Region{blob(rng, plane.Point{X: 3, Y: 3})}
	want := overlay.Xor(a, b).Area()
	for range 50 {
		m := plane.Rotate(2 * math.Pi * rng.Float64()).Then(plane.Translate(200*rng.Float64(), -100*rng.Float64()))
		assert.InDelta(t, want, overlay.Xor(m.ApplyRegion(a), m.ApplyRegion(b)).Area(), 1e-3)
	}
}
