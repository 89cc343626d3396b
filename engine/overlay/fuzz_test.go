package overlay_test

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/peterstace/simplefeatures/geom"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/overlay"
	"sheenlay/engine/plane"
)

// Set -overlay.cases=10000 for the long run.
var fuzzCases = flag.Int("overlay.cases", 600, "cases of each lattice test")

const (
	cells = 24
	pitch = 0.42 // mm, a line width: the places where shapes touch in practice
)

// shape is a union of unit squares of a small lattice: a truth known exactly.
type shape [cells][cells]bool

func (s *shape) area() float64 {
	n := 0
	for i := range s {
		for j := range s[i] {
			if s[i][j] {
				n++
			}
		}
	}
	return float64(n) * pitch * pitch
}

// components counts the patches joined across sides.
func (s shape) components() int {
	n := 0
	var clear func(i, j int)
	clear = func(i, j int) {
		if i < 0 || j < 0 || i >= cells || j >= cells || !s[i][j] {
			return
		}
		s[i][j] = false
		clear(i+1, j)
		clear(i-1, j)
		clear(i, j+1)
		clear(i, j-1)
	}
	for i := range s {
		for j := range s[i] {
			if s[i][j] {
				n++
				clear(i, j)
			}
		}
	}
	return n
}

func combine(a, b *shape, in func(x, y bool) bool) *shape {
	var out shape
	for i := range out {
		for j := range out[i] {
			out[i][j] = in(a[i][j], b[i][j])
		}
	}
	return &out
}

// draw makes rectangles of the lattice with shared edges, repeats, corner
// touches, collinear overlaps, repeated and superfluous points, either way round.
func draw(rng *rand.Rand, to plane.Affine) (rings []plane.Ring, s *shape) {
	s = &shape{}
	var last [4]int
	for k := range 3 + rng.IntN(16) {
		x0, y0 := rng.IntN(cells-1), rng.IntN(cells-1)
		x1, y1 := x0+1+rng.IntN(min(9, cells-x0-1)), y0+1+rng.IntN(min(9, cells-y0-1))
		if k > 0 {
			switch rng.IntN(5) {
			case 0: // the same again
				x0, y0, x1, y1 = last[0], last[1], last[2], last[3]
			case 1: // corner touch
				if last[2] < cells-1 && last[3] < cells-1 {
					x0, y0 = last[2], last[3]
					x1, y1 = x0+1, y0+1
				}
			case 2: // shared edge
				if last[2] < cells-1 {
					x0, y0, x1, y1 = last[2], last[1], last[2]+1, last[3]
				}
			}
		}
		last = [4]int{x0, y0, x1, y1}
		for i := x0; i < x1; i++ {
			for j := y0; j < y1; j++ {
				s[i][j] = true
			}
		}
		var r plane.Ring
		corner := [4][2]int{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}
		for c, p := range corner {
			q := corner[(c+1)%4]
			r = append(r, plane.Point{X: float64(p[0]), Y: float64(p[1])})
			if rng.IntN(4) == 0 {
				r = append(r, r[len(r)-1])
			}
			if rng.IntN(4) == 0 {
				r = append(r, plane.Point{X: float64(p[0]+q[0]) / 2, Y: float64(p[1]+q[1]) / 2})
			}
		}
		for i := range r {
			r[i] = to.Apply(r[i].Mul(pitch))
		}
		if rng.IntN(2) == 0 {
			r = r.Reversed()
		}
		rings = append(rings, r)
	}
	return rings, s
}

func turnOf(k int, rng *rand.Rand) plane.Affine {
	angle := []float64{0, 30, 45, 90, 360 * rng.Float64()}[k%5] * math.Pi / 180
	return plane.Rotate(angle).Then(plane.Translate(100*rng.Float64(), 100*rng.Float64()))
}

// checkNormalForm holds a region against the contract and the validity rules of
// an independent library. A second pass may still join what lies within a lattice
// step, so it is held to the area only.
func checkNormalForm(t *testing.T, g plane.Region, context string) {
	t.Helper()
	for _, r := range g {
		require.GreaterOrEqual(t, len(r), 3, context)
		seen := map[plane.Point]bool{}
		for _, p := range r {
			require.False(t, seen[p], "repeated point, %s", context)
			seen[p] = true
		}
	}
	for _, island := range overlay.Islands(g) {
		require.Greater(t, island[0].Area(), 0.0, context)
		for _, hole := range island[1:] {
			require.Less(t, hole.Area(), 0.0, context)
		}
	}
	require.InDelta(t, g.Area(), overlay.Normalize(g, overlay.EvenOdd).Area(), slack, context)
	_, err := peer(g)
	require.NoError(t, err, context)
}

// peer converts to the independent geometry library, which validates it.
func peer(g plane.Region) (geom.Geometry, error) {
	var polygons []geom.Polygon
	for _, island := range overlay.Islands(g) {
		var rings []geom.LineString
		for _, r := range island {
			var xy []float64
			for _, p := range append(r[:len(r):len(r)], r[0]) {
				xy = append(xy, p.X, p.Y)
			}
			rings = append(rings, geom.NewLineString(geom.NewSequence(xy, geom.DimXY)))
		}
		polygons = append(polygons, geom.NewPolygon(rings))
	}
	m := geom.NewMultiPolygon(polygons)
	return m.AsGeometry(), m.Validate()
}

// slack is the area by which a lattice step can move the border of a drawing:
// the length of all borders times a step.
const slack = 2e-3

// TestLatticeShapes compares every operation with counts of lattice squares.
func TestLatticeShapes(t *testing.T) {
	for k := range *fuzzCases {
		rng := rand.New(rand.NewPCG(2026, uint64(k)))
		to := turnOf(k, rng)
		ringsA, a := draw(rng, to)
		ringsB, b := draw(rng, to)
		context := fmt.Sprintf("case %d", k)
		var boxes []plane.Region
		for _, r := range ringsB {
			boxes = append(boxes, plane.Region{r})
		}
		gb := overlay.Union(boxes...)
		// Rings of both directions may cancel under NonZero: the truth of the
		// first operand is taken from rings turned one way.
		for i, r := range ringsA {
			if r.Area() < 0 {
				ringsA[i] = r.Reversed()
			}
		}
		ga := overlay.Normalize(ringsA, overlay.NonZero)
		require.InDelta(t, a.area(), ga.Area(), slack, context)
		require.InDelta(t, b.area(), gb.Area(), slack, context)
		for _, op := range []struct {
			name string
			got  plane.Region
			want *shape
		}{
			{"union", overlay.Union(ga, gb), combine(a, b, func(x, y bool) bool { return x || y })},
			{"intersect", overlay.Intersect(ga, gb), combine(a, b, func(x, y bool) bool { return x && y })},
			{"subtract", overlay.Subtract(ga, gb), combine(a, b, func(x, y bool) bool { return x && !y })},
			{"xor", overlay.Xor(ga, gb), combine(a, b, func(x, y bool) bool { return x != y })},
		} {
			name := context + " " + op.name
			require.InDelta(t, op.want.area(), op.got.Area(), slack, name)
			checkNormalForm(t, op.got, name)
			if k%5 == 0 || k%5 == 3 {
				// Unturned, the pitch rounds to the lattice the same way
				// everywhere, and so the islands must come out exactly too.
				require.Len(t, overlay.Islands(op.got), op.want.components(), name)
			}
		}
	}
}

// TestLatticeOffsets shrinks lattice shapes by a quarter of a square, mitred:
// the truth is the shape less its rim, counted in quarters, and growing back
// gives the shape again where no two of its squares touch at a corner only.
func TestLatticeOffsets(t *testing.T) {
	for k := range *fuzzCases {
		rng := rand.New(rand.NewPCG(77, uint64(k)))
		rings, s := draw(rng, turnOf(k, rng))
		var boxes []plane.Region
		for _, r := range rings {
			boxes = append(boxes, plane.Region{r})
		}
		g := overlay.Union(boxes...)
		got := overlay.Offset(g, -pitch/4, overlay.Mitre(2), 0)
		context := fmt.Sprintf("case %d", k)
		require.InDelta(t, s.shrunkArea(), got.Area(), slack, context)
		checkNormalForm(t, got, context)
		grown := overlay.Offset(g, pitch/4, overlay.Mitre(2), 0)
		require.InDelta(t, s.grownArea(), grown.Area(), slack, context)
		checkNormalForm(t, grown, context)
	}
}

// fine looks a shape up on a lattice four times as fine.
func (s *shape) fine(i, j int) bool {
	return i >= 0 && j >= 0 && i < 4*cells && j < 4*cells && s[i/4][j/4]
}

// count counts fine squares whose neighbourhood of 3 × 3 is right; a mitred
// offset by one fine square of a lattice shape is the one by that square.
func (s *shape) count(right func(all, some bool) bool) float64 {
	n := 0
	for i := -1; i <= 4*cells; i++ {
		for j := -1; j <= 4*cells; j++ {
			all, some := true, false
			for di := -1; di <= 1; di++ {
				for dj := -1; dj <= 1; dj++ {
					v := s.fine(i+di, j+dj)
					all, some = all && v, some || v
				}
			}
			if right(all, some) {
				n++
			}
		}
	}
	return float64(n) * pitch * pitch / 16
}

func (s *shape) shrunkArea() float64 { return s.count(func(all, _ bool) bool { return all }) }
func (s *shape) grownArea() float64  { return s.count(func(_, some bool) bool { return some }) }

// blob is a random star-shaped ring, possibly with coincident corners of others.
func blob(rng *rand.Rand, near plane.Point) plane.Ring {
	n := 3 + rng.IntN(40)
	r := make(plane.Ring, n)
	for i := range r {
		radius := 2 + 8*rng.Float64()
		r[i] = near.Add(plane.Point{X: radius}.Turn(2 * math.Pi * float64(i) / float64(n)))
		if rng.IntN(3) == 0 {
			r[i] = plane.Point{X: math.Round(r[i].X), Y: math.Round(r[i].Y)}
		}
	}
	return r
}

// TestAgainstAnIndependentLibrary compares areas with a geometry library from
// the registry over random regions.
func TestAgainstAnIndependentLibrary(t *testing.T) {
	worst, refused := 0.0, 0
	for k := range *fuzzCases / 4 {
		rng := rand.New(rand.NewPCG(11, uint64(k)))
		var a, b []plane.Ring
		for range 1 + rng.IntN(4) {
			a = append(a, blob(rng, plane.Point{X: 20 * rng.Float64(), Y: 20 * rng.Float64()}))
			b = append(b, blob(rng, plane.Point{X: 20 * rng.Float64(), Y: 20 * rng.Float64()}))
		}
		ga, gb := overlay.Normalize(a, overlay.EvenOdd), overlay.Normalize(b, overlay.NonZero)
		checkNormalForm(t, ga, fmt.Sprint("first operand of case ", k))
		pa, err := peer(ga)
		require.NoError(t, err)
		pb, err := peer(gb)
		require.NoError(t, err)
		for _, op := range []struct {
			name string
			got  plane.Region
			want func(a, b geom.Geometry) (geom.Geometry, error)
		}{
			{"union", overlay.Union(ga, gb), geom.Union},
			{"intersect", overlay.Intersect(ga, gb), geom.Intersection},
			{"subtract", overlay.Subtract(ga, gb), geom.Difference},
			{"xor", overlay.Xor(ga, gb), geom.SymmetricDifference},
		} {
			want, err := op.want(pa, pb)
			if err != nil { // the peer gives up on some inputs
				refused++
				continue
			}
			off := math.Abs(want.Area() - op.got.Area())
			worst = math.Max(worst, off)
			require.Less(t, off, 1e-3, "case %d %s", k, op.name)
		}
	}
	t.Logf("largest difference %.2g mm², %d answers refused by the peer", worst, refused)
	assert.Less(t, refused, *fuzzCases/10)
}

// TestManyCrossings has far more crossings than segments.
func TestManyCrossings(t *testing.T) {
	var bars []plane.Region
	for i := range 40 {
		at := float64(i)
		bars = append(bars, plane.Region{box(at, 0, at+0.5, 40)}, plane.Region{box(0, at, 40, at+0.5)})
	}
	for _, degrees := range []float64{0, 30, 45, 61.7} {
		turned := make([]plane.Region, len(bars))
		for i, g := range bars {
			turned[i] = plane.Rotate(degrees * math.Pi / 180).ApplyRegion(g)
		}
		got := overlay.Union(turned...)
		assert.InDelta(t, 2*40*40*0.5-40*40*0.25, got.Area(), 0.05)
		assert.Len(t, overlay.Islands(got), 1)
		assert.Len(t, got, 1+39*39)
	}
}

// TestNearlyParallel aims at the hard place of snap rounding: slivers of a few
// lattice steps.
func TestNearlyParallel(t *testing.T) {
	for k := range *fuzzCases {
		rng := rand.New(rand.NewPCG(5, uint64(k)))
		step := math.Ldexp(1, -20)
		var rings []plane.Ring
		for range 12 {
			p := plane.Point{X: float64(rng.IntN(9)) * step, Y: float64(rng.IntN(9)) * step}
			q := plane.Point{X: 10 + float64(rng.IntN(9))*step, Y: 7 + float64(rng.IntN(9))*step}
			r := plane.Point{X: float64(rng.IntN(30)) / 3, Y: float64(rng.IntN(30)) / 3}
			rings = append(rings, plane.Ring{p, q, r})
		}
		got := overlay.Normalize(rings, overlay.NonZero)
		checkNormalForm(t, got, fmt.Sprint("case ", k))
		// All small: every coordinate within nine steps of the origin.
		for i := range rings {
			for j := range rings[i] {
				rings[i][j] = plane.Point{X: float64(rng.IntN(9)) * step, Y: float64(rng.IntN(9)) * step}
			}
		}
		checkNormalForm(t, overlay.Normalize(rings, overlay.EvenOdd), fmt.Sprint("small case ", k))
	}
}
