//go:build !js

package outside_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"sheenlay/engine/overlay"
	"sheenlay/engine/plane"
	"sheenlay/engine/scan"
)

// touching draws beads and bars at a pitch that is their width: repeated,
// touching along sides and at corners, overlapping along lines, turned.
func touching(rng *rand.Rand, k int) (rings []plane.Ring) {
	angle := []float64{0, 30, 45, 90, 360 * rng.Float64()}[k%5] * math.Pi / 180
	to := plane.Rotate(angle).Then(plane.Translate(50*rng.Float64(), 50*rng.Float64()))
	const w = 0.42
	for range 20 + rng.IntN(30) {
		if len(rings) > 0 && rng.IntN(6) == 0 {
			rings = append(rings, rings[rng.IntN(len(rings))])
			continue
		}
		a := plane.Point{X: float64(rng.IntN(16)), Y: float64(rng.IntN(16))}
		b := a
		if rng.IntN(2) == 0 {
			b.X += float64(1 + rng.IntN(8))
		} else {
			b.Y += float64(1 + rng.IntN(8))
		}
		a, b = a.Mul(w), b.Mul(w)
		if rng.IntN(2) == 0 {
			rings = append(rings, capsuleOf(to.Apply(a), to.Apply(b), w/2, 9))
			continue
		}
		d := b.Sub(a).Unit().Left().Mul(w / 2)
		r := plane.Ring{a.Sub(d), b.Sub(d), b.Add(d), a.Add(d)}
		for i := range r {
			r[i] = to.Apply(r[i])
		}
		rings = append(rings, r)
	}
	return rings
}

// outlineStep is how far a lattice of a millionth of a mm can move a border: the
// areas may differ by this times the length of all borders.
const outlineStep = 2e-6 // mm

func lengths(g []plane.Ring) (sum float64) {
	for _, r := range g {
		sum += r.Length()
	}
	return sum
}

// TestBooleansOfTouchingBeads holds unions, intersections, differences and
// symmetric differences of touching shapes beside another engine.
func TestBooleansOfTouchingBeads(t *testing.T) {
	p := startPeer(t)
	worst, cases := 0.0, 150**scale
	for k := range cases {
		rng := rand.New(rand.NewPCG(51, uint64(k)))
		ra, rb := touching(rng, k), touching(rng, k)
		a, b := overlay.Normalize(ra, overlay.NonZero), overlay.Normalize(rb, overlay.NonZero)
		for _, op := range []struct {
			name string
			got  plane.Region
		}{
			{"union", overlay.Union(a, b)}, {"intersect", overlay.Intersect(a, b)},
			{"subtract", overlay.Subtract(a, b)}, {"xor", overlay.Xor(a, b)},
		} {
			want := p.number(t, map[string]any{"kind": "polygons", "op": op.name, "a": ringsOf(ra), "b": ringsOf(rb)})
			off := math.Abs(op.got.Area() - want)
			require.LessOrEqual(t, off, outlineStep*(lengths(ra)+lengths(rb)), "case %d, %s", k, op.name)
			worst = math.Max(worst, off)
		}
	}
	record(t, "union, intersection, difference, symmetric difference of touching beads", "clipper2-wasm 0.4.0", 4*cases, worst, "mm²")
}

// TestOffsetsOfTouchingBeads grows and shrinks them. Round corners may differ by
// the tolerance of the arcs.
func TestOffsetsOfTouchingBeads(t *testing.T) {
	p := startPeer(t)
	const tolerance = 1e-4
	worst, cases := 0.0, 100**scale
	for k := range cases {
		rng := rand.New(rand.NewPCG(53, uint64(k)))
		g := overlay.Normalize(touching(rng, k), overlay.NonZero)
		for _, d := range []float64{0.21, -0.1, 0.63, -0.2} {
			got := overlay.Offset(g, d, overlay.Round(), tolerance)
			want := p.number(t, map[string]any{"kind": "offset", "a": ringsOf(g), "d": d, "close": 1e-5, "tolerance": tolerance})
			off := math.Abs(got.Area() - want)
			require.LessOrEqual(t, off, (tolerance+outlineStep)*(lengths(got)+lengths(g)), "case %d by %g mm", k, d)
			worst = math.Max(worst, off/math.Max(lengths(got), 1))
		}
	}
	record(t, "round offsets of touching beads, area difference per mm of border (arcs within 1e-4 mm)", "clipper2-wasm 0.4.0", 4*cases, worst, "mm")
}

// TestRowsAgainstOpenClipping cuts lines to random regions, some through
// vertices.
func TestRowsAgainstOpenClipping(t *testing.T) {
	p := startPeer(t)
	worst, cases := 0.0, 100**scale
	for k := range cases {
		rng := rand.New(rand.NewPCG(59, uint64(k)))
		g := overlay.Normalize(touching(rng, k), overlay.NonZero)
		frame := scan.NewFrame(rng.Float64() * math.Pi)
		phase, spacing := rng.Float64(), 0.11+rng.Float64()
		rows := scan.Cut(g, frame, phase, spacing)
		box := plane.EmptyBox()
		for _, r := range g {
			for _, q := range r {
				box = box.Include(frame.In(q))
			}
		}
		var lines [][][2]float64
		for n := math.Floor((box.Min.Y - phase) / spacing); phase+n*spacing < box.Max.Y; n++ {
			y := phase + n*spacing
			a, b := frame.Out(plane.Point{X: box.Min.X - 1, Y: y}), frame.Out(plane.Point{X: box.Max.X + 1, Y: y})
			lines = append(lines, [][2]float64{{a.X, a.Y}, {b.X, b.Y}})
		}
		want := p.number(t, map[string]any{"kind": "lines", "a": ringsOf(g), "lines": lines})
		off := math.Abs(rows.Length() - want)
		require.LessOrEqual(t, off, 2e-6*float64(rows.Count()+1)+1e-6*want, "case %d: %g mm, the other engine %g", k, rows.Length(), want)
		worst = math.Max(worst, off)
	}
	record(t, "length of rows cut to touching beads", "clipper2-wasm 0.4.0", cases, worst, "mm")
}

// TestBooleansSeeAFault: the comparison turns red when a sliver of a tenth of a
// line is missing.
func TestBooleansSeeAFault(t *testing.T) {
	p := startPeer(t)
	rng := rand.New(rand.NewPCG(51, 0))
	rings := touching(rng, 0)
	whole := overlay.Normalize(rings, overlay.NonZero)
	at := whole[0][0]
	bite := plane.Region{{at.Add(plane.Point{X: -0.03, Y: -0.03}), at.Add(plane.Point{X: 0.03, Y: -0.03}), at.Add(plane.Point{X: 0.03, Y: 0.03}), at.Add(plane.Point{X: -0.03, Y: 0.03})}}
	want := p.number(t, map[string]any{"kind": "polygons", "op": "union", "a": ringsOf(rings)})
	require.Greater(t, math.Abs(overlay.Subtract(whole, bite).Area()-want), outlineStep*lengths(rings), fmt.Sprint(at))
}
