package scan

import (
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/plane"
)

func rect(x0, y0, x1, y1 float64) plane.Ring {
	return plane.Ring{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}
}

func TestSpans(t *testing.T) {
	type list = []Span
	for _, c := range []struct {
		name                 string
		a, b, and, minus, or list
	}{
		{"empty", nil, nil, nil, nil, nil},
		{"nothing taken", list{{0, 2}}, nil, nil, list{{0, 2}}, list{{0, 2}}},
		{"touching", list{{0, 2}}, list{{2, 3}}, nil, list{{0, 2}}, list{{0, 3}}},
		{"hole in the middle", list{{0, 9}}, list{{2, 3}, {5, 6}}, list{{2, 3}, {5, 6}}, list{{0, 2}, {3, 5}, {6, 9}}, list{{0, 9}}},
		{"one over several", list{{0, 1}, {2, 3}, {4, 5}}, list{{0.5, 4.5}}, list{{0.5, 1}, {2, 3}, {4, 4.5}}, list{{0, 0.5}, {4.5, 5}}, list{{0, 5}}},
		{"equal", list{{1, 2}, {3, 4}}, list{{1, 2}, {3, 4}}, list{{1, 2}, {3, 4}}, nil, list{{1, 2}, {3, 4}}},
		{"all covered", list{{1, 2}, {3, 4}}, list{{0, 9}}, list{{1, 2}, {3, 4}}, nil, list{{0, 9}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			assert.Equal(t, c.and, Intersect(nil, c.a, c.b))
			assert.Equal(t, c.minus, Subtract(nil, c.a, c.b))
			assert.Equal(t, c.or, Union(nil, c.a, c.b))
			assert.Equal(t, c.or, nilIfEmpty(Merge(append(append(list{{7, 7}}, c.b...), c.a...))))
		})
	}
}

func nilIfEmpty(s []Span) []Span {
	if len(s) == 0 {
		return nil
	}
	return s
}

func TestCut(t *testing.T) {
	square := plane.Region{rect(0, 0, 10, 10), rect(4, 4, 6, 6).Reversed()}
	for _, c := range []struct {
		name           string
		region         plane.Region
		phase, spacing float64
		rows, pieces   int
		length         float64
	}{
		{"nothing", nil, 0, 1, 0, 0, 0},
		{"a ring of two points", plane.Region{{{X: 0, Y: 0}, {X: 1, Y: 1}}}, 0.25, 0.5, 2, 0, 0},
		{"square with a hole, between the corners", square, 0.5, 1, 10, 12, 96},
		// Half-open: the line along y = 0 belongs to the square, y = 10 does not;
		// the hole takes y = 4 and 5 away.
		{"lines along the edges", square, 0, 1, 10, 12, 96},
		{"no spacing", square, 0, 0, 0, 0, 0},
		{"negative spacing", square, 0, -1, 0, 0, 0},
		{"spacing not a number", square, 0, math.NaN(), 0, 0, 0},
		{"spacing too fine to count", square, 0, 1e-9, 0, 0, 0},
		{"one line", square, 5, 1000, 1, 2, 8},
	} {
		t.Run(c.name, func(t *testing.T) {
			rows := Cut(c.region, NewFrame(0), c.phase, c.spacing)
			assert.Equal(t, c.rows, rows.Len())
			assert.Equal(t, c.pieces, rows.Count())
			assert.InDelta(t, c.length, rows.Length(), 1e-9)
		})
	}
}

// TestZigzagBox is the worked example of the check values: a 20 × 10 box at
// pitch 0.4 across the 10 side takes 25 lines of 20 mm (derived).
func TestZigzagBox(t *testing.T) {
	rows := Cut(plane.Region{rect(0, 0, 20, 10)}, NewFrame(0), 0.2, 0.4)
	assert.Equal(t, 25, rows.Len())
	assert.InDelta(t, 500.0, rows.Length(), 1e-9)
}

// wavy is the outline of the speed reference: 4000 vertices with two harmonics
// and six wavy holes of 200, rounded to 1e-5 mm.
func wavy() plane.Region {
	ring := func(cx, cy, r, a, b float64, p, q, n int) plane.Ring {
		out := make(plane.Ring, n)
		for i := range n {
			t := 2 * math.Pi * float64(i) / float64(n)
			s, c := math.Sincos(t)
			l := r * (1 + a*math.Sin(float64(p)*t) + b*math.Sin(float64(q)*t))
			out[i] = plane.Point{X: math.Round((cx+l*c)*1e5) / 1e5, Y: math.Round((cy+l*s)*1e5) / 1e5}
		}
		return out
	}
	g := plane.Region{ring(0, 0, 92, 0.08, 0.03, 7, 31, 4000)}
	for i := range 6 {
		s, c := math.Sincos(math.Pi / 3 * float64(i))
		g = append(g, ring(50*c, 50*s, 11, 0.1, 0.02, 5, 17, 200).Reversed())
	}
	return g
}

// TestCutLengthIsArea: lines d apart have a total length of area/d in the mean
// over phases (Cavalieri), and each end lies on the border to rounding. The
// ends are compared with arithmetic of 200 bits.
func TestCutLengthIsArea(t *testing.T) {
	g := wavy()
	const spacing = 0.0937
	sum := 0.0
	for k := range 8 {
		sum += Cut(g, NewFrame(0.5236), spacing*float64(k)/8, spacing).Length()
	}
	assert.InEpsilon(t, g.Area(), sum/8*spacing, 1e-6)

	rows := Cut(g, NewFrame(0), 0, 5)
	worst := 0.0
	for i := range rows.Len() {
		for _, s := range rows.Spans(i) {
			worst = max(worst, exactOffset(g, s.Lo, rows.Y(i)), exactOffset(g, s.Hi, rows.Y(i)))
		}
	}
	assert.Less(t, worst, 1e-9, "mm from the exact crossing")
}

// exactOffset returns the distance along the line at height y from x to the
// nearest exact crossing.
func exactOffset(g plane.Region, x, y float64) float64 {
	f := func(v float64) *big.Float { return new(big.Float).SetPrec(200).SetFloat64(v) }
	best := math.Inf(1)
	for _, r := range g {
		for i, a := range r {
			b := r[(i+1)%len(r)]
			if (a.Y <= y) == (b.Y <= y) {
				continue
			}
			n := new(big.Float).Sub(f(y), f(a.Y))
			n.Mul(n, new(big.Float).Sub(f(b.X), f(a.X)))
			n.Quo(n, new(big.Float).Sub(f(b.Y), f(a.Y)))
			n.Add(n, f(a.X))
			n.Sub(n, f(x))
			d, _ := n.Float64()
			best = min(best, math.Abs(d))
		}
	}
	return best
}

// TestLatticeLines cuts shapes of lattice squares by lines through vertices,
// along edges and in the middle of cells, at five rotations: 14,400 lines, as
// in the speed reference (§3 and 4, degenerate input). The exact length of a
// line is known by counting cells; along an edge any length from "both sides
// inside" to "either side inside" is right.
func TestLatticeLines(t *testing.T) {
	const n, cell = 12, 2.5
	lines, wrong := 0, 0
	for _, angle := range []float64{0, 90, 45, 30, 17.3} {
		for shape := range 22 {
			rng := rand.New(rand.NewPCG(uint64(shape), 3))
			var in [n][n]bool
			for y := range n {
				for x := range n {
					in[y][x] = rng.IntN(3) > 0
				}
			}
			turn := plane.Rotate(angle * math.Pi / 180)
			var g plane.Region
			for y := range n {
				for x := range n {
					if in[y][x] {
						r := rect(float64(x)*cell, float64(y)*cell, float64(x+1)*cell, float64(y+1)*cell)
						g = append(g, plane.Ring(turn.ApplyLine(plane.Polyline(r))))
					}
				}
			}
			frame := NewFrame(angle * math.Pi / 180)
			for half := range 2*n + 1 { // even: along edges and vertices; odd: mid-cell
				y := float64(half) * cell / 2
				for _, off := range []float64{0, 1e-12, -1e-12, 1e-9, -1e-9, cell / 8} {
					if half%2 == 0 && off == cell/8 {
						continue
					}
					lines++
					rows := Cut(g, frame, y+off, 1e6)
					low, high := 0.0, 0.0
					if half%2 == 1 {
						low = cell * float64(count(in[half/2]))
						high = low
					} else {
						for x := range n {
							below := half > 0 && in[half/2-1][x]
							above := half < 2*n && in[half/2][x]
							if below && above {
								low += cell
							}
							if below || above {
								high += cell
							}
						}
					}
					if l := rows.Length(); l < low-1e-6 || l > high+1e-6 {
						wrong++
						t.Logf("shape %d turned %g°: line %d/2 off %g is %g mm, not in [%g, %g]", shape, angle, half, off, l, low, high)
					}
				}
			}
		}
	}
	t.Logf("%d lines", lines)
	assert.GreaterOrEqual(t, lines, 14_400)
	assert.Zero(t, wrong)
}

func count(row [12]bool) int {
	n := 0
	for _, b := range row {
		if b {
			n++
		}
	}
	return n
}

func TestCapsule(t *testing.T) {
	p, q := plane.Point{X: 0, Y: 0}, plane.Point{X: 4, Y: 3}
	for _, c := range []struct {
		name   string
		y      float64
		lo, hi float64 // worked by hand: slope 3/4, sides 1.25 up the normal
	}{
		{"through the middle", 1.5, 2 - 5.0/3, 2 + 5.0/3},
		{"above all", 4, math.Inf(1), math.Inf(-1)},
		{"through the round end only", -0.9, -math.Sqrt(1 - 0.81), math.Sqrt(1 - 0.81)},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := Capsule(p, q, 1, c.y)
			if math.IsInf(c.lo, 0) {
				assert.Greater(t, s.Lo, s.Hi)
				return
			}
			assert.InDelta(t, c.lo, s.Lo, 1e-12)
			assert.InDelta(t, c.hi, s.Hi, 1e-12)
		})
	}
}

// TestCapsuleIsDistance compares with the distance itself, also for level,
// upright, tiny and nearly level segments.
func TestCapsuleIsDistance(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	for i := range 4000 {
		p := plane.Point{X: rng.Float64()*4 - 2, Y: rng.Float64()*4 - 2}
		d := plane.Point{X: rng.Float64()*4 - 2, Y: rng.Float64()*4 - 2}
		switch i % 5 {
		case 0:
			d.Y = 0
		case 1:
			d.X = 0
		case 2:
			d = d.Mul(1e-9)
		case 3:
			d.Y *= 1e-13
		}
		q := p.Add(d)
		if p.Y > q.Y {
			p, q = q, p
		}
		r, y := 0.05+rng.Float64(), rng.Float64()*6-3
		s := Capsule(p, q, r, y)
		for range 20 {
			x := rng.Float64()*8 - 4
			dist := distance(plane.Point{X: x, Y: y}, p, q)
			if math.Abs(dist-r) < 1e-7 {
				continue
			}
			require.Equal(t, dist < r, x > s.Lo && x < s.Hi, "segment %v %v radius %g at (%g, %g), case %d", p, q, r, x, y, i)
		}
	}
}

func distance(a, p, q plane.Point) float64 {
	d := q.Sub(p)
	t := 0.0
	if n := d.Dot(d); n > 0 {
		t = min(max(a.Sub(p).Dot(d)/n, 0), 1)
	}
	return a.Dist(p.Add(d.Mul(t)))
}

// TestCutterLaws checks rows against the definition at random places: inside
// and outside as told, and at least the clearance from every border.
func TestCutterLaws(t *testing.T) {
	face := plane.Region{rect(-9, -7, 9, 7), rect(-2, -2, 3, 1).Reversed()}
	zone := plane.Region{{{X: -6, Y: -8}, {X: 8, Y: -3}, {X: 5, Y: 6}, {X: -7, Y: 5}}}
	above := plane.Region{{{X: 2, Y: 2}, {X: 7, Y: 2}, {X: 4, Y: 9}}}
	rng := rand.New(rand.NewPCG(9, 9))
	for seed := range 30 {
		angle := rng.Float64() * math.Pi
		frame := NewFrame(angle)
		covers := []Cover{{Region: face, Clearance: 0.3}, {Region: zone, Clearance: 0.2}, {Region: above, Outside: true, Clearance: 0.25}}
		c := NewCutter(frame, covers...)
		for range 100 {
			y := rng.Float64()*20 - 10
			row := c.Row(nil, y)
			for range 10 {
				x := rng.Float64()*24 - 12
				p := frame.Out(plane.Point{X: x, Y: y})
				want, close := true, false
				for _, cover := range covers {
					want = want && cover.Region.Contains(p) != cover.Outside
					for _, r := range cover.Region {
						for i, a := range r {
							d := distance(p, a, r[(i+1)%len(r)])
							want = want && d >= cover.Clearance
							close = close || math.Abs(d-cover.Clearance) < 1e-6
						}
					}
				}
				if close {
					continue
				}
				got := false
				for _, s := range row {
					got = got || (x >= s.Lo && x < s.Hi)
				}
				require.Equal(t, want, got, "seed %d at %v", seed, p)
			}
		}
	}
}

func TestCutterOfNothing(t *testing.T) {
	for name, c := range map[string]*Cutter{
		"no covers":     NewCutter(NewFrame(1)),
		"empty region":  NewCutter(NewFrame(1), Cover{}),
		"outside alone": NewCutter(NewFrame(1), Cover{Region: plane.Region{rect(0, 0, 1, 1)}, Outside: true}),
		"apart":         NewCutter(NewFrame(0), Cover{Region: plane.Region{rect(0, 0, 1, 1)}}, Cover{Region: plane.Region{rect(5, 5, 6, 6)}}),
		"flat":          NewCutter(NewFrame(0), Cover{Region: plane.Region{rect(0, 0, 1, 0)}}),
	} {
		assert.Empty(t, c.Row(nil, 0.5), name)
	}
}

func BenchmarkCut(b *testing.B) {
	g := wavy()
	for _, n := range []int{500, 2000, 8000} {
		b.Run(fmt.Sprintf("lines=%d/vertices=5200", n), func(b *testing.B) {
			spacing := 200 / float64(n)
			b.ReportAllocs()
			pieces := 0
			for b.Loop() {
				pieces = Cut(g, NewFrame(0.5236), 0, spacing).Count()
			}
			b.ReportMetric(float64(pieces), "pieces")
		})
	}
}

func TestTooManyCrossingsGiveNoRows(t *testing.T) {
	// A comb of teeth, each 10 m high: within the bound of rows, not of crossings.
	var ring plane.Ring
	for i := range 400 {
		ring = append(ring, plane.Point{X: float64(i), Y: 1e4 * float64(i%2)})
	}
	ring = append(ring, plane.Point{X: 400, Y: -1}, plane.Point{Y: -1})
	if got := Cut(plane.Region{ring}, NewFrame(0), 0, 0.001).Count(); got != 0 {
		t.Errorf("%d stretches", got)
	}
}
