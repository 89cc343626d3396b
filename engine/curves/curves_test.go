package curves

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/finding"
	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
)

var everywhere = plane.Box{Min: plane.Point{X: -1e9, Y: -1e9}, Max: plane.Point{X: 1e9, Y: 1e9}}

// arrowhead is Sierpiński's other curve: it draws his triangle and leaves most of
// the plane free, so it is no fill, but its row of the table tests Trace.
var arrowhead = System{Axiom: 'A', Headings: 6, Draws: "AB", Rules: map[byte]string{
	'A': "B-A-B", 'B': "A+B+A"}}

// written is the plain reading of a system: the word is written out in full
// and drawn letter by letter with sines and cosines. It shares no code with
// Trace.
func written(s System, level int) []plane.Point {
	word := string(s.Axiom)
	for ; level > 0; level-- {
		var b strings.Builder
		for _, c := range []byte(word) {
			if rule, ok := s.Rules[c]; ok {
				b.WriteString(rule)
			} else {
				b.WriteByte(c)
			}
		}
		word = b.String()
	}
	at, heading := plane.Point{}, 0.0
	out := []plane.Point{at}
	for _, c := range word {
		switch {
		case c == '+':
			heading += 2 * math.Pi / float64(s.Headings)
		case c == '-':
			heading -= 2 * math.Pi / float64(s.Headings)
		case strings.ContainsRune(s.Draws, c):
			at = at.Add(plane.Point{X: math.Cos(heading), Y: math.Sin(heading)})
			out = append(out, at)
		}
	}
	return out
}

// The table of L-systems in Prusinkiewicz & Lindenmayer, The Algorithmic Beauty
// of Plants, 1990, §1.4 (Hilbert, Peano from memory; Gosper, Sierpiński pp.
// 10–12); the figures were derived by a second implementation.
func TestTableOfCurves(t *testing.T) {
	for _, c := range []struct {
		name     string
		system   System
		segments []int // levels 1, 2, …
		end      func(level float64) float64
		share    map[int]float64 // direction in degrees mod 180 -> share
		distinct bool
	}{
		{"Hilbert", HilbertSystem, []int{3, 15, 63, 255, 1023},
			func(n float64) float64 { return math.Pow(2, n) - 1 }, map[int]float64{0: 0.5, 90: 0.5}, true},
		{"Peano", PeanoSystem, []int{8, 80, 728},
			func(n float64) float64 { return math.Sqrt2 * (math.Pow(3, n) - 1) }, map[int]float64{0: 0.75, 90: 0.25}, true},
		{"Gosper", GosperSystem, []int{7, 49, 343, 2401},
			func(n float64) float64 { return math.Pow(7, n/2) }, map[int]float64{0: 1 / 3.0, 60: 1 / 3.0, 120: 1 / 3.0}, true},
		{"Sierpiński arrowhead", arrowhead, []int{3, 9, 27, 81},
			func(n float64) float64 { return math.Pow(2, n) }, map[int]float64{0: 1 / 3.0, 60: 1 / 3.0, 120: 1 / 3.0}, true},
	} {
		for k, segments := range c.segments {
			level := k + 1
			pieces := c.system.Trace(level, everywhere)
			require.Len(t, pieces, 1, c.name)
			points := pieces[0]
			assert.Len(t, points, segments+1, "%s level %d", c.name, level)
			assert.InDelta(t, c.end(float64(level)), points[len(points)-1].Norm(), 1e-9, "%s level %d", c.name, level)

			plain := written(c.system, level)
			require.Len(t, plain, len(points))
			count := map[int]int{}
			distinct := map[[2]int]bool{}
			for i := range points {
				require.InDelta(t, 0, points[i].Dist(plain[i]), 1e-9, "%s level %d point %d", c.name, level, i)
				distinct[[2]int{int(math.Round(points[i].X * 2)), int(math.Round(points[i].Y * 100))}] = true
				if i > 0 {
					d := points[i].Sub(points[i-1])
					require.InDelta(t, 1, d.Norm(), 1e-12)
					count[int(math.Round(plane.NormalLay(math.Atan2(d.Y, d.X))*180/math.Pi))%180]++
				}
			}
			assert.Len(t, distinct, len(points), "%s level %d never meets itself", c.name, level)
			// "Half and half" and "a third each" hold to one step in the
			// smallest curves and ever better in larger ones.
			for degrees, share := range c.share {
				assert.InDelta(t, share, float64(count[degrees])/float64(segments), 1.2/math.Sqrt(float64(segments)), "%s level %d at %d°", c.name, level, degrees)
			}
		}
	}
}

// Peano's steps stand 3:1 exactly, the arrowhead's a third each exactly
// (derived); Hilbert's box is a square of 2ⁿ−1 from corner to corner.
func TestExactShares(t *testing.T) {
	steps := func(s System, level int) map[int]int {
		count := map[int]int{}
		p := s.Trace(level, everywhere)[0]
		for i := 1; i < len(p); i++ {
			d := p[i].Sub(p[i-1])
			count[int(math.Round(plane.NormalLay(math.Atan2(d.Y, d.X))*180/math.Pi))%180]++
		}
		return count
	}
	peano := steps(PeanoSystem, 3)
	assert.Equal(t, 3*peano[90], peano[0])
	arrow := steps(arrowhead, 4)
	assert.Equal(t, map[int]int{0: 27, 60: 27, 120: 27}, arrow)
	assert.Equal(t, plane.Box{Max: plane.Point{X: 31, Y: 31}}, HilbertSystem.Extent(5))
	last := HilbertSystem.Trace(5, everywhere)[0]
	assert.Equal(t, plane.Point{X: 31}, last[len(last)-1])
}

// OEIS A059252 and A059253, first 16 terms (from memory, both by axis): the
// vertices of Hilbert's curve. Which axis comes first changes with the level's
// parity; the level-2 curve here starts along +Y.
func TestHilbertVertices(t *testing.T) {
	x := []float64{0, 0, 1, 1, 2, 3, 3, 2, 2, 3, 3, 2, 1, 1, 0, 0}
	y := []float64{0, 1, 1, 0, 0, 0, 1, 1, 2, 2, 3, 3, 3, 2, 2, 3}
	p := HilbertSystem.Trace(2, everywhere)[0]
	for i := range p {
		assert.Equal(t, plane.Point{X: y[i], Y: x[i]}, p[i], "vertex %d", i)
	}
}

// OEIS A334485: x of Gosper's curve in steps of the triangular grid's first
// axis, and A229214: its directions (1 = 0°, 2 = 60°, 3 = 120°, minus =
// reversed), for the rule with + and − exchanged.
func TestGosperVertices(t *testing.T) {
	exchange := strings.NewReplacer("+", "-", "-", "+")
	mirrored := System{Axiom: 'A', Headings: 6, Draws: "AB", Rules: map[byte]string{
		'A': exchange.Replace(GosperSystem.Rules['A']), 'B': exchange.Replace(GosperSystem.Rules['B'])}}
	directions := []int{1, 2, -1, 3, 1, 1, -3, 1, 2, 2, -1, -2, 3, 2, 3, -1, -1, -3, 1, -2, -1}
	x := []float64{0, 1, 1, 0, -1, 0, 1, 2, 3, 3, 3, 2, 2, 1, 1, 0, -1, -2, -1, 0}
	p := mirrored.Trace(3, everywhere)[0]
	for i, want := range directions {
		d := p[i+1].Sub(p[i])
		turn := int(math.Round(math.Atan2(d.Y, d.X) / (math.Pi / 3)))
		code := map[int]int{0: 1, 1: 2, 2: 3, 3: -1, -3: -1, -2: -2, -1: -3}[turn]
		assert.Equal(t, want, code, "step %d", i+1)
	}
	for i, want := range x {
		b := p[i].Y / (math.Sqrt(3) / 2)
		assert.InDelta(t, want, p[i].X-b/2, 1e-9, "x of vertex %d", i)
	}
}

// OEIS A332380 and A332381: Peano's curve in the form that runs along the grid's
// edges has a(9^k) = 3^k. The form here visits the points; its first 9^k points
// fill a square of 3^k by 3^k and end in the corner opposite to the start.
func TestPeanoBlocks(t *testing.T) {
	p := PeanoSystem.Trace(3, everywhere)[0]
	for side, count := 3.0, 9; count <= 729; side, count = side*3, count*9 {
		b := plane.Polyline(p[:count]).Bounds()
		assert.Equal(t, plane.Point{X: side - 1, Y: side - 1}, b.Max.Sub(b.Min))
		assert.InDelta(t, math.Sqrt2*(side-1), p[count-1].Dist(p[0]), 1e-9)
	}
}

// Pitch 0.4 to a radius of 10: 25 turns, length 785.5971 (derived).
func TestSpiralLength(t *testing.T) {
	c, err := spiralTo(0.4, 0.00001, 0, 10, Site{})
	require.NoError(t, err)
	assert.InDelta(t, 785.5971, plane.Polyline(c[0].Points).Length(), 0.01)
	coarse, err := spiralTo(0.4, 0.02, 0, 10, Site{})
	require.NoError(t, err)
	for i := 1; i < len(coarse[0].Points); i++ {
		m := coarse[0].Points[i-1].Lerp(coarse[0].Points[i], 0.5)
		turns := m.Norm() / 0.4
		off := math.Abs(turns*2*math.Pi - math.Mod(math.Atan2(m.Y, m.X)+2*math.Pi, 2*math.Pi))
		off = math.Abs(math.Remainder(off, 2*math.Pi)) * 0.4 / (2 * math.Pi)
		require.Less(t, off, 0.045, "chord %d", i)
	}
}

// Seen in a box far from its centre, a spiral is the same curve to the last bit,
// without the turns that do not reach the box.
func TestSpiralFarFromItsCentre(t *testing.T) {
	box := plane.Box{Min: plane.Point{X: 300, Y: -8}, Max: plane.Point{X: 316, Y: 4}}
	seen, err := Spiral(0.4, 0.02, Site{Box: box})
	require.NoError(t, err)
	far := box.Max.X + 0.4
	whole, err := spiralTo(0.4, 0.02, 0, box.Min.Norm()+20, Site{})
	require.NoError(t, err)
	assert.Less(t, 5*len(seen[0].Points), len(whole[0].Points))
	within := func(points []plane.Point) (out []plane.Point) {
		for _, p := range points {
			if p.Norm() > box.Min.X-0.4 && p.Norm() < far {
				out = append(out, p)
			}
		}
		return out
	}
	assert.Equal(t, within(whole[0].Points), within(seen[0].Points))
	assert.LessOrEqual(t, seen[0].Points[0].Norm(), box.Min.X-0.4, "it begins before the box")
}

// The tree has one link fewer than cells and the walk meets every grid point
// once before it closes: 4·4ᵐ points, half of the steps along each axis.
func TestSierpinskiWalk(t *testing.T) {
	for level := 0; level <= 6; level++ {
		side := 1 << level
		links := 0
		for x := 0; x < side; x++ {
			for y := 0; y < side; y++ {
				for axis := 0; axis < 2; axis++ {
					if linked(level, x, y, axis) {
						links++
					}
				}
			}
		}
		assert.Equal(t, side*side-1, links, "level %d", level)
		pieces, closed := traceSierpinski(level, everywhere)
		require.True(t, closed)
		p := pieces[0]
		require.Len(t, p, 4*side*side, "level %d", level)
		seen := map[plane.Point]bool{}
		across := 0
		for i, a := range p {
			b := p[(i+1)%len(p)]
			require.Equal(t, 1.0, a.Dist(b))
			require.False(t, seen[a])
			seen[a] = true
			if a.Y == b.Y {
				across++
			}
		}
		assert.InDelta(t, 0.5, float64(across)/float64(len(p)), 0.17, "level %d", level)
	}
}

// The quarters of Sierpiński's square are visited one after the other, each in
// one go, as the published curve does; started in the middle of the left side.
func TestSierpinskiVisitsQuartersInTurn(t *testing.T) {
	pieces, _ := traceSierpinski(4, everywhere)
	changes := 0
	p := pieces[0]
	quarter := func(a plane.Point) int {
		q := 0
		if a.X > 15.5 {
			q = 1
		}
		if a.Y > 15.5 {
			q += 2
		}
		return q
	}
	for i, a := range p {
		if quarter(a) != quarter(p[(i+1)%len(p)]) {
			changes++
		}
	}
	// Three links, each crossed there and back; see the head of sierpinski.go.
	assert.Equal(t, 6, changes)
}

type maker func(float64, Site) ([]pattern.Curve, error)

var makers = map[string]maker{
	"Hilbert": Hilbert, "Peano": Peano, "Gosper": Gosper, "Sierpiński": Sierpinski,
	"spiral": func(p float64, s Site) ([]pattern.Curve, error) { return Spiral(p, 0.02, s) },
}

// Every place of the box lies within reach of a line, for square, long and
// turned boxes: a pitch/√2 on square grids, step/√3 on the triangular one.
func TestCurvesCoverTheBox(t *testing.T) {
	for name, make := range makers {
		for _, s := range []Site{
			{Box: plane.Box{Max: plane.Point{X: 30, Y: 30}}, Anchor: plane.Point{X: 15, Y: 15}},
			{Box: plane.Box{Max: plane.Point{X: 60, Y: 7}}, Anchor: plane.Point{X: 30, Y: 3.5}, Turn: 0.4},
			{Box: plane.Box{Min: plane.Point{X: 100, Y: 50}, Max: plane.Point{X: 101, Y: 51}}, Anchor: plane.Point{X: 100, Y: 50}, Turn: 2},
		} {
			curves, err := make(1, s)
			require.NoError(t, err, name)
			cells := map[[2]int][]plane.Point{}
			for _, c := range curves {
				for i := 1; i < len(c.Points); i++ {
					a, b := c.Points[i-1], c.Points[i]
					for k := 0; k <= 8; k++ {
						p := a.Lerp(b, float64(k)/8)
						key := [2]int{int(math.Floor(p.X)), int(math.Floor(p.Y))}
						cells[key] = append(cells[key], p)
					}
				}
			}
			worst := 0.0
			for x := s.Box.Min.X; x <= s.Box.Max.X; x += 0.31 {
				for y := s.Box.Min.Y; y <= s.Box.Max.Y; y += 0.37 {
					at := plane.Point{X: x, Y: y}
					near := math.Inf(1)
					for i := -1; i <= 1; i++ {
						for j := -1; j <= 1; j++ {
							for _, p := range cells[[2]int{int(math.Floor(x)) + i, int(math.Floor(y)) + j}] {
								near = math.Min(near, at.Dist(p))
							}
						}
					}
					worst = math.Max(worst, near)
				}
			}
			assert.LessOrEqual(t, worst, 0.75, "%s on %v", name, s.Box)
		}
	}
}

func TestCurvesRefuseWhatIsTooLong(t *testing.T) {
	huge := Site{Box: plane.Box{Max: plane.Point{X: 4000, Y: 4000}}}
	for name, make := range makers {
		_, err := make(0.3, huge)
		var f finding.Finding
		require.ErrorAs(t, err, &f, name)
		assert.Equal(t, "curves-too-long", f.Code)
		assert.NotEmpty(t, f.Remedy)
	}
}

func BenchmarkCurves(b *testing.B) {
	for name, make := range makers {
		for _, side := range []float64{50, 100, 200} {
			b.Run(name+"/mm="+map[float64]string{50: "50", 100: "100", 200: "200"}[side], func(b *testing.B) {
				b.ReportAllocs()
				s := Site{Box: plane.Box{Max: plane.Point{X: side, Y: side}}, Anchor: plane.Point{X: side / 2, Y: side / 2}}
				for i := 0; i < b.N; i++ {
					if _, err := make(0.42, s); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}
