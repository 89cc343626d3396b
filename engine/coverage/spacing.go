package coverage

import (
	"fmt"
	"math"

	"sheenlay/engine/finding"
	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// piece is a segment of a strand.
type piece struct {
	a, b  plane.Point
	width float64
}

// checkSpacing reports lines that run side by side nearer than tol.CoverageClose
// or farther than tol.CoverageFar times their width. Places are asked every two
// widths along each line, to both its sides, so each pair of neighbours is met
// twice and counts half each time.
func checkSpacing(job *Job) (out []finding.Finding) {
	pieces, box := job.pieces()
	reach := 2 * job.LineMM
	g, ok := newIndex(pieces, box.Grow(2*reach), reach)
	if !ok {
		return nil
	}
	var near, far offence
	for i := range pieces {
		p := &pieces[i]
		d := p.b.Sub(p.a)
		length := d.Norm()
		n := math.Ceil(length / (2 * job.LineMM))
		u := d.Mul(1 / length)
		for k := 0.5; k < n; k++ {
			m := p.a.Add(d.Mul(k / n))
			for _, beside := range g.neighbours(int32(i), p.width, m, u, reach) {
				if beside.mean == 0 {
					continue
				}
				switch share := beside.off / beside.mean; {
				case share < tol.CoverageClose:
					near.add(length/n/2, -share, m)
				case share > tol.CoverageFar && share < 1.8:
					far.add(length/n/2, share, m)
				}
			}
		}
	}
	// A few crossings and turns always have lines nearer: only a stretch counts.
	least := 10 * job.LineMM
	if near.length > least {
		out = append(out, caution("coverage-lines-close",
			fmt.Sprintf("%.0f mm of line lie nearer than %.0f %% of a bead to their neighbour, at worst %.0f %%.", near.length, 100*tol.CoverageClose, -100*near.worst),
			"Space drawn lines one line width apart; make a built-in pattern larger.", near.at, near.length, "mm"))
	}
	if far.length > least {
		out = append(out, caution("coverage-lines-far",
			fmt.Sprintf("%.0f mm of line lie farther than %.0f %% of a bead from their neighbour, at worst %.0f %%.", far.length, 100*tol.CoverageFar, 100*far.worst),
			"Space drawn lines one line width apart; make a built-in pattern larger.", far.at, far.length, "mm"))
	}
	return out
}

// pieces lists the segments of all strands longer than half a line: turns have
// no neighbours side by side.
func (job *Job) pieces() (out []piece, box plane.Box) {
	box = plane.EmptyBox()
	for _, s := range job.Strands {
		for i := 1; i < len(s.Points) && i <= len(s.Width); i++ {
			d := s.Points[i].Dist(s.Points[i-1])
			if d > job.LineMM/2 && s.Points[i].Finite() && s.Points[i-1].Finite() {
				out = append(out, piece{s.Points[i-1], s.Points[i], s.Width[i-1]})
				box = box.Include(s.Points[i-1]).Include(s.Points[i])
			}
		}
	}
	return out, box
}

// index lists the pieces that pass through each of a grid of square cells.
type index struct {
	origin        plane.Point
	size          float64
	columns, rows int
	start         []int32 // pieces of cell c are items[start[c]:start[c+1]]
	items         []item
	touched       []int32 // scratch
}

// item is a piece in a cell, with all that is asked of it beside it: looking each
// up by its number cost a third of the time.
type item struct {
	a, v  plane.Point // its start, and the way to its end
	width float64
	piece int32
}

// newIndex reports false without pieces and where there would be too many cells.
func newIndex(pieces []piece, box plane.Box, size float64) (*index, bool) {
	if len(pieces) == 0 {
		return nil, false
	}
	columns, rows, ok := cellsOver(box, size)
	if !ok {
		return nil, false
	}
	g := &index{origin: box.Min, size: size, columns: columns, rows: rows}
	// Two numbers for each visit: cell and piece.
	visits := make([]int32, 0, 8*len(pieces))
	g.start = make([]int32, g.columns*g.rows+2)
	for i := range pieces {
		for _, c := range g.cells(pieces[i].a, pieces[i].b) {
			visits = append(visits, c, int32(i))
			g.start[c+2]++
		}
	}
	for c := 2; c < len(g.start); c++ {
		g.start[c] += g.start[c-1]
	}
	g.items = make([]item, len(visits)/2)
	for k := 0; k < len(visits); k += 2 {
		at := &g.start[visits[k]+1]
		p := &pieces[visits[k+1]]
		g.items[*at] = item{p.a, p.b.Sub(p.a), p.width, visits[k+1]}
		*at++
	}
	return g, true
}

// mostCells bounds a grid of cells. Reason: 64 MB of starts.
const mostCells = 1 << 24

// cellsOver returns the columns and rows of cells of a size (mm) that cover box;
// it reports false where they would be too many.
func cellsOver(box plane.Box, size float64) (columns, rows int, ok bool) {
	extent := box.Size()
	// Written so that a NaN fails.
	if !((extent.X/size+1)*(extent.Y/size+1) <= mostCells) || box.Empty() {
		return 0, 0, false
	}
	return int(extent.X/size) + 1, int(extent.Y/size) + 1, true
}

// cells returns the cells that the segment from a to b passes through, with
// those it touches within tol.Coincident; valid until the next call.
func (g *index) cells(a, b plane.Point) []int32 {
	g.touched = g.touched[:0]
	a, b = a.Sub(g.origin), b.Sub(g.origin)
	if a.Y > b.Y {
		a, b = b, a
	}
	slope := 0.0
	if b.Y > a.Y {
		slope = (b.X - a.X) / (b.Y - a.Y)
	}
	first, last := g.cellAt(a.Y-tol.Coincident, g.rows), g.cellAt(b.Y+tol.Coincident, g.rows)
	for j := first; j <= last; j++ {
		x0, x1 := a.X, b.X
		if j > first {
			x0 += (float64(j)*g.size - tol.Coincident - a.Y) * slope
		}
		if j < last {
			x1 = a.X + (float64(j+1)*g.size+tol.Coincident-a.Y)*slope
		}
		if x0 > x1 {
			x0, x1 = x1, x0
		}
		for i, end := g.cellAt(x0-tol.Coincident, g.columns), g.cellAt(x1+tol.Coincident, g.columns); i <= end; i++ {
			g.touched = append(g.touched, int32(j*g.columns+i))
		}
	}
	return g.touched
}

// cellAt returns the row or column at a distance from the origin.
func (g *index) cellAt(at float64, n int) int { return min(max(int(at/g.size), 0), n-1) }

// beside is the nearest line on one side: its distance and the mean of both
// widths, 0 where there is none.
type beside struct{ off, mean float64 }

// neighbours returns the nearest lines on the left and on the right of m, a place
// on a piece of some width which runs along u, that run side by side with it.
func (g *index) neighbours(piece int32, width float64, m, u plane.Point, reach float64) [2]beside {
	left, right := beside{off: reach}, beside{off: reach}
	side := u.Left()
	for _, c := range g.cells(m.Sub(side.Mul(reach)), m.Add(side.Mul(reach))) {
		items := g.items[g.start[c]:g.start[c+1]]
		for i := range items {
			q := &items[i]
			if q.piece == piece {
				continue
			}
			along, across := q.v.Dot(u), q.v.Dot(side)
			if math.Abs(across) > tol.CoverageParallel*math.Abs(along) {
				continue
			}
			// Where q passes the foot of m.
			t := m.Sub(q.a).Dot(u) / along
			if t < 0 || t > 1 {
				continue
			}
			d := q.a.Add(q.v.Mul(t)).Sub(m).Dot(side)
			// A line on top of this one lies on both sides, rounding aside.
			if d >= -tol.Coincident && d < left.off {
				left = beside{math.Max(d, 0), (width + q.width) / 2}
			}
			if d <= tol.Coincident && -d < right.off {
				right = beside{math.Max(-d, 0), (width + q.width) / 2}
			}
		}
	}
	return [2]beside{left, right}
}
