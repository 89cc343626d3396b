package thread

import (
	"math"

	"sheenlay/engine/fill/near"
	"sheenlay/engine/plane"
)

// index puts all strips into the grid.
func (f *folder) index() {
	f.grid = near.New(f.region.Bounds(), 2*f.line)
	for id := range f.strips {
		f.enter(id)
	}
}

// enter puts a strip into the grid.
func (f *folder) enter(id int) {
	s := f.strips[id]
	for i := 1; i < len(s.points); i++ {
		f.grid.Add(s.points[i-1], s.points[i])
	}
	if s.closed {
		f.grid.Add(s.points[len(s.points)-1], s.points[0])
	}
}

// putIn halves the spacing of levels that stand 2·units apart where that is too
// wide: every second of them becomes three, with a neighbour by units to both
// sides. It reports whether they were anywhere.
func (f *folder) putIn(units int) bool {
	any := false
	for id, count := 0, len(f.strips); id < count; id++ {
		if f.ctx.Err() != nil {
			return false
		}
		if s := f.strips[id]; len(s.points) > 1 && s.unit%(4*units) == 0 {
			any = f.widen(id, units) || any
		}
	}
	return any
}

// flanks are the neighbours to be of the samples of a strip.
type flanks struct {
	side [2][]plane.Point // by units up and down
	good []bool           // both neighbours stand clear
	bad  []bool           // the spacing is beyond the limit
}

// flanks finds the neighbours of a strip by units, where levels 2·units apart
// stand wide enough for them.
func (f *folder) flanks(s strip, points []plane.Point, units int) (n flanks, any bool) {
	n.good, n.bad = make([]bool, len(points)), make([]bool, len(points))
	n.side = [2][]plane.Point{make([]plane.Point, len(points)), make([]plane.Point, len(points))}
	// In half its width a gap is laid as well as in the whole at √2 lines.
	enough := min(max(math.Sqrt2*f.line, 2*f.narrow), f.wide)
	for i, p := range points {
		if rough, ok := f.roughGap(p, 2*units); ok && rough < enough*(1-roughly) {
			continue
		}
		gap := f.gap(p, 2*units)
		if !(gap > enough) {
			continue
		}
		n.good[i] = true
		for k, sign := range [2]int{1, -1} {
			q, ok := f.toLevel(p, f.levelOf(s.unit+sign*units), gap)
			n.side[k][i] = q
			n.good[i] = n.good[i] && ok && f.clear(q, nearerBy*gap)
		}
		n.bad[i] = n.good[i] && gap > f.wide
		any = any || n.bad[i]
	}
	return n, any
}

// nearerBy is how near a new line may come to another one, as a share of the
// gap that it halves.
const nearerBy = 0.3

// clear reports whether no strip comes within room of p.
func (f *folder) clear(p plane.Point, room float64) bool {
	ok := true
	f.grid.Near(p, p, room, func(id int) bool {
		_, _, d := f.grid.Segment(id).Closest(p)
		ok = d >= room
		return ok
	})
	return ok
}

// torn marks samples as no good where a neighbour tears: where it is far from
// that of the sample before, or comes near to another stretch of itself.
func (f *folder) torn(n flanks, points []plane.Point, arc []float64, closed bool) {
	total := arc[len(arc)-1]
	for _, side := range n.side {
		own := near.New(plane.Polyline(points).Bounds(), 2*f.line)
		var at []int
		for i := 1; i < len(points); i++ {
			if n.good[i-1] && n.good[i] {
				if d := side[i].Dist(side[i-1]); d > 3*(arc[i]-arc[i-1])+f.line/8 {
					n.good[i] = false
					continue
				}
				own.Add(side[i-1], side[i])
				at = append(at, i)
			}
		}
		for i := range points {
			if !n.good[i] {
				continue
			}
			room := side[i].Dist(points[i]) * 2 * nearerBy
			own.Near(side[i], side[i], room, func(id int) bool {
				way := math.Abs(arc[at[id]] - arc[i])
				if closed {
					way = min(way, total-way)
				}
				if way > 4*f.line {
					if _, _, d := own.Segment(id).Closest(side[i]); d < room {
						n.good[i] = false
					}
				}
				return n.good[i]
			})
		}
	}
}

// widen folds a strip where its neighbours stand too far off, and reports
// whether they do.
func (f *folder) widen(id, units int) bool {
	s := f.strips[id]
	if !f.anywhere(s, 2*units, func(gap float64) bool { return gap > f.wide*(1-roughly) }) {
		return false
	}
	points, arc := f.samples(s)
	n, any := f.flanks(s, points, units)
	if !any {
		return false
	}
	if s.closed {
		at := -1
		for i, good := range n.good {
			if !good {
				at = i
				break
			}
		}
		if at < 0 {
			f.torn(n, points, arc, true)
			for i, good := range n.good {
				if !good {
					at = i
					break
				}
			}
		}
		if at < 0 {
			for k, sign := range [2]int{1, -1} {
				side := n.side[k][:len(points)-1]
				next := f.add(append([]plane.Point(nil), side...), s.unit+sign*units)
				f.strips[next].closed = true
				f.enter(next)
			}
			return true
		}
		f.opened(id, points, at)
		s = f.strips[id]
		points, arc = f.samples(s)
		n, _ = f.flanks(s, points, units)
	}
	f.torn(n, points, arc, s.link[0] == 2*id+1)
	var made []run
	for _, r := range f.runs(s, arc, n.good, n.bad) {
		if f.leaves(&r, n, s.unit, units) {
			made = append(made, r)
		}
	}
	f.fold(id, points, arc, made, n, units)
	return true
}

// leaves reports whether the neighbours of a run with an open end leave the
// zone there; where they end inside, they are led on along their level.
func (f *folder) leaves(r *run, n flanks, unit, units int) bool {
	for k, sign := range [2]int{1, -1} {
		level := f.levelOf(unit + sign*units)
		side := n.side[k]
		if r.openStart && f.way(side[r.from], side[r.from+1], level) == nil ||
			r.openEnd && f.way(side[r.to], side[r.to-1], level) == nil {
			return false
		}
	}
	return true
}

// way returns the way along the level from p, away from before, until it is out
// of the zone; nil where it does not come out within some lines.
func (f *folder) way(p, before plane.Point, level float64) []plane.Point {
	out := []plane.Point{p}
	ahead := p.Sub(before).Unit()
	for range 40 {
		if !f.region.Contains(p) {
			return out
		}
		q, ok := f.toLevel(p.Add(ahead.Mul(f.line/2)), level, f.line/2)
		if !ok || q.Sub(p).Dot(ahead) <= 0 {
			return nil
		}
		ahead, p = q.Sub(p).Unit(), q
		out = append(out, p)
	}
	return nil
}

// fold splits a strip at its runs and ties in the neighbours.
func (f *folder) fold(id int, points []plane.Point, arc []float64, runs []run, n flanks, units int) {
	unit, begin := f.strips[id].unit, 0
	for _, r := range runs {
		// Turns are as slant as the diagonals beside them.
		late, early := r.from, r.to
		if !r.openStart {
			late = f.ahead(arc, r.from)
		}
		if !r.openEnd {
			early = f.behind(arc, r.to)
		}
		up := f.add(f.neighbour(n.side[0][late:r.to+1], r, f.levelOf(unit+units)), unit+units)
		down := f.add(f.neighbour(n.side[1][r.from:early+1], r, f.levelOf(unit-units)), unit-units)
		middle := id
		if r.openStart {
			f.strips[id].points = points[late : early+1]
		} else {
			middle = f.split(id, points[begin:r.from+1], points[late:early+1])
			f.tie(2*id+1, 2*up)
			f.tie(2*middle, 2*down)
		}
		if !r.openEnd {
			id, begin = f.split(middle, points[late:early+1], points[r.to:]), r.to
			f.tie(2*middle+1, 2*up+1)
			f.tie(2*id, 2*down+1)
		}
		f.enter(up)
		f.enter(down)
	}
}

// neighbour returns a neighbour of a run, led out of the zone at open ends.
func (f *folder) neighbour(side []plane.Point, r run, level float64) []plane.Point {
	var out []plane.Point
	if r.openStart {
		way := f.way(side[0], side[1], level)
		for i := len(way) - 1; i > 0; i-- {
			out = append(out, way[i])
		}
	}
	out = append(out, side...)
	if n := len(side); r.openEnd {
		out = append(out, f.way(side[n-1], side[n-2], level)[1:]...)
	}
	return out
}
