//go:build !js

package outside_test

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sheenlay/engine/drawing"
	"sheenlay/engine/plane"
)

// drawnPath draws one subpath of all commands, with cusps, coincident control
// points, arcs with radii that are too small, and lines of no length. It returns
// the path data and the curves it stands for.
func drawnPath(rng *rand.Rand) (string, []curve) {
	var b strings.Builder
	var curves []curve
	v := func() float64 {
		if rng.IntN(5) == 0 {
			return float64(rng.IntN(5) * 25)
		}
		return math.Round(rng.Float64()*1e5) / 1e3
	}
	place := func() plane.Point { return plane.Point{X: v(), Y: v()} }
	write := func(command string, numbers ...float64) {
		fmt.Fprintf(&b, " %s", command)
		for i, n := range numbers {
			if i > 0 {
				b.WriteByte(" ,"[i%2])
			}
			fmt.Fprintf(&b, "%.3f", n)
		}
	}
	at := place()
	write("M", at.X, at.Y)
	bezier := func(points ...plane.Point) {
		curves = append(curves, bezierCurve(append([]plane.Point{at}, points...)))
		at = points[len(points)-1]
	}
	for range 1 + rng.IntN(5) {
		switch rng.IntN(8) {
		case 0:
			p := place()
			write("L", p.X, p.Y)
			bezier(p)
		case 1:
			p := place()
			write("H", p.X)
			write("V", p.Y)
			bezier(plane.Point{X: p.X, Y: at.Y})
			bezier(p)
		case 2: // a control point on the end
			c, p := place(), place()
			write("C", c.X, c.Y, p.X, p.Y, p.X, p.Y)
			bezier(c, p, p)
		case 3:
			c, d, p, e, q := place(), place(), place(), place(), place()
			write("C", c.X, c.Y, d.X, d.Y, p.X, p.Y)
			write("S", e.X, e.Y, q.X, q.Y)
			bezier(c, d, p)
			bezier(p.Mul(2).Sub(d), e, q)
		case 4:
			c, p, q := place(), place(), place()
			write("Q", c.X, c.Y, p.X, p.Y)
			write("T", q.X, q.Y)
			bezier(c, p)
			bezier(p.Mul(2).Sub(c), q)
		case 5:
			rx, ry := math.Round(1000*(1+60*rng.Float64()))/1000, math.Round(1000*(1+60*rng.Float64()))/1000
			turn, large, sweep, p := rng.IntN(180), rng.IntN(2), rng.IntN(2), place()
			write("A", rx, ry)
			fmt.Fprintf(&b, " %d %d,%d %.3f,%.3f", turn, large, sweep, p.X, p.Y)
			curves = append(curves, arcCurve(at, p, rx, ry, float64(turn)*math.Pi/180, large == 1, sweep == 1))
			at = p
		case 6:
			x, y, z := v(), v(), v()
			write("c", x, -10, -y, 20, z, 5)
			bezier(at.Add(plane.Point{X: x, Y: -10}), at.Add(plane.Point{X: -y, Y: 20}), at.Add(plane.Point{X: z, Y: 5}))
		default:
			y := v()
			write("l", 0, 0)
			write("h", 0)
			write("v", y)
			bezier(at.Add(plane.Point{Y: y}))
		}
	}
	return strings.TrimSpace(b.String()), curves
}

// curve gives the point at t from 0 to 1.
type curve func(t float64) plane.Point

// bezierCurve is the Bézier curve of two to four points (de Casteljau).
func bezierCurve(points []plane.Point) curve {
	return func(t float64) plane.Point {
		var p [4]plane.Point
		n := copy(p[:], points)
		for ; n > 1; n-- {
			for i := range n - 1 {
				p[i] = p[i].Lerp(p[i+1], t)
			}
		}
		return p[0]
	}
}

// arcCurve is an elliptical arc by its ends (W3C SVG 2, implementation notes,
// conversion from endpoint to center parameterization and out-of-range radii).
func arcCurve(from, to plane.Point, rx, ry, turn float64, large, sweep bool) curve {
	if from == to {
		return func(float64) plane.Point { return from }
	}
	half := from.Sub(to).Mul(0.5).Turn(-turn)
	if over := half.X*half.X/(rx*rx) + half.Y*half.Y/(ry*ry); over > 1 {
		rx, ry = rx*math.Sqrt(over), ry*math.Sqrt(over)
	}
	off := rx*rx*half.Y*half.Y + ry*ry*half.X*half.X
	s := math.Sqrt(math.Max(0, rx*rx*ry*ry-off) / off)
	if large == sweep {
		s = -s
	}
	centre := plane.Point{X: s * rx * half.Y / ry, Y: -s * ry * half.X / rx}
	first := math.Atan2((half.Y-centre.Y)/ry, (half.X-centre.X)/rx)
	span := math.Atan2((-half.Y-centre.Y)/ry, (-half.X-centre.X)/rx) - first
	switch {
	case sweep && span < 0:
		span += 2 * math.Pi
	case !sweep && span > 0:
		span -= 2 * math.Pi
	}
	middle := centre.Turn(turn).Add(from.Lerp(to, 0.5))
	return func(t float64) plane.Point {
		sin, cos := math.Sincos(first + t*span)
		return plane.Point{X: rx * cos, Y: ry * sin}.Turn(turn).Add(middle)
	}
}

// chordLength sums fine chords of curves.
func chordLength(curves []curve) (sum float64) {
	const chords = 4096
	for _, c := range curves {
		before := c(0)
		for k := 1; k <= chords; k++ {
			at := c(float64(k) / chords)
			sum += at.Dist(before)
			before = at
		}
	}
	return sum
}

// TestLengthsAndPointsOfPaths compares lengths along drawn paths with a path
// library and with sums over fine chords of the curves' own formulas, and points
// with the library's. The library integrates with a fixed number of places for
// each curve and is up to a hundredth off near cusps, so where it and we differ
// the chords decide: our lengths must agree with them on every path.
func TestLengthsAndPointsOfPaths(t *testing.T) {
	p := startPeer(t)
	const agree = 1e-5 // share of the length
	cases := 300 * *scale
	worstLength, worstBeside, worstPoint, refused, settled := 0.0, 0.0, 0.0, 0, 0
	shares := []float64{0, 0.1, 0.25, 0.5, 0.77, 1}
	for k := range cases {
		d, curves := drawnPath(rand.New(rand.NewPCG(61, uint64(k))))
		svg := fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="200mm" viewBox="0 0 200 200"><path d="%s" fill="none" stroke="#000" stroke-width=".4"/></svg>`, d)
		got := drawing.Read(context.Background(), []byte(svg), drawing.Options{MMPerUserUnit: 1, ToleranceMM: 1e-4})
		var want struct {
			Length float64
			Points [][2]float64
		}
		require.NoError(t, p.ask(t, map[string]any{"kind": "path", "d": d, "shares": shares}, &want))
		if len(got.Lines) == 0 { // a path that goes nowhere
			require.Zero(t, want.Length, "case %d: %s", k, d)
			refused++
			continue
		}
		require.Len(t, got.Lines, 1, "case %d: %s", k, d)
		line := got.Lines[0]
		exact := chordLength(curves)
		off := math.Abs(line.Length()-exact) / exact
		require.LessOrEqual(t, off, agree, "case %d: %g mm, by chords %g: %s", k, line.Length(), exact, d)
		worstLength = math.Max(worstLength, off)
		if want.Length == 0 { // not a number: some arcs end the library's sum
			refused++
			continue
		}
		if off := math.Abs(want.Length-line.Length()) / exact; off > agree {
			require.Less(t, off, 0.02, "case %d: %g mm, the library %g: %s", k, line.Length(), want.Length, d)
			settled++
		} else {
			worstBeside = math.Max(worstBeside, off)
		}
		for i, q := range want.Points {
			at := plane.Point{X: q[0], Y: 200 - q[1]}
			near := math.Inf(1)
			for j := 1; j < len(line.Points); j++ {
				near = math.Min(near, segmentDistance(at, line.Points[j-1], line.Points[j]))
			}
			require.LessOrEqual(t, near, 0.01, "case %d, at %g of the length: %s", k, shares[i], d)
			worstPoint = math.Max(worstPoint, near)
		}
	}
	require.Less(t, refused, cases/10)
	require.Less(t, settled, cases/2, "paths on which the library is not close")
	record(t, "lengths of drawn SVG paths, as a share", "4,096 chords of each curve's formula (W3C SVG 2)", cases, worstLength, "")
	record(t, fmt.Sprintf("the same beside a library, as a share (on %d more, with cusps, the library is coarse and the chords decide)", settled),
		"svg-path-properties 2.1.0", cases-refused-settled, worstBeside, "")
	record(t, "distance of points along them from our line (flattened within 0.0001 mm)", "svg-path-properties 2.1.0", (cases-refused)*len(shares), worstPoint, "mm")
}

func segmentDistance(a, p, q plane.Point) float64 {
	d := q.Sub(p)
	s := 0.0
	if n := d.Dot(d); n > 0 {
		s = min(max(a.Sub(p).Dot(d)/n, 0), 1)
	}
	return a.Dist(p.Add(d.Mul(s)))
}
