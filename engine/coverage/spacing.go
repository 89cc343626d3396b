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
// or farther than tol.CoverageFar times their width. Places are asked every
// width along each line, to its left only; each pair of neighbours is met from
// one of the two.
func checkSpacing(job *Job) (out []finding.Finding) {
	pieces, box := job.pieces()
	reach := 2 * job.LineMM
	size := box.Grow(2 * reach).Size()
	columns, rows := int(size.X/reach)+2, int(size.Y/reach)+2
	if len(pieces) == 0 || columns > 1<<24/rows {
		return nil
	}
	g := index{origin: box.Min.Sub(plane.Point{X: 2 * reach, Y: 2 * reach}), size: reach, columns: columns, head: make([]int32, columns*rows)}
	for i, p := range pieces {
		g.insert(p, int32(i))
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
			for _, side := range [2]plane.Point{u.Left(), u.Left().Mul(-1)} {
				off, mean := g.neighbour(pieces, p, m, u, side, reach)
				if mean == 0 {
					continue
				}
				switch share := off / mean; {
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
			"Space the lines one bead apart.", near.at, near.length, "mm"))
	}
	if far.length > least {
		out = append(out, caution("coverage-lines-far",
			fmt.Sprintf("%.0f mm of line lie farther than %.0f %% of a bead from their neighbour, at worst %.0f %%.", far.length, 100*tol.CoverageFar, 100*far.worst),
			"Space the lines one bead apart.", far.at, far.length, "mm"))
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

// index hangs pieces into square cells.
type index struct {
	origin  plane.Point
	size    float64
	columns int
	head    []int32 // first entry of each cell, from 1
	items   []entry
}

type entry struct{ piece, next int32 }

func (g *index) cell(p plane.Point) int {
	return int((p.Y-g.origin.Y)/g.size)*g.columns + int((p.X-g.origin.X)/g.size)
}

// insert hangs a piece into the cells at places half a cell apart along it.
func (g *index) insert(p piece, i int32) {
	length, last := p.b.Dist(p.a), -1
	n := math.Ceil(2*length/g.size) + 1
	for k := 0.0; k <= n; k++ {
		if c := g.cell(p.a.Lerp(p.b, k/n)); c != last {
			last = c
			g.items = append(g.items, entry{i, g.head[c]})
			g.head[c] = int32(len(g.items))
		}
	}
}

// neighbour returns the distance from m, a place on p which runs along u, to the
// nearest line on the given side that runs side by side with it, and the mean of
// both widths; 0 without one.
func (g *index) neighbour(pieces []piece, p *piece, m, u, side plane.Point, reach float64) (off, mean float64) {
	off = reach
	c := g.cell(m)
	for _, near := range [9]int{c - g.columns - 1, c - g.columns, c - g.columns + 1, c - 1, c, c + 1, c + g.columns - 1, c + g.columns, c + g.columns + 1} {
		for e := g.head[near]; e > 0; e = g.items[e-1].next {
			q := &pieces[g.items[e-1].piece]
			if q == p {
				continue
			}
			v := q.b.Sub(q.a)
			along, across := v.Dot(u), v.Dot(side)
			if math.Abs(across) > tol.CoverageParallel*math.Abs(along) {
				continue
			}
			// Where q passes the foot of m.
			t := m.Sub(q.a).Dot(u) / along
			if t < 0 || t > 1 {
				continue
			}
			d := q.a.Add(v.Mul(t)).Sub(m).Dot(side)
			// A line on top of this one lies on both sides, rounding aside.
			if d < -tol.Coincident || d >= off {
				continue
			}
			off, mean = math.Max(d, 0), (p.width+q.width)/2
		}
	}
	return off, mean
}
