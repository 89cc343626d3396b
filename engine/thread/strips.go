package thread

import (
	"context"
	"math"

	"sheenlay/engine/fill/near"
	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// Where the level lines of a field fan out beyond the widest bead, or draw
// together beyond the narrowest, lines come in or go out. A line that ends
// inside a zone would need a travel, so they do so in threes, by a fold: one
// line on one side is three on the other, slant so that little is bare there,
//
//	           ╱──────────── level + ½
//	──────────╱ ╱─────────── level
//	           ╱──────────── level − ½
//
// two of them tied by a turn. At both ends of a stretch the turn lies on
// opposite sides, so that a line stays one line.

// strip is a stretch of one level line, of which lines are put together.
type strip struct {
	points []plane.Point
	unit   int // level, in units of a ladder's step
	closed bool
	link   [2]int // of start and end: the end it goes on at, 2·strip + side; none outside the zone
}

// none stands for the end of a line.
const none = -1

// unitsPerStep is how many units of strips make a step of the ladder: a power
// of two, which bounds how finely steps are halved.
const unitsPerStep = 32

// folder puts lines in and leaves lines out.
type folder struct {
	ctx    context.Context
	field  pattern.Field
	levels *grid
	region plane.Region // the part of the inset that is laid
	ladder ladder
	line   float64 // spacing, mm
	narrow float64 // narrowest and widest spacing that is laid as it is, mm
	wide   float64
	strips []strip
	grid   *near.Grid // segments of all strips
}

// folded returns the lines with lines put in between those that stand too far
// apart, and left out among those that crowd.
func (w *work) folded(g *grid, l ladder, region plane.Region, lines []line, levels []int, apart, crowd bool) []line {
	f := &folder{
		ctx: w.ctx, field: g.field, levels: g, region: region, ladder: l, line: w.area.Spacing,
		narrow: w.narrowest(), wide: w.widest(),
	}
	for i, l := range lines {
		s := strip{points: l.points, closed: l.closed, unit: unitsPerStep * levels[i], link: [2]int{none, none}}
		f.strips = append(f.strips, s)
	}
	if crowd {
		for units := unitsPerStep; f.leaveOut(units) && units < 8*unitsPerStep; units *= 2 {
		}
	}
	if apart {
		f.index()
		for units := unitsPerStep / 2; units >= 1 && f.putIn(units); units /= 2 {
		}
	}
	return f.lines()
}

// gap returns how far apart levels stand at p that differ by some units.
func (f *folder) gap(p plane.Point, units int) float64 {
	slope := pattern.Slope(f.field, p).Norm()
	return float64(units) / unitsPerStep * f.ladder.step / slope
}

// roughGap is the gap by the nearest node of the grid, which costs no look at the
// field; false where the grid does not tell.
func (f *folder) roughGap(p plane.Point, units int) (float64, bool) {
	g := f.levels
	q := p.Sub(g.origin).Mul(1 / g.step)
	i, j := int(math.Round(q.X)), int(math.Round(q.Y))
	if i < 1 || j < 1 || i >= g.nx-1 || j >= g.ny-1 {
		return 0, false
	}
	at := j*g.nx + i
	if !g.have[at-1] || !g.have[at+1] || !g.have[at-g.nx] || !g.have[at+g.nx] || g.turns(at, 1) || g.turns(at, g.nx) {
		return 0, false
	}
	rise := math.Hypot(g.level[at+1]-g.level[at-1], g.level[at+g.nx]-g.level[at-g.nx]) / (2 * g.step)
	return float64(units) / unitsPerStep * f.ladder.step / rise, true
}

// anywhere reports whether the rough gap is off limits, or unknown, at a place of
// a strip; the places are a line apart.
func (f *folder) anywhere(s strip, units int, off func(gap float64) bool) bool {
	for i, a := range s.points {
		b := s.points[(i+1)%len(s.points)]
		if i == len(s.points)-1 && !s.closed {
			b = a
		}
		n := int(a.Dist(b)/f.line) + 1
		for k := range n {
			if gap, ok := f.roughGap(a.Lerp(b, float64(k)/float64(n)), units); !ok || off(gap) {
				return true
			}
		}
	}
	return false
}

// roughly is how far off the rough gap may be, as a share.
const roughly = 0.25

// levelOf returns the level of a unit.
func (f *folder) levelOf(unit int) float64 {
	return f.ladder.base + float64(float64(unit)/unitsPerStep*f.ladder.step)
}

// toLevel follows the slope from p to a level; false where it is not met within
// reach.
func (f *folder) toLevel(p plane.Point, level, reach float64) (plane.Point, bool) {
	return toLevel(f.field, p, level, reach, f.line/4)
}

// toLevel follows the slope of a field from p to a level, by Newton's steps of
// at most the given length; false where it is not met within reach.
func toLevel(field pattern.Field, p plane.Point, level, reach, longest float64) (plane.Point, bool) {
	q := p
	for range 24 {
		slope := pattern.Slope(field, q)
		n := slope.Norm()
		if !(n > 0) {
			return q, false
		}
		step := (level - field.Level(q)) / n
		if math.Abs(step) < tol.ThreadLevelMM {
			return q, p.Dist(q) <= reach
		}
		q = q.Add(slope.Mul(min(max(step, -longest), longest) / n))
		if !(p.Dist(q) <= 1.5*reach) {
			return q, false
		}
	}
	return q, false
}

// samples returns the points of a strip no farther apart than half a line, and
// their arc positions. A closed strip's first point comes again at the end.
func (f *folder) samples(s strip) (points []plane.Point, arc []float64) {
	from := s.points
	if s.closed {
		from = append(append([]plane.Point(nil), from...), from[0])
	}
	points, arc = append(points, from[0]), append(arc, 0)
	for i := 1; i < len(from); i++ {
		a, b := from[i-1], from[i]
		n := int(a.Dist(b)/(f.line/2)) + 1
		for k := 1; k <= n; k++ {
			points = append(points, a.Lerp(b, float64(k)/float64(n)))
			arc = append(arc, arc[len(arc)-1]+a.Dist(b)/float64(n))
		}
	}
	return points, arc
}

// run is a stretch of samples, both ends included, within which a strip and its
// neighbours are folded. An open end lies where the strip leaves the zone.
type run struct {
	from, to           int
	openStart, openEnd bool
}

// runs returns the stretches of good samples that hold a bad spot, are long
// enough to be worth two turns, and keep clear of the ends where the strip
// is folded already.
func (f *folder) runs(s strip, arc []float64, good, bad []bool) []run {
	var out []run
	n := len(arc)
	for i := 0; i < n; i++ {
		if !good[i] {
			continue
		}
		r, needed := run{from: i, to: i}, false
		for ; i < n && good[i]; i++ {
			r.to = i
			needed = needed || bad[i]
		}
		clear := turnLines * f.line
		r.openStart, r.openEnd = r.from == 0 && s.link[0] == none, r.to == n-1 && s.link[1] == none
		for !r.openStart && r.from < r.to && (arc[r.from] < 2*clear || len(out) > 0 && arc[r.from] < arc[out[len(out)-1].to]+2*clear) {
			r.from++
		}
		for !r.openEnd && r.from < r.to && arc[n-1]-arc[r.to] < 2*clear {
			r.to--
		}
		least := tol.ThreadFoldLines * f.line
		for _, open := range [2]bool{r.openStart, r.openEnd} {
			if open {
				least -= tol.ThreadFoldLines / 2 * f.line // no turn there
			}
		}
		if needed && r.to > r.from && arc[r.to]-arc[r.from] >= least {
			out = append(out, r)
		}
	}
	return out
}

// turnLines is how far (in lines) along the line the diagonal beside a turn runs.
const turnLines = 1.0

// ahead returns the first sample a turn's length after sample i, and behind the
// last one before it.
func (f *folder) ahead(arc []float64, i int) int {
	for k := i; k < len(arc); k++ {
		if arc[k]-arc[i] >= turnLines*f.line {
			return k
		}
	}
	return len(arc) - 1
}

func (f *folder) behind(arc []float64, i int) int {
	for k := i; k >= 0; k-- {
		if arc[i]-arc[k] >= turnLines*f.line {
			return k
		}
	}
	return 0
}

// opened makes a closed strip one whose ends are tied, with its start where at
// says.
func (f *folder) opened(id int, points []plane.Point, at int) {
	s := &f.strips[id]
	turned := append(append([]plane.Point(nil), points[at:]...), points[1:at+1]...)
	*s = strip{points: turned, unit: s.unit, link: [2]int{2*id + 1, 2 * id}}
}

// add adds a strip and returns its number.
func (f *folder) add(points []plane.Point, unit int) int {
	f.strips = append(f.strips, strip{points: points, unit: unit, link: [2]int{none, none}})
	return len(f.strips) - 1
}

// tie links two ends.
func (f *folder) tie(a, b int) {
	f.strips[a/2].link[a%2], f.strips[b/2].link[b%2] = b, a
}

// split cuts a strip after the points before and ahead of those after; the
// number of the strip that takes those after is returned, with the old end.
func (f *folder) split(id int, before, after []plane.Point) int {
	s := &f.strips[id]
	last := s.link[1]
	s.points, s.link[1] = before, none
	next := f.add(after, f.strips[id].unit)
	if last != none {
		f.tie(2*next+1, last)
	}
	return next
}

// lines puts the strips together.
func (f *folder) lines() []line {
	done := make([]bool, len(f.strips))
	var out []line
	follow := func(id, side int) (points []plane.Point, closed bool) {
		for first := true; ; first = false {
			if done[id] {
				return points, !first
			}
			done[id] = true
			p := f.strips[id].points
			if side == 1 {
				for i := len(p) - 1; i >= 0; i-- {
					points = append(points, p[i])
				}
			} else {
				points = append(points, p...)
			}
			next := f.strips[id].link[1-side]
			if next == none {
				return points, false
			}
			id, side = next/2, next%2
		}
	}
	put := func(points []plane.Point, closed bool) {
		points = withoutRepeats(points, closed)
		if len(points) > 1 && (!closed || len(points) > 2) {
			out = append(out, line{simplified(points, closed, tol.ThreadSimplifyMM), closed})
		}
	}
	for id := range f.strips {
		s := f.strips[id]
		for side := range 2 {
			if !done[id] && !s.closed && len(s.points) > 0 && s.link[side] == none {
				put(follow(id, side))
			}
		}
	}
	for id := range f.strips {
		if s := f.strips[id]; !done[id] && len(s.points) > 0 {
			if s.closed {
				done[id] = true
				put(s.points, true)
			} else {
				put(follow(id, 0))
			}
		}
	}
	return out
}
