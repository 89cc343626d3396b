package main

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/grain"
	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
	"sheenlay/engine/raster"
)

func zoneOf(region plane.Region, degrees float64) pattern.Pattern {
	return pattern.Pattern{Zones: []pattern.Zone{{Region: region, Lay: pattern.Lay{Angle: degrees * math.Pi / 180}}}}
}

// One square zone of side a in closed form. Rows along two sides end on the
// other two, at right angles: 2a·(w/4)(1 − π/4) bare and 2a·w/(2a²) of the
// length in joins. At an angle all four count, with sin θ and cos θ in turn.
// (Derived; the loss per mm is that of the method's description.)
func TestBoundOfASquare(t *testing.T) {
	const a, w = 20.0, 0.42
	face := box(0, 0, a, a)
	for _, c := range []struct{ degrees, bare, met float64 }{
		{0, 2 * a * w / 4 * (1 - math.Pi/4), 2 * a},
		{90, 2 * a * w / 4 * (1 - math.Pi/4), 2 * a},
		{45, 4 * a * w / 4 * (1 - math.Pi/4*math.Sqrt(0.5)), 4 * a},
		{30, 2*a*w/4*(1-math.Pi/4*0.5) + 2*a*w/4*(1-math.Pi/4*math.Sqrt(0.75)), 4 * a},
	} {
		t.Run(fmt.Sprintf("%g°", c.degrees), func(t *testing.T) {
			b := boundOf(face, zoneOf(face, c.degrees), limits{usual: w, least: 0.24, most: 0.8})
			assert.InDelta(t, 100*(1-c.bare/(a*a)), b.covered, 1e-6)
			assert.InDelta(t, 100*(1-c.met/2*w/(a*a)), b.lay, 1e-6)
			assert.Zero(t, b.ends)
		})
	}
	// Only the part of a zone on the face counts, and a zone beside it for itself.
	half := plane.Region{{{}, {X: a / 2}, {X: a / 2, Y: a}, {Y: a}}}
	other := plane.Region{{{X: a / 2}, {X: 5 * a}, {X: 5 * a, Y: a}, {X: a / 2, Y: a}}}
	both := pattern.Pattern{Zones: append(zoneOf(half, 0).Zones, zoneOf(other, 90).Zones...)}
	b := boundOf(face, both, limits{usual: w, least: 0.24, most: 0.8})
	assert.InDelta(t, 100*(1-(2*a+a)*w/4*(1-math.Pi/4)/(a*a)), b.covered, 1e-6)
}

// Rows that mirror each other at a common border can go on over it: it asks for
// no joins, and each row bends there once, by 2·(90° − θ). Where more rows end on
// one side than on the other the surplus must turn. (Derived.)
func TestBoundWhereRowsGoOn(t *testing.T) {
	const a, w = 20.0, 0.42
	lim := limits{usual: w, least: 0.24, most: 0.8}
	halves := func(left, right float64) pattern.Pattern {
		p := zoneOf(box(0, 0, a/2, a), left)
		p.Zones = append(p.Zones, zoneOf(box(a/2, 0, a, a), right).Zones...)
		return p
	}
	for _, c := range []struct{ left, right, shared float64 }{
		{0, 90, a / 2},
		{0, 0, 0},
		{30, 150, 0},
		{0, 60, a / 2 * (1 - 0.5)}, // at 60° to the level the rows meet the border at 30°
	} {
		t.Run(fmt.Sprintf("%g° beside %g°", c.left, c.right), func(t *testing.T) {
			sum := boundOf(box(0, 0, a, a), halves(c.left, c.right), lim)
			alone := 0.0 // the outline
			for i, degrees := range []float64{c.left, c.right} {
				half := box(float64(i)*a/2, 0, float64(i+1)*a/2, a)
				alone += (100 - boundOf(half, zoneOf(half, degrees), lim).lay) / 100 * a / 2 * a / w
				if math.Abs(math.Cos(degrees*math.Pi/180)) > 1e-9 {
					alone -= a / 2
				}
			}
			assert.InDelta(t, 100*(1-(alone+c.shared)*w/(a*a)), sum.lay, 1e-6)
		})
	}
	// What is bare along the border alone.
	p := halves(30, 150)
	withBorder := boundOf(box(0, 0, a, a), p, lim).covered
	outline := 2*a*loss(w, math.Sqrt(0.75)) + 2*a*loss(w, 0.5)
	assert.InDelta(t, 100*(1-(outline+a*math.Sqrt(0.75)/w*notch(w, math.Pi/3))/(a*a)), withBorder, 1e-6)
}

// A disc of radius R under rows: the mean of |sin θ| round it is 2/π, so
// 2πR·(w/4)(1 − ½) is bare. Rings about its centre end nowhere.
func TestBoundOfADisc(t *testing.T) {
	const r, w = 30.0, 0.42
	face := disc(r, plane.Point{})
	lim := limits{usual: w, least: 0.24, most: 0.8}
	assert.InDelta(t, 100*(1-2*w/8/r), boundOf(face, zoneOf(face, 17), lim).covered, 0.002)
	rings := zoneOf(face, 0)
	rings.Zones[0].Lay.Field = grain.Concentric{}
	b := boundOf(face, rings, lim)
	assert.Equal(t, 100.0, b.covered)
	assert.Zero(t, b.gap)
	// Lines of one width along rays about a point beside the face: |∇·T| = 1/r,
	// here where they stand farther apart than the widest bead allows.
	rays := zoneOf(box(10, -1, 30, 1), 0)
	rays.Zones[0].Lay.Field = grain.Function(func(p plane.Point) float64 { return 10 * math.Atan2(p.Y, p.X) })
	ends := boundOf(box(10, -1, 30, 1), rays, lim).ends
	// The spacing is w·r/10: beyond 0.8 mm from r = 19.05 on.
	assert.InDelta(t, 2*math.Log(30/(0.8/w*10))/0.8, ends, 0.05)
}

// The notch beside a turn, held against the raster that measures coverage: the
// area of the kite outside a bent bead, and the part of it farther than 0.05 mm
// from the bead and from its two sides.
func TestNotchAgainstTheRaster(t *testing.T) {
	const w, e = 0.42, 0.05
	for _, degrees := range []float64{60, 90, 120, 140} {
		turn := degrees * math.Pi / 180
		out := plane.Point{X: 2}.Turn(turn)
		n := raster.NewCounts(raster.NewGrid(plane.Box{Min: plane.Point{X: -3, Y: -3}, Max: plane.Point{X: 3, Y: 3}}, 0.002, 0.3))
		n.AddPath([]plane.Point{{X: -2}, {}, out}, []float64{w})
		n.AddReach([]plane.Point{{X: -2}, {}, out}, []float64{w}, e)
		// Inside both outer sides, beyond the turn.
		bare, open, cut := 0, 0, 0
		const step = 0.002
		for y := -0.8; y < 0.4; y += step {
			for x := -0.2; x < 0.9; x += step {
				p := plane.Point{X: x, Y: y}
				first, second := p.Y+w/2, out.Unit().Cross(p)+w/2
				if first < 0 || second < 0 || n.At(p) > 0 || p.Dot(plane.Point{X: 1}.Turn(turn/2-math.Pi/2)) < 0 {
					continue
				}
				bare++
				if first > e && second > e && !n.NearAt(p) {
					open++
				}
				if first > e && !n.NearAt(p) { // the second side is the outline
					cut++
				}
			}
		}
		require.InDelta(t, notch(w, turn), float64(bare)*step*step, 0.0005+0.015*notch(w, turn), "%g°", degrees)
		require.InDelta(t, openNotch(w, turn), float64(open)*step*step, 0.0005+0.015*notch(w, turn), "%g°", degrees)
		require.InDelta(t, openCut(w, turn), float64(cut)*step*step, 0.0005+0.015*notch(w, turn), "%g°", degrees)
	}
	assert.Zero(t, openNotch(w, math.Pi/2))
}

// A staircase of unit steps: two right angles a step; and cut by the outline at
// 45° it must turn by that at least.
func TestBoundOfCurves(t *testing.T) {
	const w = 0.42
	face := box(0, 0, 10, 10)
	var stairs []plane.Point
	for k := range 8 {
		stairs = append(stairs, plane.Point{X: 1 + float64(k), Y: 1 + float64(k)}, plane.Point{X: 2 + float64(k), Y: 1 + float64(k)})
	}
	b := boundOf(face, pattern.Pattern{Curves: []pattern.Curve{{Points: stairs}}}, limits{usual: w})
	assert.InDelta(t, 100-14*notch(w, math.Pi/2), b.covered, 1e-9)
	slant := []plane.Point{{X: 5, Y: 5}, {X: 15, Y: 15 - 1e-3}}
	b = boundOf(face, pattern.Pattern{Curves: []pattern.Curve{{Points: slant}}}, limits{usual: w})
	assert.InDelta(t, 100-(notch(w, math.Pi/4)+notch(w, 3*math.Pi/4))/2, b.covered, 1e-4)
	assert.InDelta(t, (openCut(w, math.Pi/4)+openCut(w, 3*math.Pi/4))/2, b.gap, 1e-4)
}

// A value is judged by its aim, or by the bound where the aim lies beyond it.
func TestVerdicts(t *testing.T) {
	for _, c := range []struct {
		name string
		f    cell
		want verdict
		text string
	}{
		{"reached", cell{value: 98.5, aim: 98, bound: 97}, reached, "98.50"},
		{"at the bound", cell{value: 96.9, aim: 98, bound: 97, slack: 0.3}, atBound, "96.90 of 97.00 ◦"},
		{"under the bound", cell{value: 96.6, aim: 98, bound: 97, slack: 0.3}, missed, "**96.60 of 97.00 ✗**"},
		{"a bound above the aim does not excuse", cell{value: 97.9, aim: 98, bound: 99, slack: 2}, missed, "**97.90 ✗**"},
		{"a most, reached", cell{value: 0.3, aim: 0.4, most: true, bound: 0.5}, reached, "0.30"},
		{"a most, at the bound", cell{value: 0.6, aim: 0.4, most: true, bound: 0.5, slack: 0.2}, atBound, "0.60 of 0.50 ◦"},
		{"a most, missed", cell{value: 0.8, aim: 0.4, most: true, bound: 0.5, slack: 0.2}, missed, "**0.80 of 0.50 ✗**"},
		{"a most without bound", cell{value: 0.8, aim: 0.4, most: true}, missed, "**0.80 ✗**"},
	} {
		assert.Equal(t, c.want, c.f.verdict(), c.name)
		assert.Equal(t, c.text, c.f.String(), c.name)
	}
}
