package overlay

import (
	"math"

	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// reachBits bounds lattice coordinates: |x|, |y| < 2^reachBits. Differences then
// stay below 2^30 and, doubled for the corners of hot pixels, below 2^31; a
// cross product of one of each stays below 2^62.
const reachBits = 29

// point is a place on the lattice.
type point struct{ x, y int64 }

func (p point) sub(q point) point   { return point{p.x - q.x, p.y - q.y} }
func (p point) cross(q point) int64 { return p.x*q.y - p.y*q.x }
func (p point) dot(q point) int64   { return p.x*q.x + p.y*q.y }

// key packs p so that keys sort as points do: by x, then y.
func (p point) key() uint64 {
	return uint64(p.x+1<<reachBits)<<32 | uint64(p.y+1<<reachBits)
}

func fromKey(k uint64) point {
	return point{int64(k>>32) - 1<<reachBits, int64(k&0xffffffff) - 1<<reachBits}
}

func less(p, q point) bool { return p.x < q.x || p.x == q.x && p.y < q.y }

// turn is positive when c lies to the left of the line from a to b.
func turn(a, b, c point) int64 { return b.sub(a).cross(c.sub(a)) }

// edge is a segment with a before b in the order of points. rise tells by how
// much the winding number of each operand is greater above (to the left of) the
// edge than below it.
type edge struct {
	a, b point
	rise [2]int32
}

// lattice converts between millimetres and lattice steps.
type lattice struct{ perMM float64 }

// latticeFor picks the finest lattice that holds all usable rings.
func latticeFor(operands ...[]plane.Ring) lattice {
	far := 0.0
	for _, rings := range operands {
		for _, r := range rings {
			if usable(r) {
				for _, p := range r {
					far = math.Max(far, math.Max(math.Abs(p.X), math.Abs(p.Y)))
				}
			}
		}
	}
	bits := tol.OverlayBits
	for far >= math.Ldexp(1, reachBits-bits)-1 {
		bits--
	}
	return lattice{math.Ldexp(1, bits)}
}

// usable reports whether a ring can enclose something and lies within reach.
func usable(r plane.Ring) bool {
	if len(r) < 3 {
		return false
	}
	for _, p := range r {
		// Written so that a NaN fails.
		if !(math.Abs(p.X) <= tol.OverlayReach && math.Abs(p.Y) <= tol.OverlayReach) {
			return false
		}
	}
	return true
}

// step returns the lattice step in mm.
func (l lattice) step() float64 { return 1 / l.perMM }

func (l lattice) snap(p plane.Point) point {
	return point{int64(math.Round(p.X * l.perMM)), int64(math.Round(p.Y * l.perMM))}
}

func (l lattice) mm(p point) plane.Point {
	return plane.Point{X: float64(p.x) / l.perMM, Y: float64(p.y) / l.perMM}
}

// appendEdges adds the edges of rings as those of one operand.
func (l lattice) appendEdges(edges []edge, rings []plane.Ring, operand int) []edge {
	for _, r := range rings {
		if !usable(r) {
			continue
		}
		from := l.snap(r[len(r)-1])
		for _, p := range r {
			to := l.snap(p)
			e := edge{a: from, b: to}
			e.rise[operand] = 1
			if less(to, from) {
				e.a, e.b = to, from
				e.rise[operand] = -1
			}
			if from != to {
				edges = append(edges, e)
			}
			from = to
		}
	}
	return edges
}

// merge makes one edge of all that share both ends and drops those that change
// nothing. It may reorder or reuse its argument.
func merge(edges []edge) []edge {
	edges = sortEdges(edges)
	out := edges[:0]
	for i := 0; i < len(edges); {
		e := edges[i]
		for i++; i < len(edges) && edges[i].a == e.a && edges[i].b == e.b; i++ {
			e.rise[0] += edges[i].rise[0]
			e.rise[1] += edges[i].rise[1]
		}
		if e.rise != [2]int32{} {
			out = append(out, e)
		}
	}
	return out
}

func compareKeys(p, q point) int {
	switch {
	case less(p, q):
		return -1
	case less(q, p):
		return 1
	}
	return 0
}
