package fill

import (
	"cmp"
	"math"
	"slices"

	"sheenlay/engine/fill/near"
	"sheenlay/engine/internal/sorting"
	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// A weave closes the zigzags of many cells without giving each a spine. Every
// cell's zigzag has two ends, its poles; bead along cell borders pairs them up.
// Which stretches of border carry bead is a T-join (the least set of edges
// that meets the poles an odd number of times and every other node an even
// number of times); a comb is the case where a cell's two poles are paired
// along its own border.

// weave is the graph: terminals 2c and 2c+1 are the low and high pole of cell
// c; nodes after them are places where corners of cells lie together.
type weave struct {
	cells  []*cell
	gauges []gauge
	corner [][corners]plane.Point // bed frame
	node   [][corners]int32       // node of each corner, −1 for none
	nodes  int                    // terminals and places
	at     []plane.Point          // a corner of each place, by node − 2·cells
	middle []plane.Point          // mean of the corners of each place
	grid   *near.Grid             // of the places of cells that are not banned
	placed []int32                // place of each grid segment
	edges  []stretch
	next   [][]int32 // edges at each node
	banned []bool    // per cell: left to a comb of its own
	laid   []laid    // per cell, as it was laid last
}

// stretch is an edge of the graph: a part of a cell's side between two places,
// or (side < 0) the choice of a corner for a pole.
type stretch struct {
	a, b     int32 // nodes
	cost     float64
	cell     int32
	side     int8 // 0 left, 1 right, −1 choice
	corner   int8 // of a choice
	low, top float64
	shut     bool // led to a place where its end could not be tied
}

const choice = -1

// Corners nearer than placeReach (in widths) to each other are one place: a
// longer link could hardly get by the bead between. Where even that gives cells
// up to combs, closeReach is tried. farGroup bounds a place with
// a far corner in it, in reaches: a bead drawn out that far cannot be tied much
// farther away.
const (
	placeReach = 3.0
	closeReach = 2.2
	farGroup   = 1.2
)

// The cost of a choice, as mm of spine: choiceCost for the link, awayCost for
// each mm by which the corner lies farther than placeFree (in widths) from the
// middle of its place, since a long link is laid beside other bead or not at
// all; and nearCost, for a pole's near corner, for each mm of flare that then
// stays bare. An edge gets dearer by avoidCost whenever ends could not be tied
// at its place.
const (
	choiceCost = 0.3
	awayCost   = 3.0
	placeFree  = 1.1
	nearCost   = 0.15
	avoidCost  = 2.0
)

// newWeave builds the graph of the cells. Corners within reach (in widths) of
// each other are one place.
func newWeave(cells []*cell, gauges []gauge, banned []bool, reach float64) *weave {
	w := &weave{cells: cells, gauges: gauges, banned: banned, laid: make([]laid, len(cells))}
	w.corner = make([][corners]plane.Point, len(cells))
	w.node = make([][corners]int32, len(cells))
	box, widest := plane.EmptyBox(), 0.0
	for i, c := range cells {
		for k := range corners {
			p, ok := c.corner(k, gauges[i])
			w.corner[i][k], w.node[i][k] = p, -1
			if ok && !banned[i] {
				w.node[i][k] = 0
			}
			box = box.Include(p)
		}
		widest = max(widest, gauges[i].width)
	}
	reach *= widest
	w.places(box, reach, widest)
	for i := range cells {
		if banned[i] {
			continue
		}
		w.choices(int32(i))
		w.sides(int32(i), reach)
	}
	w.next = make([][]int32, w.nodes)
	for e, s := range w.edges {
		w.next[s.a] = append(w.next[s.a], int32(e))
		w.next[s.b] = append(w.next[s.b], int32(e))
	}
	return w
}

// open reports whether bead may take an edge.
func (w *weave) open(s *stretch) bool { return !s.shut && !w.banned[s.cell] }

// shut closes the edges that are used at places where ends could not be tied,
// so that bead is led elsewhere, and reports whether there are any.
func (w *weave) shut(places []int32, used []bool) bool {
	found := false
	for _, n := range places {
		worst := int32(-1)
		for _, e := range w.next[n] {
			if used[e] && w.open(&w.edges[e]) && (worst < 0 || w.edges[e].cost > w.edges[worst].cost) {
				worst = e
			}
		}
		if worst >= 0 {
			w.edges[worst].shut, found = true, true
		}
	}
	return found
}

// avoid makes the edges that are used at places where ends could not be tied
// dearer.
func (w *weave) avoid(places []int32, used []bool) {
	for _, n := range places {
		for _, e := range w.next[n] {
			if used[e] {
				w.edges[e].cost += avoidCost
			}
		}
	}
}

// lost bans the cells at poles and places that could not be paired, and reports
// whether there are any.
func (w *weave) lost(used, banned []bool) bool {
	found := false
	for _, n := range w.wrong(used) {
		if c := int(n) / 2; c < len(w.cells) {
			banned[c], found = true, true
			continue
		}
		for _, e := range w.next[n] {
			if c := w.edges[e].cell; used[e] && !banned[c] {
				banned[c], found = true, true
			}
		}
	}
	return found
}

// small reports whether a cell is so small that it shows no lay: a ring of its
// own is all it takes.
func (c *cell) small(g gauge) bool {
	widest := 0.0
	for i := range c.y {
		widest = max(widest, c.hi[i]-c.lo[i])
	}
	return !c.thin && len(c.folds) == 0 && max(c.height(), widest) < tol.FillSmallLines*g.spacing
}

// places groups corners that lie together into nodes.
func (w *weave) places(box plane.Box, reach, widest float64) {
	n := corners * len(w.cells)
	group := make([]int32, n)
	boxes := make([]plane.Box, n)
	for i := range group {
		group[i] = int32(i)
		p := w.corner[i/corners][i%corners]
		boxes[i] = plane.Box{Min: p, Max: p}
	}
	find := func(i int32) int32 {
		for group[i] != i {
			group[i] = group[group[i]]
			i = group[i]
		}
		return i
	}
	grid := near.New(box, max(reach, 0.5))
	var owner []int32
	for i := range n {
		c, k := i/corners, i%corners
		if w.node[c][k] < 0 {
			continue
		}
		p := w.corner[c][k]
		grid.Near(p, p, reach, func(id int) bool {
			j := owner[id]
			limit := reach
			if int(j)/corners == c {
				limit = widest // the two corners of a pole: only a pointed one
			}
			if grid.Segment(id).A.Dist(p) <= limit {
				a, b := find(int32(i)), find(j)
				// No chains: a place stays small.
				most := 2 * reach
				if k >= far || j%corners >= far {
					most = farGroup * reach
				}
				if both := boxes[a].Union(boxes[b]); a != b && both.Size().Norm() <= most {
					group[max(a, b)] = min(a, b)
					boxes[min(a, b)] = both
				}
			}
			return true
		})
		grid.Add(p, p)
		owner = append(owner, int32(i))
	}
	w.nodes = 2 * len(w.cells)
	w.grid = near.New(box, max(reach, 0.5))
	index := make([]int32, n)
	for i := range n {
		c, k := i/corners, i%corners
		if w.node[c][k] < 0 {
			continue
		}
		if r := find(int32(i)); int(r) == i {
			index[i] = int32(w.nodes)
			w.at = append(w.at, w.corner[c][k])
			w.grid.Add(w.corner[c][k], w.corner[c][k])
			w.placed = append(w.placed, int32(len(w.at)-1))
			w.nodes++
		} else {
			index[i] = index[r]
		}
		w.node[c][k] = index[i]
	}
	w.middle = make([]plane.Point, len(w.at))
	count := make([]float64, len(w.at))
	for c := range w.cells {
		for k, n := range w.node[c] {
			if n >= 0 {
				at := int(n) - 2*len(w.cells)
				w.middle[at] = w.middle[at].Add(w.corner[c][k])
				count[at]++
			}
		}
	}
	for i, n := range count {
		w.middle[i] = w.middle[i].Mul(1 / n)
	}
}

// choices adds the edges from a cell's poles to their corners.
func (w *weave) choices(c int32) {
	pairable := w.pairable(c)
	for k := range corners {
		// A single row leads from left to right whatever its poles would like.
		if w.node[c][k] < 0 || (!pairable && k != lowLeft && k != highRight) {
			continue
		}
		away := w.corner[c][k].Dist(w.middle[int(w.node[c][k])-2*len(w.cells)])
		cost := choiceCost + awayCost*max(0, away-placeFree*w.gauges[c].width)
		if k < far {
			if _, out := w.cells[c].flare(k%2, k/2, w.gauges[c]); out > 0 {
				cost += nearCost * out
			}
		}
		w.edges = append(w.edges, stretch{
			a: 2*c + int32(k%far/2), b: w.node[c][k], cost: cost,
			cell: c, side: choice, corner: int8(k),
		})
	}
}

// sides adds the stretches of a cell's two sides between the places on them.
func (w *weave) sides(c int32, reach float64) {
	if !w.pairable(c) {
		return
	}
	g := w.gauges[c]
	for side := range 2 {
		cl := w.cells[c].part(side)
		first, last := rowRange(cl, g)
		type stop struct {
			y    float64
			node int32
		}
		stops := []stop{
			{first, w.node[c][lowLeft+side]},
			{last, w.node[c][highLeft+side]},
		}
		for _, k := range w.placesAlong(cl, side, reach) {
			q := cl.frame.In(w.at[k])
			if y, d := cl.nearestOnSide(q, side); d <= 0.8*reach && y > first && y < last &&
				cl.sideLength(side, first, y) > g.spacing && cl.sideLength(side, y, last) > g.spacing {
				stops = append(stops, stop{y, int32(2*len(w.cells)) + k})
			}
		}
		sorting.By(stops, func(a, b stop) int {
			return cmp.Or(cmp.Compare(a.y, b.y), cmp.Compare(a.node, b.node))
		})
		from := stops[0]
		for i, to := range stops[1:] {
			if to.node == from.node || (cl.sideLength(side, from.y, to.y) < 1.5*g.spacing && i < len(stops)-2) {
				continue
			}
			w.edges = append(w.edges, stretch{
				a: from.node, b: to.node, cost: cl.sideLength(side, from.y, to.y) + 0.6,
				cell: c, side: int8(side), low: from.y, top: to.y,
			})
			from = to
		}
	}
}

// placesAlong returns the places that may lie within reach of a side of a
// cell, ascending.
func (w *weave) placesAlong(c *cell, side int, reach float64) []int32 {
	xs := c.lo
	if side == 1 {
		xs = c.hi
	}
	var found []int32
	from := plane.Point{X: xs[0], Y: c.y[0]}
	for i := 1; i < len(xs); i++ {
		to := plane.Point{X: xs[i], Y: c.y[i]}
		if i < len(xs)-1 && to.Dist(from) < 2*reach {
			continue
		}
		w.grid.Near(c.frame.Out(from), c.frame.Out(to), 2*reach, func(id int) bool {
			if k := w.placed[id]; !slices.Contains(found, k) {
				found = append(found, k)
			}
			return true
		})
		from = to
	}
	slices.Sort(found)
	return found
}

// pairable reports whether a spine fits beside the zigzag of a cell.
func (w *weave) pairable(c int32) bool {
	f, ok := fitRows(w.cells[c], w.gauges[c], even)
	return ok && f.n >= 2 && !w.cells[c].thin
}

// nearestOnSide returns the height of the point of a side nearest to q (lay's
// frame), and its distance.
func (c *cell) nearestOnSide(q plane.Point, side int) (y, distance float64) {
	xs := c.lo
	if side == 1 {
		xs = c.hi
	}
	distance = math.Inf(1)
	for i := range c.y[1:] {
		s := near.Segment{A: plane.Point{X: xs[i], Y: c.y[i]}, B: plane.Point{X: xs[i+1], Y: c.y[i+1]}}
		if p, _, d := s.Closest(q); d < distance {
			y, distance = p.Y, d
		}
	}
	return y, distance
}

// sideLength returns the length of a side between two heights, mm.
func (c *cell) sideLength(side int, low, high float64) float64 {
	x := func(y float64) plane.Point {
		lo, hi := c.at(y)
		if side == 1 {
			lo = hi
		}
		return plane.Point{X: lo, Y: y}
	}
	p, sum := x(low), 0.0
	for i := c.above(low); i < len(c.y) && c.y[i] < high; i++ {
		q := x(c.y[i])
		sum += p.Dist(q)
		p = q
	}
	return sum + p.Dist(x(high))
}
