package fill

import (
	"math"

	"sheenlay/engine/fill/near"
	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// A row's bead ends half a line before a border. Where the border is slanted,
// the row's strip goes on beyond that end and runs out in a tip. A zigzag's
// turn covers the tip of one of its two rows; of the other, and of the row a
// zigzag begins or ends with, the tip would stay bare. So beads are drawn out
// into tips, thinner and nearer to the border the farther they go.
//
//	   row ─────────────╮ end        row ──────────────╮ end
//	                     ╲                              ╲╲
//	   row ───────────────╯          row ────────────────╯╲
//	             (bare)    border                  tip ────╯ border

// drawnOut lays the turn from row k to row k+1 into the tips of their strips,
// and reports false, with nothing laid, where the border is too steep, too
// crooked or the rows too short for that.
func (f *furrow) drawnOut(b *path, rows fit, k int, right bool) bool {
	y, up := rows.y(k), rows.y(k+1)
	o := f.outline(right, y, up)
	start, end := f.end(y, right), f.end(up, right)
	if math.Abs(o.lean) < tol.FillTipLean || f.g.plain {
		return false
	}
	if f.faced(start.Lerp(end, 0.5)) {
		o.inset, o.draw = (f.g.spacing-f.g.min)/2-tol.FillOverhangMM, 0
	}
	rise := (f.g.adapted(rows.h) - f.g.min) / 2
	out := o.inset * math.Hypot(1, o.lean)
	longer := up // height of the row that reaches out farther
	if o.lean < 0 {
		longer = y
	}
	lo, hi := f.room(longer)
	need := f.g.spacing + 1.2*(rise*math.Abs(o.lean)+out)
	if rise <= 0 || o.inset <= 0 || hi-lo < need || !o.straight(y+0.25*(up-y)) ||
		!o.straight(y+0.5*(up-y)) || !o.straight(y+0.75*(up-y)) {
		return false
	}
	// Between heights from and to the bead keeps to the border; the row that
	// reaches out farther has its tip beyond them, unless it is the first or
	// the last, which ends at the pole.
	from, to, tip := y, up-rise, y-rise
	inner := k > 0
	if o.lean > 0 {
		from, to, tip = y+rise, up, up+rise
		inner = k+1 < rows.n-1
	}
	inner = inner && tip > f.y[0] && tip < f.y[len(f.y)-1] &&
		2*rise*math.Abs(o.lean) < tol.FillTipMostMM && o.straight(tip)
	if inner {
		from, to = min(from, tip), max(to, tip)
	}
	if inner && math.Abs(o.lean) < tol.FillTipFold && o.draw > 0 {
		return f.drawnAlong(b, o, start, end, out)
	}
	low, high := o.lean > 0 || inner, o.lean < 0 || inner // ends drawn out
	drawn := plane.Point{X: o.sign * o.draw * out}
	way := make([]plane.Point, 0, 16)
	if low {
		start = start.Add(drawn)
		way = append(way, o.tip(from))
	}
	goal := end
	if high {
		end = end.Add(drawn)
		goal = o.tip(to)
	}
	for i := f.above(from); i < len(f.y) && f.y[i] < to; i++ {
		q, last := o.tip(f.y[i]), start
		if len(way) > 0 {
			last = way[len(way)-1]
		}
		// Nearer points than half a line lead back close to the row.
		if min(q.Dist(last), q.Dist(goal)) > f.g.spacing/2 {
			way = append(way, q)
		}
	}
	if high {
		way = append(way, goal)
	}
	n := len(b.points)
	short := low && way[0].Dist(start) < tol.FillShortestMM || high && goal.Dist(end) < tol.FillShortestMM
	if short || (inner && len(way) < 2) || !simple(b.points[n-2], start, way, end, f.end(up, !right)) {
		return false
	}
	var line [20]plane.Point
	if f.leaves(append(append(append(line[:0], start), way...), end)...) {
		return false
	}
	b.points[n-1] = start
	mean := (f.pair(y) + f.g.min) / 2
	for i, q := range way {
		width := f.g.min
		if i == 0 && low {
			width = mean
		}
		b.to(q, width, connector, true)
	}
	if high {
		b.to(end, mean, connector, true)
	} else {
		b.to(end, f.g.min, connector, true)
	}
	return true
}

// drawnAlong lays the turn with the row that reaches out farther drawn out along
// itself as far as a thin bead goes.
func (f *furrow) drawnAlong(b *path, o outline, start, end plane.Point, out float64) bool {
	drawn := plane.Point{X: o.sign * out}
	near, far := f.pair(start.Y), f.g.min // widths of the connector's ends
	after := f.end(end.Y, !o.right)
	if o.lean > 0 {
		end = end.Add(drawn)
	} else {
		start = start.Add(drawn)
		near, far = far, near
	}
	n, middle := len(b.points), start.Lerp(end, 0.5)
	if f.leaves(start, end) || !simple(b.points[n-2], start, []plane.Point{middle}, end, after) {
		return false
	}
	b.points[n-1] = start
	b.to(middle, (3*near+far)/4, connector, true)
	b.to(end, (near+3*far)/4, connector, true)
	return true
}

// leaves reports whether a thin bead along a line comes too near to the border
// of the face.
func (f *furrow) leaves(line ...plane.Point) bool {
	if f.g.walls == nil {
		return false
	}
	room, out := f.g.min/2-tol.FillOverhangMM-tol.Coincident, false
	for i := 1; i < len(line) && !out; i++ {
		s := near.Segment{A: f.frame.Out(line[i-1]), B: f.frame.Out(line[i])}
		f.g.walls.Near(s.A, s.B, room, func(id int) bool {
			out = f.g.walls.Segment(id).Dist(s) < room
			return !out
		})
	}
	return out
}

// outline is one side of the room between two rows.
type outline struct {
	f     *furrow
	right bool
	sign  float64 // of outward
	y, x  float64 // where the first row ends; x outward
	lean  float64 // how far the border runs outward per mm of height
	inset float64 // how far a thin bead moves out towards the border
	draw  float64 // share of that by which rows are drawn out
}

func (f *furrow) outline(right bool, y, up float64) outline {
	o := outline{f: f, right: right, sign: -1, y: y, draw: tol.FillTipRowShare}
	if right {
		o.sign = 1
	}
	o.inset = tol.FillTipOutShare * (f.g.spacing - f.g.min) / 2
	o.x = o.out(y)
	o.lean = (o.out(up) - o.x) / (up - y)
	return o
}

// out returns how far outward the room reaches at height y.
func (o outline) out(y float64) float64 { return o.sign * o.f.end(y, o.right).X }

// straight reports whether the border at height y lies close to the line
// through the ends of the two rows.
func (o outline) straight(y float64) bool {
	lo, hi := o.f.room(y)
	off := (o.out(y) - o.x - o.lean*(y-o.y)) / math.Hypot(1, o.lean)
	return hi > lo && math.Abs(off) < tol.FillTipBendLines*o.f.g.spacing
}

// tip returns the place of a thin bead's centre at the border at height y.
func (o outline) tip(y float64) plane.Point {
	step := 0.15 * o.f.g.spacing
	here := (o.out(y+step) - o.out(y-step)) / (2 * step)
	if here*o.lean < 0 || math.Abs(here) > 2*math.Abs(o.lean) {
		here = o.lean // a corner
	}
	return plane.Point{X: o.sign * (o.out(y) + o.inset*math.Hypot(1, here)), Y: y}
}

// simple reports whether a turn keeps off itself and the rows before and after
// it, also when it is simplified.
func simple(before, start plane.Point, way []plane.Point, after ...plane.Point) bool {
	var room [20]plane.Point
	all := append(append(append(room[:0], before, start), way...), after...)
	for i := 1; i < len(all); i++ {
		s := near.Segment{A: all[i-1], B: all[i]}
		for k := i + 2; k < len(all); k++ {
			if s.Dist(near.Segment{A: all[k-1], B: all[k]}) < 1.2*tol.FillSimplifyMM {
				return false
			}
		}
	}
	return true
}

// waypoint is a place with the width of the bead that leads to it.
type waypoint struct {
	plane.Point
	width float64
}

// lead returns the way on from the end of the first or the last row, outwards:
// through the thin part beyond it, or along a border that runs nearly along the
// row. It is empty where there is neither.
func (f *furrow) lead(rows fit, k int, right bool) []waypoint {
	side := 0
	if right {
		side = 1
	}
	if f.closed || rows.n < 2 || f.beyond[side] {
		return nil
	}
	way := f.flared(rows, k, right)
	if end := min(k, 1); f.stemmed(end, f.g) {
		way = f.stem(rows.y(k), end)
	}
	line := make([]plane.Point, len(way))
	for i, q := range way {
		line[i] = q.Point
	}
	y := rows.y(k)
	if n := len(line); n > 0 && (f.leaves(line...) || !simple(f.end(y, !right), f.end(y, right), line[:n-1], line[n-1])) {
		return nil
	}
	return way
}

// stem returns the way through the thin part beyond the low (0) or high end of
// a cell, whose last row lies at height y.
func (f *furrow) stem(y float64, end int) []waypoint {
	s, gap := f.stems[end], tol.FillStemGapLines*f.g.spacing
	from, to := min(s.y[len(s.y)-1], y-gap), s.y[0]
	if end == 1 {
		from, to = max(s.y[0], y+gap), s.y[len(s.y)-1]
	}
	if math.Abs(to-from) < gap || (to < from) != (end == 0) {
		return nil
	}
	middle := func(y float64) waypoint {
		lo, hi := s.at(y)
		return waypoint{plane.Point{X: (lo + hi) / 2, Y: y}, f.g.width}
	}
	return []waypoint{middle(from), middle(to)}
}

// flareSteps is the number of pieces a flare is laid in.
const flareSteps = 6

// flared returns the way from the end of the first or the last row out along a
// border that runs nearly along it, into the part of the row's strip by which
// the next row is longer.
func (f *furrow) flared(rows fit, k int, right bool) []waypoint {
	y, rise, side, end := rows.y(k), (f.g.adapted(rows.h)-f.g.min)/2, 0, min(k, 1)
	if right {
		side = 1
	}
	if k > 0 {
		rise = -rise
	}
	_, long := f.flare(side, end, f.g)
	if long < tol.FillFlareLines*f.g.spacing || f.spined(side, y) ||
		(long >= tol.FillFlareFarLines*f.g.spacing && !f.goesOn[end]) {
		return nil
	}
	o := f.outline(right, y, y+rise)
	lo, hi := f.room(y + rise)
	if hi-lo < f.g.spacing || math.Abs(rise) < tol.Coincident || o.lean*rise < tol.FillFlareLines*f.g.spacing {
		return nil
	}
	way := make([]waypoint, flareSteps)
	for i := range way {
		t := float64(i+1) / flareSteps
		t *= t // the border bends most near the row
		at := y + t*rise
		way[i] = waypoint{
			plane.Point{X: o.sign * (o.out(at) + t*o.inset*math.Hypot(1, o.lean)), Y: at},
			(f.g.width + f.g.min) / 2,
		}
	}
	return way
}
