package making

import (
	"sheenlay/engine/plane"
	"sheenlay/engine/strand"
	"sheenlay/engine/tol"
)

// onFace reports whether the straight way lies on the face.
func onFace(from, to plane.Point, face plane.Region, width float64) bool {
	steps := int(from.Dist(to)/width*2) + 1
	for k := 1; k < steps; k++ {
		if !face.Contains(from.Lerp(to, float64(k)/float64(steps))) {
			return false
		}
	}
	return true
}

// alongBorder returns the shorter way from one point of the region's border to
// another along the ring that both lie on; nil when they lie on none in common.
func alongBorder(g plane.Region, from, to plane.Point) []plane.Point {
	for _, ring := range g {
		i, j := edgeAt(ring, from), edgeAt(ring, to)
		if i < 0 || j < 0 {
			continue
		}
		there := borderWay(ring, from, to, i, j)
		back := borderWay(ring, to, from, j, i)
		if plane.Polyline(back).Length() < plane.Polyline(there).Length() {
			return plane.Polyline(back).Reversed()
		}
		return there
	}
	return nil
}

// edgeAt returns the edge of the ring that p lies on, -1 for none.
func edgeAt(ring plane.Ring, p plane.Point) int {
	for i, a := range ring {
		if plane.NearestOnSegment(a, ring[(i+1)%len(ring)], p).Dist(p) < tol.Coincident {
			return i
		}
	}
	return -1
}

// borderWay follows the ring from a point on edge i to a point on edge j, in
// its direction. Corners nearer together than a machine can follow are left out.
func borderWay(ring plane.Ring, from, to plane.Point, i, j int) []plane.Point {
	way := []plane.Point{from}
	n := len(ring)
	if i == j && from.Dist(ring[i]) <= to.Dist(ring[i]) {
		return append(way, to)
	}
	for k := (i + 1) % n; ; k = (k + 1) % n {
		if p := ring[k]; p.Dist(way[len(way)-1]) >= tol.FillShortestMM && p.Dist(to) >= tol.FillShortestMM {
			way = append(way, p)
		}
		if k == j {
			return append(way, to)
		}
	}
}

// besideBead (line widths) is how near to another bead's centre line a link may
// come, and nearEnds how far from its own ends that is not asked.
const (
	besideBead = 0.6
	nearEnds   = 1.5
)

// beads finds the beads near a way.
type beads struct {
	grid  *edgeGrid
	width float64 // of a line, mm
}

func newBeads(strands []strand.Strand, width float64) *beads {
	box, count := plane.EmptyBox(), 0
	for _, s := range strands {
		box = box.Union(plane.Polyline(s.Points).Bounds())
		count += len(s.Points)
	}
	b := &beads{newEdgeGrid(box, count), width}
	for _, s := range strands {
		b.add(s.Points)
	}
	return b
}

func (b *beads) add(line []plane.Point) {
	for i := 1; i < len(line); i++ {
		b.grid.add(line[i-1], line[i])
	}
}

// free reports whether a bead along the way comes over no other. It may run
// close to the two lines that it joins, which it leaves at whatever angle they
// have.
func (b *beads) free(way []plane.Point) bool {
	first, last := way[0], way[len(way)-1]
	for i := 1; i < len(way); i++ {
		from, to := way[i-1], way[i]
		box := plane.EmptyBox().Include(from).Include(to).Grow(b.width)
		steps := int(from.Dist(to)/b.width*4) + 1
		ok := true
		b.grid.visit(box.Min, box.Max, func(cell int) {
			for _, bead := range b.grid.cells[cell] {
				if !ok || !plane.EmptyBox().Include(bead[0]).Include(bead[1]).Intersects(box) {
					continue
				}
				if crosses(from, to, bead[0], bead[1]) {
					ok = false
				}
				if joined := bead[0] == first || bead[1] == first || bead[0] == last || bead[1] == last; joined {
					continue
				}
				for k := range steps {
					p := from.Lerp(to, float64(k)/float64(steps))
					if p.Dist(last) > nearEnds*b.width && p.Dist(first) > nearEnds*b.width &&
						plane.NearestOnSegment(bead[0], bead[1], p).Dist(p) < besideBead*b.width {
						ok = false
					}
				}
			}
		})
		if !ok {
			return false
		}
	}
	return true
}

// crosses reports whether two segments cross at a point inside both.
func crosses(a, b, c, d plane.Point) bool {
	side := func(p, q, r plane.Point) float64 { return q.Sub(p).Cross(r.Sub(p)) }
	return side(a, b, c)*side(a, b, d) < 0 && side(c, d, a)*side(c, d, b) < 0
}
