package grain

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/plane"
)

// tileOf is the field of the tile at (i, j) of arcs of side 1: its corners
// counter-clockwise from the lower left, and which of them arcs run round.
func tileOf(f Arcs, i, j int) (centre [4]bool) {
	for k, c := range [4]plane.Point{{X: 0.01, Y: 0.01}, {X: 0.99, Y: 0.01}, {X: 0.99, Y: 0.99}, {X: 0.01, Y: 0.99}} {
		d, _ := f.toCorner(plane.Point{X: float64(i), Y: float64(j)}.Add(c))
		centre[k] = d.Norm() < 0.1
	}
	return centre
}

// Every tile has arcs about two opposite corners, either way about as often.
func TestArcsRunAboutOppositeCorners(t *testing.T) {
	f, rising := NewArcs(plane.Point{}, 0, 1, 5), 0
	for i := range 60 {
		for j := range 60 {
			c := tileOf(f, i-30, j-30)
			require.True(t, c[0] == c[2] && c[1] == c[3] && c[0] != c[1], "tile %d %d: %v", i, j, c)
			if c[0] {
				rising++
			}
		}
	}
	assert.InDelta(t, 1800, rising, 90, "three standard deviations of 3600 draws")
}

// The level has no jump anywhere, also across the sides of tiles and on the
// diagonals, its slope is 1, and the line through the middle of a side crosses
// it squarely.
func TestArcsRunOnFromTileToTile(t *testing.T) {
	const side = 7.3
	f := NewArcs(plane.Point{X: 3, Y: -2}, 0.4, side, 11)
	const h = 1e-6
	for k := range 4000 {
		p := plane.Point{X: 200*Draw(1, k, 0) - 100, Y: 200*Draw(1, k, 1) - 100}
		to := p.Add(plane.Point{X: h}.Turn(2 * math.Pi * Draw(1, k, 2)))
		require.LessOrEqual(t, math.Abs(f.Level(to)-f.Level(p)), 1.001*h, "place %d of seed 1", k)
		require.InDelta(t, 1, f.Slope(p).Norm(), 1e-12)
		dx := f.Level(p.Add(plane.Point{X: h})) - f.Level(p)
		dy := f.Level(p.Add(plane.Point{Y: h})) - f.Level(p)
		if math.Abs(math.Hypot(dx, dy)-h) < 1e-3*h { // no diagonal between
			require.InDelta(t, 0, plane.Point{X: dx / h, Y: dy / h}.Sub(f.Slope(p)).Norm(), 1e-3, "place %d", k)
		}
		level := f.Level(p)
		require.True(t, level >= 0 && level <= side)
	}
	x := plane.Point{X: 1}.Turn(0.4)
	for k := range 50 {
		along, across := x, x.Left()
		if k%2 == 1 {
			along, across = across, along
		}
		at := f.frame.origin.Add(along.Mul(side * (float64(k-25) + 0.5))).Add(across.Mul(side * float64(k%7-3)))
		for _, beside := range [2]float64{-1e-7, 1e-7} {
			require.InDelta(t, 1, math.Abs(f.Slope(at.Add(across.Mul(beside))).Dot(along)), 1e-6, "side %d", k)
		}
	}
}

// Curves of arcs of half a side close as random percolation at one half does:
// the clusters of bonds on the square lattice number (3√3 − 5)/2 = 0.0981 per
// place (Temperley, Lieb, Proc. R. Soc. A 322, 1971; Ziff, Finch, Adamchik, Phys.
// Rev. Lett. 79, 1997; from memory). Every cluster of even or odd places has one
// curve round it, and there is one place of either parity to two tiles, so tiles
// have that many curves each.
func TestArcsCloseAsPercolationDoes(t *testing.T) {
	const n = 300
	f := NewArcs(plane.Point{}, 0, 1, 3)
	parent := make([]int, n*n)
	for k := range parent {
		parent[k] = k
	}
	find := func(k int) int {
		for parent[k] != k {
			parent[k] = parent[parent[k]]
			k = parent[k]
		}
		return k
	}
	// Arcs keep apart the corners they run round and join the other two.
	clusters := n * n
	for i := range n - 1 {
		for j := range n - 1 {
			a, b := i*n+j, (i+1)*n+j+1
			if tileOf(f, i, j)[0] {
				a, b = (i+1)*n+j, i*n+j+1
			}
			if a, b = find(a), find(b); a != b {
				parent[a], clusters = b, clusters-1
			}
		}
	}
	perTile := float64(clusters) / (n * n)
	assert.InDelta(t, (3*math.Sqrt(3)-5)/2, perTile, 0.004, "0.0981, and clusters that the edge of the sample cuts")
}

// No line comes nearer than a fifth of a step to the level at which lines meet on
// the diagonals, from ten lines a tile on, and the spacing stays within a
// sixth of what is asked for.
func TestRungsOfArcs(t *testing.T) {
	for side := 4.2; side < 40; side += 0.1 {
		f := NewArcs(plane.Point{}, 0, side, 1)
		rungs := f.Rungs(0.42)
		require.Zero(t, rungs.Low)
		require.Equal(t, side, rungs.High)
		step := side / float64(rungs.Lines)
		assert.InDelta(t, 0.42, step, 0.42/5.5, "side %g", side)
		waist := side / math.Sqrt2 / step
		assert.LessOrEqual(t, math.Abs(waist-math.Round(waist)), 0.3, "side %g", side)
	}
	assert.Equal(t, 1, NewArcs(plane.Point{}, 0, 0.1, 1).Rungs(0.42).Lines)
}

// A cube of six arc tiles: 1, 2, 3, 4 loops with probability 8, 15, 8, 1 in 32
// (derived). All 64 cubes are walked. Arcs join neighbouring sides round the
// two corners of its tile; their length is π/4 each for side 1, two a tile.
func TestArcCubes(t *testing.T) {
	// A face has its corners in the tile's order, as vertices of the cube.
	faces := [6][4]int{{0, 1, 3, 2}, {4, 6, 7, 5}, {0, 4, 5, 1}, {2, 3, 7, 6}, {0, 2, 6, 4}, {1, 5, 7, 3}}
	count := map[int]int{}
	field := NewArcs(plane.Point{}, 0, 1, 1)
	turned := [2][4]bool{tileOf(field, 0, 0)}
	for i := 1; turned[1] == [4]bool{} || turned[1] == turned[0]; i++ {
		turned[1] = tileOf(field, i, 0)
	}
	for code := 0; code < 64; code++ {
		joins := map[[2]int][][2]int{} // edge -> edges it is joined to
		for f, corner := range faces {
			for c, centre := range turned[code>>f&1] {
				if !centre {
					continue
				}
				edge := func(a, b int) [2]int {
					return [2]int{min(corner[a], corner[b]), max(corner[a], corner[b])}
				}
				a, b := edge((c+3)%4, c), edge(c, (c+1)%4)
				joins[a] = append(joins[a], b)
				joins[b] = append(joins[b], a)
			}
		}
		require.Len(t, joins, 12)
		seen, loops := map[[2]int]bool{}, 0
		for start, next := range joins {
			require.Len(t, next, 2)
			if seen[start] {
				continue
			}
			loops++
			for queue := [][2]int{start}; len(queue) > 0; queue = queue[1:] {
				if !seen[queue[0]] {
					seen[queue[0]] = true
					queue = append(queue, joins[queue[0]]...)
				}
			}
		}
		count[loops]++
	}
	assert.Equal(t, map[int]int{1: 16, 2: 30, 3: 16, 4: 2}, count)
}
