package thread

import (
	"math"
	"slices"

	"sheenlay/engine/fill/near"
	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// leaveOut doubles the spacing of levels that stand units apart where that is
// too narrow: of four of them, three become one there. It reports whether they
// were anywhere.
func (f *folder) leaveOut(units int) bool {
	any := false
	for id, count := 0, len(f.strips); id < count; id++ {
		if f.ctx.Err() != nil {
			return false
		}
		if s := f.strips[id]; len(s.points) > 1 && s.unit%(4*units) == 0 {
			any = f.narrowed(id, units) || any
		}
	}
	return any
}

// narrowed folds a strip with its neighbours where they stand too near, and
// reports whether they do.
func (f *folder) narrowed(id, units int) bool {
	s := f.strips[id]
	if !f.anywhere(s, units, func(gap float64) bool { return gap < f.narrow*(1+roughly) }) {
		return false
	}
	points, arc := f.samples(s)
	// In twice its width a gap is laid as well as in its own at 1/√2 lines.
	enough := max(min(f.line/math.Sqrt2, f.wide/2), f.narrow)
	good, bad := make([]bool, len(points)), make([]bool, len(points))
	any, at := false, -1
	for i, p := range points {
		if rough, ok := f.roughGap(p, units); !ok || rough < enough*(1+roughly) {
			gap := f.gap(p, units)
			good[i], bad[i] = gap < enough, gap < f.narrow
			any = any || bad[i]
		}
		if !good[i] && at < 0 {
			at = i
		}
	}
	if !any {
		return false
	}
	if s.closed {
		if at < 0 {
			f.without(s, points, units)
			return true
		}
		f.opened(id, points, at)
		points = f.strips[id].points
		turned := func(v []bool) []bool { return append(append([]bool(nil), v[at:]...), v[1:at+1]...) }
		good, bad = turned(good), turned(bad)
		arc = arc[:1]
		for i := 1; i < len(points); i++ {
			arc = append(arc, arc[i-1]+points[i].Dist(points[i-1]))
		}
	}
	begin := 0
	for _, r := range f.runs(f.strips[id], arc, good, bad) {
		next, from, ok := f.join(id, points, arc, begin, r, units)
		if ok {
			id, begin = next, from
		}
	}
	return true
}

// without takes out the closed neighbours of a closed strip.
func (f *folder) without(s strip, points []plane.Point, units int) {
	for _, sign := range [2]int{1, -1} {
		middle := points[len(points)/2]
		q, ok := f.toLevel(middle, f.levelOf(s.unit+sign*units), 3*f.gap(middle, units))
		if at, found := f.find(q, s.unit+sign*units); ok && found && f.strips[at.strip].closed {
			f.strips[at.strip] = strip{link: [2]int{none, none}}
		}
	}
}

// spot is a place on a strip.
type spot struct {
	strip int
	after int     // the segment's first point
	at    float64 // arc position
	point plane.Point
}

// find returns the place on a strip of a level at p.
func (f *folder) find(p plane.Point, unit int) (spot, bool) {
	best, distance := spot{}, 10*tol.ThreadLevelMM
	for id, s := range f.strips {
		if s.unit != unit || len(s.points) < 2 || !plane.Polyline(s.points).Bounds().Grow(distance).Contains(p) {
			continue
		}
		n := len(s.points) - 1
		if s.closed {
			n++
		}
		arc := 0.0
		for i := range n {
			a, b := s.points[i], s.points[(i+1)%len(s.points)]
			q := plane.NearestOnSegment(a, b, p)
			if d := q.Dist(p); d < distance {
				best, distance = spot{id, i, arc + a.Dist(q), q}, d
			}
			arc += a.Dist(b)
		}
	}
	return best, distance < 10*tol.ThreadLevelMM
}

// stretch is the part of a neighbour that is taken out: from one place to the
// other, whichever way the strip runs; −1 for an end outside the zone.
type stretch struct {
	strip    int
	from, to *spot // nil: an end of the strip
	backward bool  // the strip runs against the one in the middle
}

// alongside finds the stretch of a neighbour beside samples from..to. At an open
// end the neighbour may leave the zone before they do.
func (f *folder) alongside(points []plane.Point, from, to, unit, units int, r run) (stretch, bool) {
	beside := func(i int) (spot, bool) {
		q, ok := f.toLevel(points[i], f.levelOf(unit), 3*f.gap(points[i], units))
		if !ok {
			return spot{}, false
		}
		return f.find(q, unit)
	}
	middle, ok := beside((from + to) / 2)
	if !ok {
		return stretch{}, false
	}
	reach := func(i, step int, open bool) (spot, bool) {
		for ; i != (from+to)/2; i += step {
			if s, ok := beside(i); ok && s.strip == middle.strip {
				return s, true
			} else if !open {
				return s, false
			}
		}
		return middle, true
	}
	a, okA := reach(from, 1, r.openStart)
	b, okB := reach(to, -1, r.openEnd)
	if !okA || !okB {
		return stretch{}, false
	}
	s := f.strips[a.strip]
	if s.closed {
		if r.openStart || r.openEnd {
			return stretch{}, false
		}
		// Opened on the way round that does not hold the middle one.
		lo, hi := min(a.after, b.after), max(a.after, b.after)
		at := (lo + hi + 1) / 2
		if min(a.at, b.at) <= middle.at && middle.at <= max(a.at, b.at) {
			at = (hi + 1) % len(s.points)
		}
		f.opened(a.strip, append(append([]plane.Point(nil), s.points...), s.points[0]), at)
		return f.alongside(points, from, to, unit, units, r)
	}
	if m := middle.at; m < min(a.at, b.at) || m > max(a.at, b.at) || a.at == b.at {
		return stretch{}, false
	}
	out := stretch{strip: a.strip, from: &a, to: &b, backward: a.at > b.at}
	side := 0
	if out.backward {
		side = 1
	}
	if r.openStart {
		out.from = nil
	}
	if r.openEnd {
		out.to = nil
	}
	if r.openStart && s.link[side] != none || r.openEnd && s.link[1-side] != none {
		return stretch{}, false
	}
	return out, true
}

// join makes one of a strip and its neighbours along a run. It returns the
// strip that goes on behind it, and the sample from which that does.
func (f *folder) join(id int, points []plane.Point, arc []float64, begin int, r run, units int) (next, from int, ok bool) {
	// Turns are as slant as the diagonals beside them.
	outer := [2]int{r.from, r.to}
	if !r.openStart {
		outer[0] = f.behind(arc, r.from)
	}
	if !r.openEnd {
		outer[1] = f.ahead(arc, r.to)
	}
	unit := f.strips[id].unit
	var cut [2]stretch
	for k, sign := range [2]int{1, -1} {
		from, to := [2]int{r.from, outer[0]}[k], [2]int{outer[1], r.to}[k]
		if cut[k], ok = f.alongside(points, from, to, unit+sign*units, units, r); !ok {
			return id, begin, false
		}
	}
	if cut[0].strip == cut[1].strip {
		return id, begin, false
	}
	for k, i := range [4]int{outer[0], r.from, r.to, outer[1]} {
		from := []*spot{cut[0].from, cut[1].from, cut[0].to, cut[1].to}[k]
		if from != nil && f.barred(points[i], from.point, id, cut[0].strip, cut[1].strip) {
			return id, begin, false
		}
	}
	up, down := f.takeOut(cut[0]), f.takeOut(cut[1])
	middle := id
	if r.openStart {
		f.strips[id].points = points[:r.to+1]
	} else {
		middle = f.split(id, points[begin:outer[0]+1], points[r.from:r.to+1])
		f.tie(2*id+1, up[0])
		f.tie(2*middle, down[0])
	}
	if r.openEnd {
		return middle, outer[1], true
	}
	next = f.split(middle, points[r.from:r.to+1], points[outer[1]:])
	f.tie(2*next, down[1])
	f.tie(2*middle+1, up[1])
	return next, outer[1], true
}

// barred reports whether a strip but three lies between two places, such as one
// that could not be left out before.
func (f *folder) barred(a, b plane.Point, but ...int) bool {
	way, box := near.Segment{A: a, B: b}, plane.Polyline{a, b}.Bounds()
	for id, s := range f.strips {
		if slices.Contains(but, id) {
			continue
		}
		for i := 1; i < len(s.points); i++ {
			p, q := s.points[i-1], s.points[i]
			if max(p.X, q.X) >= box.Min.X && min(p.X, q.X) <= box.Max.X && max(p.Y, q.Y) >= box.Min.Y && min(p.Y, q.Y) <= box.Max.Y &&
				way.Crosses(near.Segment{A: p, B: q}) {
				return true
			}
		}
	}
	return false
}

// takeOut takes a stretch out of a strip and returns the two ends that this
// leaves, the one before the run first.
func (f *folder) takeOut(c stretch) [2]int {
	s := f.strips[c.strip]
	lo, hi := c.from, c.to
	if c.backward {
		lo, hi = hi, lo
	}
	var ends [2]int
	before := []plane.Point(nil)
	if lo != nil {
		before = append(append(before, s.points[:lo.after+1]...), lo.point)
	}
	var after []plane.Point
	if hi != nil {
		after = append(append(after, hi.point), s.points[hi.after+1:]...)
	}
	switch {
	case lo == nil && hi == nil:
		f.strips[c.strip].points = nil
		return [2]int{none, none}
	case lo == nil:
		f.strips[c.strip].points = after
		ends = [2]int{none, 2 * c.strip}
	case hi == nil:
		f.strips[c.strip].points = before
		ends = [2]int{2*c.strip + 1, none}
	default:
		next := f.split(c.strip, before, after)
		ends = [2]int{2*c.strip + 1, 2 * next}
	}
	if c.backward {
		ends[0], ends[1] = ends[1], ends[0]
	}
	return ends
}
