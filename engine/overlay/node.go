package overlay

import (
	"math"
	"math/bits"
	"slices"
)

// This file contains the snap rounding: crossings are found with a uniform grid,
// and every edge is led through the hot pixels it meets.

// node returns edges that meet at end points only and stand for the same winding
// numbers, merged and sorted.
func node(edges []edge) []edge {
	if len(edges) < 2 {
		return edges
	}
	g := newGrid(edges, gridMargin)
	hot := vertices(edges, g.appendCrossings(nil, edges))
	return merge(g.route(edges, hot))
}

// grid sorts edges into square cells: lists holds, for each cell, the edges that
// pass within margin lattice steps of it; visits holds, for each edge, those
// cells.
type grid struct {
	min           point
	margin        int64
	size          int64
	columns, rows int64
	lists         csr
	visits        csr
}

// csr holds lists of numbers one after another; list i is
// items[start[i]:start[i+1]].
type csr struct {
	start []int32
	items []int32
}

func (c csr) list(i int32) []int32 { return c.items[c.start[i]:c.start[i+1]] }

// invert returns, for each of n items, the lists that hold it.
func (c csr) invert(n int) csr {
	out := csr{start: make([]int32, n+2), items: make([]int32, len(c.items))}
	for _, item := range c.items {
		out.start[item+2]++
	}
	for i := 1; i < len(out.start); i++ {
		out.start[i] += out.start[i-1]
	}
	for i := int32(0); int(i)+1 < len(c.start); i++ {
		for _, item := range c.list(i) {
			out.items[out.start[item+1]] = i
			out.start[item+1]++
		}
	}
	out.start = out.start[:n+1]
	return out
}

// gridMargin is how far (lattice steps) beyond a cell an edge still counts as
// passing it: half a hot pixel and the rounding of the interval arithmetic.
const gridMargin = 2

// cellsPerEdge bounds the cells of a grid. Reason: borders leave most cells empty,
// so there are several for each edge, as far as memory stays linear.
const cellsPerEdge = 8

// newGrid lays a grid whose cells are about as wide as edges are long.
func newGrid(edges []edge, margin int64) *grid {
	lo, hi := edges[0].a, edges[0].b
	long := 0.0
	for _, e := range edges {
		long += float64(max(e.b.x-e.a.x, e.b.y-e.a.y, e.a.y-e.b.y))
		lo = point{min(lo.x, e.a.x), min(lo.y, e.a.y, e.b.y)}
		hi = point{max(hi.x, e.b.x), max(hi.y, e.a.y, e.b.y)}
	}
	n := float64(len(edges))
	width, height := float64(hi.x-lo.x)+1, float64(hi.y-lo.y)+1
	finest := math.Max(math.Sqrt(width*height/(cellsPerEdge*n)), math.Max(width, height)/(cellsPerEdge*n))
	size := int64(math.Max(finest, long/n)) + 4*margin
	g := &grid{min: lo, margin: margin, size: size, columns: (hi.x-lo.x)/size + 1, rows: (hi.y-lo.y)/size + 1}
	g.visits.start = make([]int32, 1, len(edges)+1)
	g.visits.items = make([]int32, 0, 3*len(edges))
	for i := range edges {
		g.visits.items = g.appendCells(g.visits.items, &edges[i])
		g.visits.start = append(g.visits.start, int32(len(g.visits.items)))
	}
	g.lists = g.visits.invert(int(g.columns * g.rows))
	return g
}

func (g *grid) column(x int64) int64 { return min(max(x-g.min.x, 0)/g.size, g.columns-1) }
func (g *grid) row(y int64) int64    { return min(max(y-g.min.y, 0)/g.size, g.rows-1) }

// cell returns the number of the cell that holds p.
func (g *grid) cell(p point) int32 { return int32(g.row(p.y)*g.columns + g.column(p.x)) }

// appendCells adds the cells that e passes within the margin.
func (g *grid) appendCells(cells []int32, e *edge) []int32 {
	low, high := min(e.a.y, e.b.y), max(e.a.y, e.b.y)
	first, last := g.row(low-g.margin), g.row(high+g.margin)
	slope := 0.0
	if e.a.y != e.b.y {
		slope = float64(e.b.x-e.a.x) / float64(e.b.y-e.a.y)
	}
	for r := first; r <= last; r++ {
		left, right := e.a.x, e.b.x
		if first != last && slope != 0 {
			bottom := max(low, g.min.y+r*g.size-g.margin)
			top := min(high, g.min.y+(r+1)*g.size+g.margin)
			x0 := float64(e.a.x) + float64(bottom-e.a.y)*slope
			x1 := float64(e.a.x) + float64(top-e.a.y)*slope
			left = max(left, int64(math.Min(x0, x1)))
			right = min(right, int64(math.Max(x0, x1))+1)
		}
		for c := g.column(left - g.margin); c <= g.column(right+g.margin); c++ {
			cells = append(cells, int32(r*g.columns+c))
		}
	}
	return cells
}

// appendCrossings adds the rounded places where two edges cross in the interior
// of both. Edges that touch or overlap need none: the ends are hot already. The
// edges are sorted, so the lists are by their left ends.
func (g *grid) appendCrossings(hot []uint64, edges []edge) []uint64 {
	for c := int32(0); int64(c) < g.columns*g.rows; c++ {
		list := g.lists.list(c)
		for i, m := range list {
			e := &edges[m]
			elow, ehigh := min(e.a.y, e.b.y), max(e.a.y, e.b.y)
			for _, n := range list[i+1:] {
				f := &edges[n]
				if f.a.x > e.b.x { // and so do all that follow
					break
				}
				if e.a.x > f.b.x || min(f.a.y, f.b.y) > ehigh || max(f.a.y, f.b.y) < elow {
					continue
				}
				if p, ok := crossing(e, f); ok {
					hot = append(hot, p.key())
				}
			}
		}
	}
	return hot
}

// crossing returns the lattice point nearest to where e and f cross, and whether
// they cross in the interior of both. The point is exact: the share of the way
// along e is a quotient of integers, multiplied out to 128 bits.
func crossing(e, f *edge) (point, bool) {
	fa, fb := turn(e.a, e.b, f.a), turn(e.a, e.b, f.b)
	if fa == 0 || fb == 0 || fa < 0 == (fb < 0) {
		return point{}, false
	}
	ea, eb := turn(f.a, f.b, e.a), turn(f.a, f.b, e.b)
	if ea == 0 || eb == 0 || ea < 0 == (eb < 0) {
		return point{}, false
	}
	num, den := uint64(ea), uint64(ea-eb)
	if ea < 0 {
		num, den = uint64(-ea), uint64(eb-ea)
	}
	d := e.b.sub(e.a)
	return point{e.a.x + share(d.x, num, den), e.a.y + share(d.y, num, den)}, true
}

// share returns d·num/den rounded to the nearest integer, halves up, for
// 0 < num < den. Halves go up so that the point falls into the hot pixel that
// holds it: pixels own their lower and left border.
func share(d int64, num, den uint64) int64 {
	hi, lo := bits.Mul64(uint64(max(d, -d)), num)
	quo, rem := bits.Div64(hi, lo, den)
	if d >= 0 {
		if rem >= den-rem {
			quo++
		}
		return int64(quo)
	}
	if rem > den-rem {
		quo++
	}
	return -int64(quo)
}

// route leads every edge through the hot pixels that it meets. Edges and hot
// pixels are sorted, so that in every cell the first pixel not left of an edge
// only moves on from edge to edge.
func (g *grid) route(edges []edge, hot []uint64) []edge {
	at := csr{start: make([]int32, 1, len(hot)+1), items: make([]int32, 0, len(hot))}
	for _, k := range hot {
		at.items = append(at.items, g.cell(fromKey(k)))
		at.start = append(at.start, int32(len(at.items)))
	}
	points := at.invert(int(g.columns * g.rows))
	first := slices.Clone(points.start)
	out := make([]edge, 0, len(edges)+len(edges)/4)
	var via []point
	for i := range edges {
		e := &edges[i]
		via = via[:0]
		left, right := point{e.a.x, -1 << reachBits}.key(), point{e.b.x + 1, -1 << reachBits}.key()
		for _, c := range g.visits.list(int32(i)) {
			k, end := first[c], points.start[c+1]
			for k < end && hot[points.items[k]] < left {
				k++
			}
			first[c] = k
			for ; k < end; k++ {
				h := hot[points.items[k]]
				if h >= right {
					break
				}
				if p := fromKey(h); p != e.a && p != e.b && meets(e, p) {
					via = append(via, p)
				}
			}
		}
		out = appendChain(out, e, via)
	}
	return out
}

// appendChain adds e as a chain through the points of via, which it sorts.
func appendChain(out []edge, e *edge, via []point) []edge {
	d := e.b.sub(e.a)
	slices.SortFunc(via, func(p, q point) int {
		// Two hot pixels that one segment meets never share a projection on it.
		switch a, b := p.dot(d), q.dot(d); {
		case a < b:
			return -1
		case a > b:
			return 1
		}
		return 0
	})
	from := e.a
	for i := 0; i <= len(via); i++ {
		to := e.b
		if i < len(via) {
			to = via[i]
		}
		switch {
		case less(from, to):
			out = append(out, edge{from, to, e.rise})
		case less(to, from):
			out = append(out, edge{to, from, [2]int32{-e.rise[0], -e.rise[1]}})
		}
		from = to
	}
	return out
}

// meets reports whether e passes the hot pixel about p: the square of side one
// that owns its lower and left border and the corner between them. All numbers
// are doubled, so that the corners are odd integers and the ends of e even ones.
func meets(e *edge, p point) bool {
	if p.x < e.a.x || p.x > e.b.x {
		return false
	}
	up := e.b.y > e.a.y
	if up && (p.y < e.a.y || p.y > e.b.y) || !up && (p.y > e.a.y || p.y < e.b.y) {
		return false
	}
	if e.a.x == e.b.x || e.a.y == e.b.y {
		return true
	}
	d := e.b.sub(e.a)
	q := point{2 * (p.x - e.a.x), 2 * (p.y - e.a.y)}
	side := func(x, y int64) int64 { return d.cross(point{q.x + x, q.y + y}) }
	if up {
		// A rising line leaves the pixel on its left only at the upper left
		// corner and on its right only at the lower right one; neither corner is
		// owned.
		return side(-1, 1) > 0 && side(1, -1) < 0
	}
	// A falling line through the lower left corner meets the pixel, which owns
	// that corner; one through the upper right corner does not.
	return side(1, 1) > 0 && side(-1, -1) <= 0
}
