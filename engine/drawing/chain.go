package drawing

import (
	"math"
	"sort"

	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// Chained is one longest run of lines that share end points.
type Chained struct {
	Points plane.Polyline // mm; a closed chain does not repeat its first point
	Closed bool
	Parts  []Part // the lines it is made of, in order
}

// Part is one line of a chain.
type Part struct {
	Line     int // index into the lines given
	Reversed bool
}

// Length returns the length in mm, the closing edge included.
func (c Chained) Length() float64 { return Line{Points: c.Points, Closed: c.Closed}.Length() }

// Chain joins lines whose ends lie within toleranceMM (0 = tol.ChainEnds) of
// each other into as few runs as their ends allow: a connected set of lines
// with k ends of odd degree gives max(1, k/2) chains, each line once. Where
// several ways lead on, the straightest is taken, so a chain passes a crossing
// without a corner. Closed lines stand alone. The order follows the lowest
// line of each chain.
//
// A chain takes every point of its lines; ends that are joined over a distance
// keep both points. Lines of fewer than two points are left out.
func Chain(lines []Line, toleranceMM float64) []Chained {
	if !(toleranceMM > 0) {
		toleranceMM = tol.ChainEnds
	}
	n := newNetwork(lines, toleranceMM)
	for _, ends := range n.nodes {
		n.pairStraightest(ends)
	}
	n.spliceLoops()
	return n.walk()
}

// network holds the ends of open lines: end 2i is the start of line i, end
// 2i+1 its last point.
type network struct {
	lines     []Line
	nodes     [][]int       // ends that meet, each list in rising order
	direction []plane.Point // from each end into its line
	partner   []int         // the end that a chain goes on with, −1 for none
}

func newNetwork(lines []Line, tolerance float64) *network {
	n := &network{lines: lines, direction: make([]plane.Point, 2*len(lines)), partner: make([]int, 2*len(lines))}
	var ends []int
	for i, l := range lines {
		n.partner[2*i], n.partner[2*i+1] = -1, -1
		if l.Closed || len(l.Points) < 2 {
			continue
		}
		n.direction[2*i] = leaving(l.Points, tolerance)
		n.direction[2*i+1] = leaving(l.Points.Reversed(), tolerance)
		ends = append(ends, 2*i, 2*i+1)
	}
	n.nodes = cluster(ends, n.at, tolerance)
	return n
}

func (n *network) at(end int) plane.Point {
	p := n.lines[end/2].Points
	if end%2 == 0 {
		return p[0]
	}
	return p[len(p)-1]
}

// leaving returns the direction in which a line leaves its first point, taken
// over the join tolerance so that a hook at the end does not decide.
func leaving(p plane.Polyline, tolerance float64) plane.Point {
	for _, q := range p[1:] {
		if q.Dist(p[0]) > tolerance {
			return q.Sub(p[0]).Unit()
		}
	}
	return p[len(p)-1].Sub(p[0]).Unit()
}

// cluster groups ends that lie within distance of each other, directly or
// over others.
func cluster(ends []int, at func(int) plane.Point, distance float64) [][]int {
	type cell struct{ x, y int64 }
	cellOf := func(p plane.Point) cell {
		return cell{int64(math.Floor(p.X / distance)), int64(math.Floor(p.Y / distance))}
	}
	parent := make([]int, len(ends))
	find := func(i int) int {
		for parent[i] != i {
			parent[i] = parent[parent[i]]
			i = parent[i]
		}
		return i
	}
	held := map[cell][]int{}
	for i, e := range ends {
		parent[i] = i
		p := at(e)
		home := cellOf(p)
		for dx := int64(-1); dx <= 1; dx++ {
			for dy := int64(-1); dy <= 1; dy++ {
				for k, j := range held[cell{home.x + dx, home.y + dy}] {
					if p.Dist(at(ends[j])) <= distance {
						if a, b := find(i), find(j); a != b {
							parent[max(a, b)] = min(a, b)
						}
						if k == 0 && p == at(ends[j]) {
							break // whatever p reaches here, its twin has joined
						}
					}
				}
			}
		}
		held[home] = append(held[home], i)
	}
	number := map[int]int{}
	var groups [][]int
	for i, e := range ends {
		root := find(i)
		k, known := number[root]
		if !known {
			k = len(groups)
			number[root] = k
			groups = append(groups, nil)
		}
		groups[k] = append(groups[k], e)
	}
	return groups
}

// deflection returns the turn (radians, 0 = straight on) of a chain that goes
// from one end to the other.
func (n *network) deflection(a, b int) float64 {
	d, e := n.direction[a].Mul(-1), n.direction[b]
	return math.Abs(math.Atan2(d.Cross(e), d.Dot(e)))
}

// crowded is the number of ends at one place above which pairs are made by
// order around the place, at a cost that does not grow with its square.
const crowded = 200

func (n *network) pairStraightest(ends []int) {
	if len(ends) > crowded {
		around := append([]int(nil), ends...)
		angle := func(e int) float64 { return math.Atan2(n.direction[e].Y, n.direction[e].X) }
		sort.SliceStable(around, func(i, j int) bool { return angle(around[i]) < angle(around[j]) })
		for i, half := 0, len(around)/2; i < half; i++ {
			n.join(around[i], around[i+half])
		}
		return
	}
	type pair struct {
		a, b int
		turn float64
	}
	var pairs []pair
	for i, a := range ends {
		for _, b := range ends[i+1:] {
			pairs = append(pairs, pair{a, b, n.deflection(a, b)})
		}
	}
	sort.SliceStable(pairs, func(i, j int) bool { return pairs[i].turn < pairs[j].turn })
	for _, p := range pairs {
		if n.partner[p.a] < 0 && n.partner[p.b] < 0 {
			n.join(p.a, p.b)
		}
	}
}

func (n *network) join(a, b int) { n.partner[a], n.partner[b] = b, a }

// spliceLoops merges closed runs into others that pass the same place by
// exchanging partners there, the straighter of the two ways.
func (n *network) spliceLoops() {
	run := make([]int, len(n.lines)) // union-find over lines
	for i := range run {
		run[i] = i
	}
	find := func(i int) int {
		for run[i] != i {
			run[i] = run[run[i]]
			i = run[i]
		}
		return i
	}
	open := make([]bool, len(n.lines))
	for e, p := range n.partner {
		if p >= 0 {
			a, b := find(e/2), find(p/2)
			run[max(a, b)] = min(a, b)
		}
	}
	for _, ends := range n.nodes {
		for _, e := range ends {
			if n.partner[e] < 0 {
				open[find(e/2)] = true
			}
		}
	}
	for _, ends := range n.nodes {
		others := ends
		if len(ends) > crowded {
			others = ends[:1]
			for _, e := range ends {
				if open[find(e/2)] {
					others = []int{e}
					break
				}
			}
		}
		for _, a := range ends {
			for _, c := range others {
				ra, rc := find(a/2), find(c/2)
				if ra == rc || open[ra] && open[rc] || n.partner[a] < 0 {
					continue
				}
				b, d := n.partner[a], n.partner[c]
				switch {
				case d < 0: // c is the end of a run: it goes on into the loop
					if open[ra] {
						continue
					}
					n.partner[b] = -1
					n.join(a, c)
				case math.Max(n.deflection(a, c), n.deflection(b, d)) <= math.Max(n.deflection(a, d), n.deflection(b, c)):
					n.join(a, c)
					n.join(b, d)
				default:
					n.join(a, d)
					n.join(b, c)
				}
				joined := open[ra] || open[rc]
				run[max(ra, rc)] = min(ra, rc)
				open[min(ra, rc)] = joined
			}
		}
	}
}

// walk follows partners from end to end.
func (n *network) walk() []Chained {
	var out []Chained
	done := make([]bool, len(n.lines))
	for i, l := range n.lines {
		if done[i] || len(l.Points) < 2 {
			continue
		}
		done[i] = true
		if l.Closed {
			out = append(out, Chained{Points: append(plane.Polyline(nil), l.Points...), Closed: true, Parts: []Part{{Line: i}}})
			continue
		}
		// Back to the free end, or once around.
		enter := 2 * i
		loop := false
		for n.partner[enter] >= 0 {
			enter = n.partner[enter] ^ 1
			if enter == 2*i {
				loop = true
				break
			}
		}
		c := Chained{Closed: loop}
		for e := enter; ; {
			done[e/2] = true
			c.Parts = append(c.Parts, Part{Line: e / 2, Reversed: e%2 == 1})
			points := n.lines[e/2].Points
			for k := range points {
				p := points[k]
				if e%2 == 1 {
					p = points[len(points)-1-k]
				}
				if m := len(c.Points); m == 0 || p.Dist(c.Points[m-1]) > tol.Coincident || k > 0 && k < len(points)-1 {
					c.Points = append(c.Points, p)
				}
			}
			next := n.partner[e^1]
			if next < 0 || next == enter {
				break
			}
			e = next
		}
		if loop {
			for len(c.Points) > 1 && c.Points[len(c.Points)-1].Dist(c.Points[0]) <= tol.Coincident {
				c.Points = c.Points[:len(c.Points)-1]
			}
		}
		out = append(out, c)
	}
	return out
}

// Gap is a place where a chain ends and another end is nearest.
type Gap struct {
	From, To           plane.Point // mm
	FromChain, ToChain int         // indices into the chains given; equal when a chain nearly closes
	DistanceMM         float64
}

// Gaps lists, for every free end of the chains, the free end nearest to it,
// each pair once, shortest first. A drawing that is one chain or holds closed
// chains only has none. What cannot be chained costs a travel: len(chains)−1
// of them.
func Gaps(chains []Chained) []Gap {
	type free struct {
		chain int
		at    plane.Point
	}
	var ends []free
	for i, c := range chains {
		if !c.Closed && len(c.Points) > 1 {
			ends = append(ends, free{i, c.Points[0]}, free{i, c.Points[len(c.Points)-1]})
		}
	}
	if len(ends) <= 2 {
		return nil
	}
	sort.SliceStable(ends, func(i, j int) bool { return ends[i].at.X < ends[j].at.X })
	nearest := make([]int, len(ends))
	for i, e := range ends {
		best, found := math.Inf(1), -1
		look := func(j int) bool {
			if math.Abs(ends[j].at.X-e.at.X) >= best {
				return false
			}
			if d := ends[j].at.Dist(e.at); d < best {
				best, found = d, j
			}
			return true
		}
		for j := i - 1; j >= 0 && look(j); j-- {
		}
		for j := i + 1; j < len(ends) && look(j); j++ {
		}
		nearest[i] = found
	}
	var out []Gap
	for i, j := range nearest {
		if nearest[j] == i && j < i {
			continue
		}
		out = append(out, Gap{ends[i].at, ends[j].at, ends[i].chain, ends[j].chain, ends[i].at.Dist(ends[j].at)})
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].DistanceMM < out[j].DistanceMM })
	return out
}
