package tilings

import (
	"cmp"
	"math"
	"slices"

	"sheenlay/engine/grain"
	"sheenlay/engine/internal/sorting"
	"sheenlay/engine/lay"
	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// facetGrid is the number of grid steps per mm on which seeds are placed, so
// that their triangulation is exact. 1/1024 mm is below what a file can tell.
const facetGrid = 1024

// facetCornerSteps is tol.FacetCorner in grid steps.
const facetCornerSteps = tol.FacetCorner * facetGrid

// FacetLines says how the lines run in Facets.
type FacetLines int

// The choices.
const (
	// AlongFacetSides lays every facet along one of its longer sides: the
	// longest that stands at least 30° off its neighbours' lines, else
	// whatever direction stands off most. Neighbours differ by at least 15°.
	// Every facet is a kind of its own.
	AlongFacetSides FacetLines = iota
	// SpreadDirections gives every facet one of a few evenly spread lays (its
	// kind), the one that stands out most from its neighbours', ties by
	// chance. With 6 directions or more neighbours differ by at least
	// 180°/directions.
	SpreadDirections
)

// Facets returns random cells of about sizeMM across: the Voronoi cells of
// points thrown at random, no two nearer than 0.85·sizeMM (Poisson-disc points).
// A cell measures sizeMM² in the mean. directions (4 to 12) is for
// SpreadDirections only.
func Facets(sizeMM float64, lines FacetLines, directions int, seed uint64, s Site) ([]pattern.Zone, error) {
	if err := tooMany(s.Box, sizeMM*sizeMM, sizeMM); err != nil {
		return nil, err
	}
	// Cells and their lays are chosen about the anchor, so that the place of a
	// face on the bed decides nothing.
	reach := s.local().Grow(3 * sizeMM)
	m := meshOf(scatter(reach, sizeMM, seed), reach)
	out, neighbours := facetCells(m, func(p plane.Point) plane.Point { return s.Anchor.Add(p.Turn(s.Turn)) }, s.Box)
	if err := tooManyZones(len(out), sizeMM); err != nil {
		return nil, err
	}
	if lines == AlongFacetSides {
		for i, angle := range alongSides(out, neighbours) {
			out[i].Kind, out[i].Lay.Angle = i, angle
		}
	} else {
		directions = max(4, min(12, directions))
		for i, d := range spread(neighbours, directions, seed) {
			out[i].Kind, out[i].Lay.Angle = d, math.Pi*float64(d)/float64(directions)
		}
	}
	for i := range out {
		ring := out[i].Region[0]
		for k, p := range ring {
			ring[k] = s.Anchor.Add(p.Turn(s.Turn))
		}
		out[i].Lay.Angle = plane.NormalLay(s.Turn + out[i].Lay.Angle)
	}
	return out, nil
}

// local returns the box about the anchor, before the site's turn, that holds the
// site's box.
func (s Site) local() plane.Box {
	out := plane.EmptyBox()
	for _, corner := range rectangle(s.Box) {
		out = out.Include(corner.Sub(s.Anchor).Turn(-s.Turn))
	}
	return out
}

// facetCells returns the cells of a mesh that meet box once they are placed, as
// they are before that, and for each the cells beside it.
func facetCells(m *mesh, place func(plane.Point) plane.Point, box plane.Box) (cells []pattern.Zone, neighbours [][]int32) {
	corners, fans := facetCorners(m), m.fans()
	cellOf := make([]int, len(m.points))
	for i := range cellOf {
		cellOf[i] = -1
		var ring plane.Ring
		placed := plane.EmptyBox()
		for _, t := range fans[i] {
			p := corners[t].Mul(1.0 / facetGrid)
			if len(ring) == 0 || p != ring[len(ring)-1] && p != ring[0] {
				ring = append(ring, p)
				placed = placed.Include(place(p))
			}
		}
		if len(ring) >= 3 && placed.Intersects(box) {
			cellOf[i] = len(cells)
			cells = append(cells, pattern.Zone{Region: plane.Region{fromLowest(ring)}, Name: "facet"})
		}
	}
	neighbours = make([][]int32, len(cells))
	for i, cell := range cellOf {
		if cell < 0 {
			continue
		}
		for _, t := range fans[i] {
			for _, c := range m.tri[t] {
				if o := cellOf[c]; o >= 0 && o != cell && !slices.Contains(neighbours[cell], int32(o)) {
					neighbours[cell] = append(neighbours[cell], int32(o))
				}
			}
		}
	}
	return cells, neighbours
}

// fromLowest returns the ring started at its lowest corner, so that a cell does
// not depend on the order in which the mesh was built.
func fromLowest(r plane.Ring) plane.Ring {
	low := 0
	for k, p := range r {
		if p.Y < r[low].Y || p.Y == r[low].Y && p.X < r[low].X {
			low = k
		}
	}
	return append(slices.Clone(r[low:]), r[:low]...)
}

// scatter throws points at a box about the anchor so that no two are nearer than 0.85·size: the
// grid cells of the plane are visited in a fixed order of their own and each
// tries a few places drawn from its address. The result inside a box does not
// depend on the box, apart from its border cells.
func scatter(box plane.Box, size float64, seed uint64) []plane.Point {
	apart := 0.85 * size
	cell := apart / math.Sqrt2 // at most one point per cell
	i0, i1 := int(math.Floor(box.Min.X/cell)), int(math.Ceil(box.Max.X/cell))
	j0, j1 := int(math.Floor(box.Min.Y/cell)), int(math.Ceil(box.Max.Y/cell))
	type address struct{ i, j int }
	placed := map[address]plane.Point{}
	var order []address
	// Six passes over the cells; within a pass, every third cell both ways,
	// so that neighbours do not favour one direction.
	for pass := 0; pass < 6; pass++ {
		for phase := 0; phase < 9; phase++ {
			for j := j0; j <= j1; j++ {
				if modulo(j, 3) != phase/3 {
					continue
				}
				for i := i0; i <= i1; i++ {
					a := address{i, j}
					if _, ok := placed[a]; ok || modulo(i, 3) != phase%3 {
						continue
					}
					p := plane.Point{
						X: (float64(i) + grain.Draw(seed+uint64(pass)*2, i, j)) * cell,
						Y: (float64(j) + grain.Draw(seed+uint64(pass)*2+1, i, j)) * cell,
					}
					clear := true
					for di := -2; di <= 2 && clear; di++ {
						for dj := -2; dj <= 2; dj++ {
							if q, ok := placed[address{i + di, j + dj}]; ok && p.Dist(q) < apart {
								clear = false
								break
							}
						}
					}
					if clear {
						placed[a] = p
						order = append(order, a)
					}
				}
			}
		}
	}
	// Row by row, to and fro: the search for the next triangle stays short.
	sorting.By(order, func(a, b address) int {
		if a.j != b.j {
			return a.j - b.j
		}
		if modulo(a.j, 2) == 0 {
			return a.i - b.i
		}
		return b.i - a.i
	})
	out := make([]plane.Point, len(order))
	for k, a := range order {
		out[k] = placed[a]
	}
	return out
}

// meshOf triangulates seeds inside a square far outside of box, both about the
// anchor.
func meshOf(seeds []plane.Point, box plane.Box) *mesh {
	far := math.Max(math.Max(-box.Min.X, box.Max.X), math.Max(-box.Min.Y, box.Max.Y))
	side := int64(math.Ceil(far*facetGrid)) * 4
	m := newMesh(-side, side)
	for _, p := range seeds {
		m.add(lattice2{int64(math.Round(p.X * facetGrid)), int64(math.Round(p.Y * facetGrid))})
	}
	return m
}

// fans returns the triangles round every inner point, counter-clockwise; nil
// for the square's corners.
func (m *mesh) fans() [][]int32 {
	first := make([]int32, len(m.points))
	for t := range m.tri {
		for _, c := range m.tri[t] {
			first[c] = int32(t)
		}
	}
	out := make([][]int32, len(m.points))
	for i := 4; i < len(m.points); i++ {
		for t := first[i]; ; {
			out[i] = append(out[i], t)
			k := 0
			for m.tri[t][k] != int32(i) {
				k++
			}
			t = m.across[t][(k+1)%3] // beyond the side from the third corner to i
			if t == first[i] || t < 0 {
				break
			}
		}
	}
	return out
}

// facetCorners returns the circle centres of all triangles in grid steps, each
// chain of centres nearer than tol.FacetCorner drawn together into one.
func facetCorners(m *mesh) []plane.Point {
	out := make([]plane.Point, len(m.tri))
	for t, c := range m.tri {
		a, b, c := m.points[c[0]], m.points[c[1]], m.points[c[2]]
		// The lowest corner first, so that the rounding does not depend on
		// the order in which the mesh was built.
		for below(b, a) || below(c, a) {
			a, b, c = b, c, a
		}
		out[t] = circleCentre(a, b, c)
	}
	group := make([]int32, len(m.tri))
	for t := range group {
		group[t] = int32(t)
	}
	root := func(t int32) int32 {
		for group[t] != t {
			group[t] = group[group[t]]
			t = group[t]
		}
		return t
	}
	for t := range m.tri {
		for _, u := range m.across[t] {
			if u > int32(t) && out[t].Dist(out[u]) < facetCornerSteps {
				a, b := root(int32(t)), root(u)
				group[max(a, b)] = min(a, b)
			}
		}
	}
	sum := make([]plane.Point, len(out))
	count := make([]float64, len(out))
	for t := range out {
		r := root(int32(t))
		sum[r] = sum[r].Add(out[t])
		count[r]++
	}
	for t := range out {
		r := root(int32(t))
		if count[r] > 1 {
			out[t] = sum[r].Mul(1 / count[r])
		}
	}
	return out
}

func below(a, b lattice2) bool { return a.y < b.y || a.y == b.y && a.x < b.x }

// circleCentre returns the centre of the circle through three places that are
// not in line.
func circleCentre(a, b, c lattice2) plane.Point {
	bx, by := float64(b.x-a.x), float64(b.y-a.y)
	cx, cy := float64(c.x-a.x), float64(c.y-a.y)
	d := 2 * float64(left(a, b, c))
	bl, cl := float64(bx*bx)+float64(by*by), float64(cx*cx)+float64(cy*cy)
	return plane.Point{
		X: float64(a.x) + (float64(cy*bl)-float64(by*cl))/d,
		Y: float64(a.y) + (float64(bx*cl)-float64(cx*bl))/d,
	}
}

// spread gives every node one of n directions, in an order in which each node
// of a planar graph has at most five neighbours that are set already: with six
// directions or more one is always free.
func spread(neighbours [][]int32, n int, seed uint64) []int {
	order := lay.SmallestLast(neighbours)
	out := make([]int, len(neighbours))
	for i := range out {
		out[i] = -1
	}
	for k := len(order) - 1; k >= 0; k-- {
		v := order[k]
		best, bestGap := 0, -1
		start := int(grain.Hash(seed, int(v), 13) % uint64(n))
		for d := 0; d < n; d++ {
			c := (start + d) % n
			gap := n
			for _, o := range neighbours[v] {
				if out[o] >= 0 {
					apart := modulo(c-out[o], n)
					gap = min(gap, apart, n-apart)
				}
			}
			if gap > bestGap {
				best, bestGap = c, gap
			}
		}
		out[v] = best
	}
	return out
}

// Bounds of alongSides: a side shorter than this share of the longest saves no
// turns worth having, and neighbours nearer than facetApart look alike.
const facetSideShare, facetApart = 0.5, 30 * math.Pi / 180

// facetFallback is the number of evenly spread directions that are tried where
// no side will do. With five neighbours set, one of twelve directions is
// always at least 15° off all of them.
const facetFallback = 12

// alongSides returns a lay for every facet, see AlongFacetSides.
func alongSides(facets []pattern.Zone, neighbours [][]int32) []float64 {
	out := make([]float64, len(facets))
	set := make([]bool, len(facets))
	order := lay.SmallestLast(neighbours)
	for k := len(order) - 1; k >= 0; k-- {
		v := order[k]
		off := func(angle float64) float64 {
			least := math.Pi / 2
			for _, o := range neighbours[v] {
				if set[o] {
					d := math.Abs(angle - out[o])
					least = math.Min(least, math.Min(d, math.Pi-d))
				}
			}
			return least
		}
		best, bestOff := 0.0, -1.0
		for _, angle := range longSides(facets[v].Region[0]) {
			if gap := off(angle); gap > bestOff {
				best, bestOff = angle, gap
			}
			if bestOff >= facetApart {
				break
			}
		}
		for d := 0; d < facetFallback && bestOff < facetApart; d++ {
			angle := math.Pi * float64(d) / facetFallback
			if gap := off(angle); gap > bestOff {
				best, bestOff = angle, gap
			}
		}
		out[v], set[v] = best, true
	}
	return out
}

// longSides returns the directions of a ring's longer sides, longest first.
func longSides(r plane.Ring) []float64 {
	type side struct{ length, angle float64 }
	var sides []side
	longest := 0.0
	for i, a := range r {
		d := r[(i+1)%len(r)].Sub(a)
		sides = append(sides, side{d.Norm(), plane.NormalLay(math.Atan2(d.Y, d.X))})
		longest = math.Max(longest, d.Norm())
	}
	sorting.Stable(sides, func(a, b side) int { return cmp.Compare(b.length, a.length) })
	var out []float64
	for _, s := range sides {
		if s.length >= facetSideShare*longest {
			out = append(out, s.angle)
		}
	}
	return out
}
