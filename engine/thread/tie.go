package thread

import (
	"cmp"
	"math"
	"slices"

	"sheenlay/engine/fill/loops"
	"sheenlay/engine/fill/near"
	"sheenlay/engine/internal/sorting"
	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// tie says how the end of a piece goes on: to another end, along the border
// forwards or back, or along a tail of its own.
type tie struct {
	to      int32 // 2·piece + side; −1: nowhere
	forward bool
	tail    []plane.Point
}

// knot is an end of a piece on a ring of the border.
type knot struct {
	id int32 // 2·piece + side
	end
}

// tier ties the pieces of a part into beads.
type tier struct {
	*work
	made   *attempt
	b      *border
	pieces []piece
	near   *near.Grid // segments of all pieces
	ties   []tie      // by 2·piece + side
}

func newTier(w *work, a *attempt, b *border, pieces []piece) *tier {
	return &tier{work: w, made: a, b: b, pieces: pieces, ties: make([]tie, 2*len(pieces))}
}

// tie returns the beads that the pieces and stretches of border make.
func (t *tier) tie() []loops.Loop {
	pieces := t.pieces
	t.near = near.New(t.b.region.Bounds(), 2*t.area.Spacing)
	rings := make([][]knot, len(t.b.region))
	for i, p := range pieces {
		for k := range len(p.points) - 1 {
			t.near.Add(p.points[k], p.points[k+1])
		}
		if p.closed {
			t.near.Add(p.points[len(p.points)-1], p.points[0])
		}
		for side, e := range p.ends {
			t.ties[2*i+side].to = -1
			if !p.closed && !e.free {
				rings[e.ring] = append(rings[e.ring], knot{int32(2*i + side), e})
			}
		}
	}
	var out []loops.Loop
	for r, knots := range rings {
		sorting.By(knots, func(a, b knot) int {
			return cmp.Or(cmp.Compare(a.edge, b.edge), cmp.Compare(a.share, b.share), cmp.Compare(a.id, b.id))
		})
		if len(knots) == 0 {
			out = t.wholeRing(out, r)
			continue
		}
		t.tieRing(knots)
	}
	return t.collect(out)
}

// wholeRing adds a ring of the border that no line meets as a bead, unless
// lines run along it already.
func (t *tier) wholeRing(out []loops.Loop, r int) []loops.Loop {
	ring := t.b.region[r]
	points := simplified(append([]plane.Point(nil), ring...), true, tol.ThreadSimplifyMM)
	if len(points) < 3 {
		return out
	}
	points = t.offWall(points)
	room, length := 0.0, 0.0
	for i, a := range points {
		t.sample(a, points[(i+1)%len(points)], func(p plane.Point, part float64) {
			room += part * min(t.distance(p), t.area.Spacing)
			length += part
		})
	}
	if room < wholeRingRoom*t.area.Spacing*length {
		return out
	}
	l := loops.Loop{Points: points}
	for range points {
		l.Width, l.Zone = append(l.Width, t.area.Width), append(l.Zone, connector)
	}
	l.Border = t.welcome(l)
	return append(out, l)
}

// offWall moves a ring inwards where beads reach so far over the face's border
// that a bridge from it would come too near.
func (t *tier) offWall(ring []plane.Point) []plane.Point {
	nearest := math.Inf(1)
	for _, c := range t.area.Covers {
		nearest = min(nearest, c.Clearance)
	}
	d := tol.ThreadWallLines*t.area.Width - nearest
	if !(d > 0) {
		return ring
	}
	n := len(ring)
	out := make([]plane.Point, n)
	for i, p := range ring {
		before, after := p.Sub(ring[(i+n-1)%n]).Unit(), ring[(i+1)%n].Sub(p).Unit()
		out[i] = p.Add(corner(before, after, d, d)) // the inside is to the left
	}
	return out
}

// wholeRingRoom is the mean distance (in lines) to other bead from which a ring
// of the border is laid.
const wholeRingRoom = 0.6

// sample calls f with points evenly along a segment, and the length each
// stands for.
func (t *tier) sample(a, b plane.Point, f func(p plane.Point, part float64)) {
	length := a.Dist(b)
	n := int(length/(0.4*t.area.Spacing)) + 1
	for k := range n {
		f(a.Lerp(b, (float64(k)+0.5)/float64(n)), length/float64(n))
	}
}

// distance returns how far p is from the nearest piece, at most one spacing.
func (t *tier) distance(p plane.Point) float64 {
	best := t.area.Spacing
	t.near.Near(p, p, best, func(id int) bool {
		_, _, d := t.near.Segment(id).Closest(p)
		best = min(best, d)
		return true
	})
	return best
}

// gain tells what is won by laying bead along the border from one end to the
// next: the strip no longer bare less the strip laid twice, mm².
func (t *tier) gain(from, to knot) float64 {
	sum := 0.0
	a := t.b.point(from.end)
	step := func(b plane.Point) {
		t.sample(a, b, func(p plane.Point, part float64) {
			d := t.distance(p)
			sum += part * (d - tol.ThreadOverlapCost*(t.area.Spacing-d))
		})
		a = b
	}
	for _, p := range t.b.stretch(from.end, to.end) {
		step(p)
	}
	step(t.b.point(to.end))
	return sum
}

// tieRing ties the ends on one ring, in order round it, so that every second
// stretch between them becomes bead: of the two ways, or with an odd number of
// ends of all ways to leave one untied, the one that gains more.
func (t *tier) tieRing(knots []knot) {
	n := len(knots)
	gains := make([]float64, n)
	for i := range knots {
		if i%256 == 0 && t.ctx.Err() != nil {
			return
		}
		gains[i] = t.gain(knots[i], knots[(i+1)%n])
	}
	first := 0
	if n%2 == 0 {
		even, odd := 0.0, 0.0
		for i := 0; i < n; i += 2 {
			even, odd = even+gains[i], odd+gains[i+1]
		}
		if odd > even {
			first = 1
		}
	} else {
		// Leaving end i untied lays the stretches i+1, i+3, …, i+n−2. From i
		// to i+2 the stretch i+1 gives way to stretch i+n ≡ i.
		sum := 0.0
		for k := 1; k < n; k += 2 {
			sum += gains[k]
		}
		best, at := sum, 0
		for step, i := 0, 0; step < n; step++ {
			sum += gains[i] - gains[(i+1)%n]
			if i = (i + 2) % n; sum > best {
				best, at = sum, i
			}
		}
		t.tail(knots, at)
		first = at + 1
	}
	for k := 0; k+1 < n; k += 2 {
		a, b := knots[(first+k)%n].id, knots[(first+k+1)%n].id
		t.ties[a], t.ties[b] = tie{to: b, forward: true}, tie{to: a}
	}
}

// tail leads an end that stays untied along the border, the way that gains
// more, until other bead is near.
func (t *tier) tail(knots []knot, at int) {
	n := len(knots)
	here := knots[at]
	ahead, back := t.b.stretch(here.end, knots[(at+1)%n].end), t.b.stretch(knots[(at+n-1)%n].end, here.end)
	if n == 1 {
		ahead = t.whole(here.end)
		back = ahead
	}
	slices.Reverse(back)
	var best []plane.Point
	for k, corners := range [2][]plane.Point{slices.Clone(ahead), back} {
		next := knots[(at+1+k*(n-2+n))%n]
		path := t.run(t.b.point(here.end), append(corners, t.b.point(next.end)), here.id)
		if plane.Polyline(path).Length() > plane.Polyline(best).Length() {
			best = path
		}
	}
	if plane.Polyline(best).Length() > 2*t.area.Spacing {
		t.ties[here.id].tail = best
	}
}

// whole returns all corners of a ring, going on from an end.
func (t *tier) whole(e end) []plane.Point {
	ring := t.b.region[e.ring]
	var out []plane.Point
	for k := range ring {
		out = append(out, ring[(int(e.edge)+1+k)%len(ring)])
	}
	return out
}

// run follows the corners from a point as long as other bead keeps its
// distance; the first two lines of way lie beside the piece it comes from.
func (t *tier) run(from plane.Point, corners []plane.Point, id int32) []plane.Point {
	p := t.pieces[id/2].points
	far := p[0]
	if id%2 == 1 {
		far = p[len(p)-1]
	}
	path := []plane.Point{from}
	for _, c := range corners {
		a := path[len(path)-1]
		n := int(a.Dist(c)/(0.25*t.area.Spacing)) + 1
		for k := 1; k <= n; k++ {
			q := a.Lerp(c, float64(k)/float64(n))
			clear := tol.ThreadTailLines * t.area.Spacing
			if q.Dist(far) > 2*t.area.Spacing && t.distance(q) < clear || len(path) > 2 && q.Dist(far) < clear {
				return path
			}
			if k == n || k%4 == 0 {
				path = append(path, q)
			}
		}
	}
	return path
}

// collect walks from piece to piece over the ties: beads with free ends first,
// then the closed ones.
func (t *tier) collect(out []loops.Loop) []loops.Loop {
	done := make([]bool, len(t.pieces))
	for id := range t.ties {
		if id%1024 == 0 && t.ctx.Err() != nil {
			return out
		}
		if p := id / 2; !t.pieces[p].closed && !done[p] && t.ties[id].to < 0 {
			out = t.bead(out, int32(id), done, true)
		}
	}
	for i, p := range t.pieces {
		switch {
		case done[i] || i%256 == 0 && t.ctx.Err() != nil:
		case p.closed:
			l := loops.Loop{Points: p.points}
			for range p.points {
				l.Width, l.Zone = append(l.Width, t.area.Width), append(l.Zone, t.area.Zone)
			}
			l.Border = t.welcome(l)
			out = t.keep(out, l)
		default:
			out = t.bead(out, int32(2*i), done, false)
		}
	}
	return out
}

// bead collects the bead that goes into a piece by the end id.
func (t *tier) bead(out []loops.Loop, id int32, done []bool, open bool) []loops.Loop {
	l := loops.Loop{Open: open}
	add := func(p plane.Point, zone int32, welcome bool) {
		if l.Points = append(l.Points, p); len(l.Points) > 1 {
			l.Width, l.Zone = append(l.Width, t.area.Width), append(l.Zone, zone)
			l.Border = append(l.Border, welcome)
		}
	}
	if tail := t.ties[id].tail; open && len(tail) > 1 {
		for i := len(tail) - 1; i > 0; i-- {
			add(tail[i], connector, true)
		}
	}
	for start := id; ; {
		done[id/2] = true
		p := trimmed(slices.Clone(t.pieces[id/2].points))
		if id%2 == 1 {
			slices.Reverse(p)
		}
		t.through(p, add)
		leave := id ^ 1
		next := t.ties[leave]
		if next.to < 0 {
			for i := 1; i < len(next.tail); i++ {
				add(next.tail[i], connector, true)
			}
			break
		}
		a, b := t.pieces[leave/2].ends[leave%2], t.pieces[next.to/2].ends[next.to%2]
		if !next.forward {
			a, b = b, a
		}
		corners := t.b.stretch(a, b)
		if !next.forward {
			slices.Reverse(corners)
		}
		from := l.Points[len(l.Points)-1]
		to := t.b.point(t.pieces[next.to/2].ends[next.to%2])
		way := trimmed(append(append([]plane.Point{from}, corners...), to))
		for _, q := range way[1 : len(way)-1] {
			add(q, connector, true)
		}
		id = next.to
		if id == start {
			// The last segment closes the loop.
			l.Width, l.Zone, l.Border = append(l.Width, t.area.Width), append(l.Zone, connector), append(l.Border, true)
			break
		}
	}
	return t.keep(out, l)
}

// through adds the points of a piece; its first segment, from the bead before,
// is a stretch of border. Bridges are welcome within one width of the ends,
// where they make the turns of a comb.
func (t *tier) through(p []plane.Point, add func(p plane.Point, zone int32, welcome bool)) {
	length := plane.Polyline(p).Length()
	reach := t.area.Width
	lo, hi := reach, length-reach
	if hi-lo < reach {
		lo, hi = length, 0
	}
	add(p[0], connector, true)
	at := 0.0
	for i := 1; i < len(p); i++ {
		a, b := p[i-1], p[i]
		from, to := at, at+a.Dist(b)
		for _, cut := range [2]float64{lo, hi} {
			if cut > from+tol.FillShortestMM && cut < to-tol.FillShortestMM {
				add(a.Lerp(b, (cut-from)/(to-from)), t.area.Zone, (at+cut)/2 < lo || (at+cut)/2 > hi)
				at = cut
			}
		}
		add(b, t.area.Zone, (at+to)/2 < lo || (at+to)/2 > hi)
		at = to
	}
}

// welcome marks places for bridges on a closed line: a few, evenly spread, on
// segments long enough to be seen by the first look.
func (t *tier) welcome(l loops.Loop) []bool {
	out := make([]bool, l.Segments())
	length := l.Length()
	every := length / max(4, math.Round(length/(welcomeLines*t.area.Width)))
	next := 0.0
	at := 0.0
	for i := range out {
		a, b := l.Segment(i)
		d := a.Dist(b)
		if at += d; at >= next && d >= 0.2*t.area.Width {
			out[i] = true
			next = at + every
		}
	}
	return out
}

// welcomeLines is the distance (in lines) of places for bridges on closed lines.
const welcomeLines = 15.0

// keep adds a bead unless it is too short to be more than a dot, or a sliver
// with no room for a bridge, which would take a travel of its own (the fill
// itself leaves out shorter ones that it cannot join).
func (t *tier) keep(out []loops.Loop, l loops.Loop) []loops.Loop {
	if length := l.Length(); !l.Open && length > tol.FillCrumbLines*t.area.Width && length < tol.ThreadSliverLines*t.area.Width &&
		2*math.Abs(plane.Ring(l.Points).Area()) < tol.ThreadSliverThick*t.area.Width*length {
		t.made.leftOut(l, t.area.Min/2, "thread-sliver", "A sliver between a line and the border has no room for a bridge and is left to the beads beside it.", "Move the pattern a little.")
		return out
	}
	if l.Length() < tol.ThreadShortLoopLines*t.area.Width || len(l.Points) < 2 || !l.Open && len(l.Points) < 3 {
		if len(l.Points) > 0 {
			t.made.leftOut(l, t.area.Width, "thread-dot", "A corner too small for a loop of bead is left to the beads beside it.", "Use larger shapes.")
		}
		return out
	}
	return append(out, l)
}
