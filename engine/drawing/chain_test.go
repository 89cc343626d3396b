package drawing

import (
	"fmt"
	"math"
	"math/rand"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// strokes reads lines as "0,0 1,0; 1,0 2,0 z" (z: closed).
func strokes(text string) []Line {
	var out []Line
	for _, one := range strings.Split(text, ";") {
		var l Line
		for _, field := range strings.Fields(one) {
			if field == "z" {
				l.Closed = true
				continue
			}
			var p plane.Point
			if _, err := fmt.Sscanf(field, "%g,%g", &p.X, &p.Y); err != nil {
				panic(err)
			}
			l.Points = append(l.Points, p)
		}
		if len(l.Points) > 0 {
			out = append(out, l)
		}
	}
	return out
}

// chainText writes chains the way strokes reads lines.
func chainText(chains []Chained) string {
	var out []string
	for _, c := range chains {
		var fields []string
		for _, p := range c.Points {
			fields = append(fields, short(p.X)+","+short(p.Y))
		}
		if c.Closed {
			fields = append(fields, "z")
		}
		out = append(out, strings.Join(fields, " "))
	}
	return strings.Join(out, "; ")
}

func TestChain(t *testing.T) {
	for _, c := range []struct{ name, lines, want string }{
		{"nothing", "", ""},
		{"one", "0,0 1,0", "0,0 1,0"},
		{"end to start", "0,0 1,0; 1,0 2,0", "0,0 1,0 2,0"},
		{"end to end", "0,0 1,0; 2,0 1,0", "0,0 1,0 2,0"},
		{"start to start", "1,0 0,0; 1,0 2,0", "2,0 1,0 0,0"},
		{"out of order", "2,0 3,0; 0,0 1,0; 1,0 2,0", "0,0 1,0 2,0 3,0"},
		{"within tolerance keeps both ends", "0,0 1,0; 1.03,0 2,0", "0,0 1,0 1.03,0 2,0"},
		{"beyond tolerance", "0,0 1,0; 1.05,0 2,0", "0,0 1,0; 1.05,0 2,0"},
		{"loop", "0,0 1,0; 1,0 1,1; 0,0 1,1", "0,0 1,0 1,1 z"},
		{"closed lines stand alone", "0,0 1,0 1,1 z; 0,0 -1,0", "0,0 1,0 1,1 z; 0,0 -1,0"},
		{"straight on at a crossing", "0,0 1,1; 1,1 2,2; 0,2 1,1; 1,1 2,0", "0,0 1,1 2,2; 0,2 1,1 2,0"},
		{"straightest at a fork", "0,0 1,0; 1,0 2,1; 1,0 2,0.1", "0,0 1,0 2,0.1; 1,0 2,1"},
		{"loop is taken along", "0,0 1,0; 1,0 2,1; 2,1 2,-1; 2,-1 1,0", "0,0 1,0 2,1 2,-1 1,0"},
		{"two loops at one place", "0,0 1,1; 1,1 -1,1; -1,1 0,0; 0,0 1,-1; 1,-1 -1,-1; -1,-1 0,0", "0,0 1,1 -1,1 0,0 1,-1 -1,-1 z"},
		{"shorter than the tolerance", "0,0 1,0; 1,0 1.01,0; 1.01,0 2,0", "0,0 1,0 1.01,0 2,0"},
		{"line that ends where it starts", "0,0 1,0 1,1 0,0", "0,0 1,0 1,1 z"},
	} {
		t.Run(c.name, func(t *testing.T) {
			assert.Equal(t, c.want, chainText(Chain(strokes(c.lines), 0)))
		})
	}
}

// The fewest open trails that cover a connected graph are max(1, odd/2)
// (derived; Königsberg: Metamath, theorem konigsberg, no single trail).
func TestChainTakesFewestTrails(t *testing.T) {
	graph := func(points []plane.Point, edges ...[2]int) []Line {
		var out []Line
		for k, e := range edges {
			a, b := points[e[0]], points[e[1]]
			// Parallel edges bulge by their number, so that they differ.
			middle := a.Lerp(b, 0.5).Add(b.Sub(a).Left().Mul(0.01 * float64(k+1)))
			out = append(out, Line{Points: plane.Polyline{a, middle, b}})
		}
		return out
	}
	at := func(v ...float64) (out []plane.Point) {
		for i := 0; i+1 < len(v); i += 2 {
			out = append(out, plane.Point{X: v[i], Y: v[i+1]})
		}
		return out
	}
	var grid [][2]int
	var dots []plane.Point
	for i := range 9 {
		dots = append(dots, plane.Point{X: float64(i % 3), Y: float64(i / 3)})
		if i%3 < 2 {
			grid = append(grid, [2]int{i, i + 1})
		}
		if i < 6 {
			grid = append(grid, [2]int{i, i + 3})
		}
	}
	for name, c := range map[string]struct {
		lines []Line
		want  int
	}{
		"Königsberg":        {graph(at(0, 0, 0, 5, 0, -5, 5, 0), [2]int{0, 1}, [2]int{0, 1}, [2]int{0, 2}, [2]int{0, 2}, [2]int{0, 3}, [2]int{1, 3}, [2]int{2, 3}), 2},
		"K4":                {graph(at(0, 0, 4, 0, 2, 3, 2, 1), [2]int{0, 1}, [2]int{0, 2}, [2]int{0, 3}, [2]int{1, 2}, [2]int{1, 3}, [2]int{2, 3}), 2},
		"house":             {graph(at(0, 0, 4, 0, 4, 4, 0, 4, 2, 6), [2]int{0, 1}, [2]int{1, 2}, [2]int{2, 3}, [2]int{3, 0}, [2]int{0, 2}, [2]int{1, 3}, [2]int{3, 4}, [2]int{2, 4}), 1},
		"3 × 3 grid points": {graph(dots, grid...), 2},
	} {
		chains := Chain(c.lines, 0)
		assert.Len(t, chains, c.want, name)
		covers(t, c.lines, chains, name)
	}
}

// covers requires that the chains lay every line once, joined within reach.
func covers(t *testing.T, lines []Line, chains []Chained, name string) {
	t.Helper()
	seen := make([]int, len(lines))
	total, laid := 0.0, 0.0
	for _, c := range chains {
		for _, p := range c.Parts {
			seen[p.Line]++
		}
		laid += c.Length()
	}
	for i, l := range lines {
		require.Equal(t, 1, seen[i], "%s: line %d", name, i)
		total += l.Length()
	}
	require.InDelta(t, total, laid, float64(len(lines))*2*tol.ChainEnds, name)
}

// Random lattice segments: one chain per connected set or half its odd ends,
// whatever the order and sense of the lines. Seed 7.
func TestChainCountOnRandomGraphs(t *testing.T) {
	random := rand.New(rand.NewSource(7))
	for round := range 300 {
		var lines []Line
		degree := map[plane.Point]int{}
		parent := map[plane.Point]plane.Point{}
		var find func(plane.Point) plane.Point
		find = func(p plane.Point) plane.Point {
			if q, ok := parent[p]; ok && q != p {
				return find(q)
			}
			return p
		}
		for range 1 + random.Intn(25) {
			a := plane.Point{X: float64(random.Intn(5)), Y: float64(random.Intn(5))}
			b := plane.Point{X: float64(random.Intn(5)), Y: float64(random.Intn(5))}
			if a == b {
				continue
			}
			lines = append(lines, Line{Points: plane.Polyline{a, b}})
			degree[a]++
			degree[b]++
			parent[find(a)] = find(b)
		}
		odd, parts := map[plane.Point]int{}, map[plane.Point]bool{}
		for p, d := range degree {
			parts[find(p)] = true
			odd[find(p)] += d % 2
		}
		want := 0
		for p := range parts {
			want += max(1, odd[p]/2)
		}
		chains := Chain(lines, 0)
		require.Len(t, chains, want, "seed 7, round %d", round)
		covers(t, lines, chains, fmt.Sprintf("seed 7, round %d", round))
	}
}

func TestChainManyEndsAtOnePlace(t *testing.T) {
	var lines []Line
	for i := range 1000 {
		lines = append(lines, Line{Points: plane.Polyline{{}, plane.Point{X: 10}.Turn(float64(i) * 2 * math.Pi / 1000)}})
	}
	chains := Chain(lines, 0)
	require.Len(t, chains, 500)
	covers(t, lines, chains, "star")
	for _, c := range chains {
		assert.InDelta(t, 0, c.Points[0].Add(c.Points[2]).Norm(), 1e-9, "straight through the middle")
	}
}

func TestGaps(t *testing.T) {
	assert.Empty(t, Gaps(nil))
	assert.Empty(t, Gaps(Chain(strokes("0,0 1,0"), 0)))
	chains := Chain(strokes("0,0 1,0; 1.2,0 2,0; 2.1,0 3,0; 9,9 9,8 8,9 z"), 0)
	require.Len(t, chains, 4)
	gaps := Gaps(chains)
	require.Len(t, gaps, 4)
	assert.InDelta(t, 0.1, gaps[0].DistanceMM, 1e-9)
	assert.Equal(t, [2]int{1, 2}, [2]int{gaps[0].FromChain, gaps[0].ToChain})
	assert.InDelta(t, 0.2, gaps[1].DistanceMM, 1e-9)
}

// Nearest ends against trying all. Seed 11.
func TestGapsAreNearest(t *testing.T) {
	random := rand.New(rand.NewSource(11))
	var chains []Chained
	var ends []plane.Point
	for range 100 {
		c := Chained{Points: plane.Polyline{{X: random.Float64(), Y: random.Float64()}, {X: random.Float64(), Y: random.Float64()}}}
		chains = append(chains, c)
		ends = append(ends, c.Points...)
	}
	for _, g := range Gaps(chains) {
		best := math.Inf(1)
		for _, e := range ends {
			if e != g.From {
				best = math.Min(best, e.Dist(g.From))
			}
		}
		assert.Equal(t, best, g.DistanceMM, "seed 11")
	}
}

func hatch(count int, pitch, length, width float64) []Line {
	var out []Line
	for i := range count {
		y := float64(i) * pitch
		out = append(out, Line{Points: plane.Polyline{{Y: y}, {X: length / 3, Y: y}, {X: length, Y: y}}, StrokeWidthMM: width, Element: "path", Line: i + 1})
	}
	return out
}

func TestCheckSpacing(t *testing.T) {
	found := func(l []Line, nozzle, width float64) (Spacing, string) {
		s, list := Check(l, nozzle, width)
		var out []string
		for _, f := range list {
			out = append(out, f.Code)
		}
		return s, strings.Join(out, " ")
	}
	zigzag := Line{StrokeWidthMM: 0.42}
	for i := range 20 {
		y := float64(i) * 0.42
		a, b := plane.Point{Y: y}, plane.Point{X: 30, Y: y}
		if i%2 == 1 {
			a, b = b, a
		}
		zigzag.Points = append(zigzag.Points, a, b)
	}
	spiral := Line{StrokeWidthMM: 0.42}
	for i := range 4000 {
		angle := float64(i) * 2 * math.Pi / 100
		spiral.Points = append(spiral.Points, plane.Point{X: 1 + 0.42*angle/(2*math.Pi)}.Turn(angle))
	}
	for _, c := range []struct {
		name   string
		lines  []Line
		median float64
		found  string
	}{
		{"nothing", nil, 0, ""},
		{"one line has no neighbour", hatch(1, 1, 30, 0.42), 0, ""},
		{"right", hatch(30, 0.42, 30, 0.42), 0.42, ""},
		{"gapless pitch of a stadium bead", hatch(30, 0.377, 30, 0.42), 0.377, ""},
		{"tight", hatch(30, 0.3, 30, 0.42), 0.3, "drawing-spacing-tight"},
		{"wide", hatch(30, 0.6, 30, 0.42), 0.6, "drawing-spacing-wide"},
		{"far apart is another part", hatch(30, 2, 30, 0.42), 0, ""},
		{"one line back and forth", []Line{zigzag}, 0.42, ""},
		{"spiral", []Line{spiral}, 0.42, ""},
		{"stroke another width", hatch(3, 0.42, 30, 0.5), 0.42, "drawing-stroke-width"},
		{"stroke no nozzle lays", hatch(3, 0.42, 30, 1.5), 0.42, "drawing-stroke-nozzle"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, codes := found(c.lines, 0.4, 0.42)
			assert.InDelta(t, c.median, s.MedianMM, 0.002)
			assert.Equal(t, c.found, codes)
		})
	}
	_, codes := found(hatch(3, 0.42, 30, 0.42), 0, 0.42)
	assert.Empty(t, codes, "without a nozzle there is nothing to compare")
}
