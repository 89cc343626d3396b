//go:build !js

package outside_test

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sheenlay/engine/drawing"
	"sheenlay/engine/plane"
)

// drawnPath draws one subpath of all commands, with cusps, coincident control
// points, arcs with radii that are too small, and lines of no length.
func drawnPath(rng *rand.Rand) string {
	v := func() string {
		if rng.IntN(5) == 0 {
			return fmt.Sprint(rng.IntN(5) * 25)
		}
		return fmt.Sprintf("%.3f", rng.Float64()*100)
	}
	var b strings.Builder
	fmt.Fprintf(&b, "M%s,%s", v(), v())
	for range 1 + rng.IntN(5) {
		switch rng.IntN(8) {
		case 0:
			fmt.Fprintf(&b, " L%s %s", v(), v())
		case 1:
			fmt.Fprintf(&b, " H%s V%s", v(), v())
		case 2:
			x, y := v(), v() // a control point on the end
			fmt.Fprintf(&b, " C%s,%s %s,%s %s,%s", v(), v(), x, y, x, y)
		case 3:
			fmt.Fprintf(&b, " C%s,%s %s,%s %s,%s S%s,%s %s,%s", v(), v(), v(), v(), v(), v(), v(), v(), v(), v())
		case 4:
			fmt.Fprintf(&b, " Q%s,%s %s,%s T%s,%s", v(), v(), v(), v(), v(), v())
		case 5:
			fmt.Fprintf(&b, " A%.3f,%.3f %d %d,%d %s,%s", 1+60*rng.Float64(), 1+60*rng.Float64(), rng.IntN(180), rng.IntN(2), rng.IntN(2), v(), v())
		case 6:
			fmt.Fprintf(&b, " c%s,-10 -%s,20 %s,5", v(), v(), v())
		default:
			fmt.Fprintf(&b, " l0,0 h0 v%s", v())
		}
	}
	return b.String()
}

// TestLengthsAndPointsOfPaths compares lengths and points along drawn paths with
// a path library. Points are looked for near the share of the length, since both
// libraries flatten or integrate in their own way. The library integrates with
// a fixed number of places for each curve and is up to a hundredth off near
// cusps (two such lengths were settled by sums over 400,000 chords: ours were
// right to 1e-5), so nine in ten paths are held close and the rest loosely.
func TestLengthsAndPointsOfPaths(t *testing.T) {
	p := startPeer(t)
	cases := 300 * *scale
	worstPoint, refused := 0.0, 0
	var differences []float64
	shares := []float64{0, 0.1, 0.25, 0.5, 0.77, 1}
	for k := range cases {
		d := drawnPath(rand.New(rand.NewPCG(61, uint64(k))))
		svg := fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="200mm" viewBox="0 0 200 200"><path d="%s" fill="none" stroke="#000" stroke-width=".4"/></svg>`, d)
		got := drawing.Read(context.Background(), []byte(svg), drawing.Options{MMPerUserUnit: 1, ToleranceMM: 0.001})
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
		if want.Length == 0 { // not a number: some arcs end the library's sum
			refused++
			continue
		}
		line := got.Lines[0]
		off := math.Abs(line.Length()-want.Length) / want.Length
		require.LessOrEqual(t, off, 1e-2, "case %d: %g mm, the library %g: %s", k, line.Length(), want.Length, d)
		differences = append(differences, off)
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
	cases -= refused
	slices.Sort(differences)
	require.Less(t, differences[cases*9/10], 5e-4)
	record(t, fmt.Sprintf("lengths of drawn SVG paths, as a share (median %.1g; largest at a cusp, where the library integrates coarsely)", differences[cases/2]),
		"svg-path-properties 2.1.0", cases, differences[cases-1], "")
	record(t, "distance of points along them from our line (flattened within 0.001 mm)", "svg-path-properties 2.1.0", cases*len(shares), worstPoint, "mm")
}

func segmentDistance(a, p, q plane.Point) float64 {
	d := q.Sub(p)
	s := 0.0
	if n := d.Dot(d); n > 0 {
		s = min(max(a.Sub(p).Dot(d)/n, 0), 1)
	}
	return a.Dist(p.Add(d.Mul(s)))
}
