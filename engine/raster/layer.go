package raster

import "sheenlay/engine/plane"

// This file contains the laying of one path.

// trail remembers the last pieces of a path. Eight joined pieces span the stretch
// unless the path curls tighter than its own width.
type trail struct {
	pieces [8]piece // piece k lies at k mod 8
	known  int
}

func (t *trail) push(p piece) {
	t.pieces[t.known%len(t.pieces)] = p
	t.known++
}

// latest returns the piece pushed last.
func (t *trail) latest() piece { return t.pieces[(t.known+len(t.pieces)-1)%len(t.pieces)] }

// before fills out with the bead of the stretch (pixels) of path before p, the
// latest first, and returns how many capsules that takes.
func (t *trail) before(p piece, stretch float64, out *[8]capsule) int {
	n := 0
	start := p.end - p.b.Dist(p.a)
	for k := t.known - 1; k >= max(0, t.known-len(t.pieces)); k-- {
		q := &t.pieces[k%len(t.pieces)]
		left := stretch - (start - q.end)
		if left <= 0 {
			break
		}
		from := q.a
		if length := q.b.Dist(q.a); length > left {
			from = q.b.Lerp(q.a, left/length)
		}
		out[n] = newCapsule(from, q.b, q.r)
		n++
	}
	return n
}

// layer lays the pieces of a path, each without the bead of the stretch of path
// just before it.
//
// While the path goes on in about one direction it never comes back over itself,
// so every pixel of that run counts once whatever the division into pieces. The
// rows of a run are gathered and counted when it ends: the same counts as piece
// by piece, at a fraction of the cost.
type layer struct {
	*Counts
	stretch float64 // pixels
	behind  trail
	length  float64 // of path so far, pixels
	axis    plane.Point
	since   float64 // length of path at which the axis was taken
	open    bool    // rows are being gathered
	recent  [8]capsule
}

// runCosine is the least cosine between the axis of a run and its pieces.
// Within it two places of a run that are a stretch of path apart are at least
// runCosine stretches apart, so beads no wider than that do not meet.
const runCosine = 0.87

// pass goes along p without laying it.
func (l *layer) pass(p piece) {
	l.length += p.b.Dist(p.a)
	p.end = l.length
	l.behind.push(p)
}

// add lays p.
func (l *layer) add(p piece) {
	start, before := l.length, l.behind.latest()
	l.length += p.b.Dist(p.a)
	p.end = l.length
	body := newCapsule(p.a, p.b, p.r)
	if way := p.b.Sub(p.a); before.b != p.a || !(way.Dot(l.axis) > runCosine*way.Norm()) || 2*p.r >= runCosine*l.stretch {
		l.close()
		l.axis, l.since = way.Unit(), start
		if 2*p.r >= runCosine*l.stretch {
			l.axis = plane.Point{}
		}
	}
	if !l.open || !l.gather(&body, body.joint(p, before)) {
		l.close()
		recent := l.recent[:l.behind.before(p, l.stretch, &l.recent)]
		// A run is gathered once all of the stretch behind belongs to it.
		if start-l.since < l.stretch || !l.begin(recent) || !l.gather(&body, neither) {
			l.close()
			l.addFresh(&body, recent)
		} else {
			l.open = true
		}
	}
	l.behind.push(p)
}

// begin starts gathering with bead that is counted already. It reports false
// where that does not hang together row by row.
func (l *layer) begin(counted []capsule) bool {
	w := &l.work
	w.room(l.Rows)
	for k := range counted {
		if !l.gather(&counted[k], neither) {
			w.clear()
			return false
		}
	}
	copy(w.done.from[w.low:w.high], w.known.from[w.low:w.high])
	copy(w.done.to[w.low:w.high], w.known.to[w.low:w.high])
	return true
}

// gather adds body to the rows gathered. It reports false, and adds nothing,
// where some row would fall into two stretches.
func (l *layer) gather(body *capsule, covered end) bool {
	first, last := l.rows(body)
	if first > last {
		return true
	}
	w := &l.work
	s := w.body.of(last - first + 1)
	body.borders(s, first, l.Columns, covered)
	from, to := w.known.from[first:], w.known.to[first:]
	for i, f := range s.from {
		if t := s.to[i]; f < t && to[i] > 0 && (f > to[i] || t < from[i]) {
			return false
		}
	}
	for i, f := range s.from {
		switch t := s.to[i]; {
		case f >= t:
		case to[i] == 0:
			from[i], to[i] = f, t
		default:
			from[i], to[i] = min(from[i], f), max(to[i], t)
		}
	}
	w.use(first, last)
	return true
}

// close counts what was gathered.
func (l *layer) close() {
	w := &l.work
	for j := w.low; j < w.high; j++ {
		at := j * l.Stride
		from, to := at+int(w.known.from[j]), at+int(w.known.to[j])
		if w.done.to[j] > 0 {
			bump(l.Cells, from, at+int(w.done.from[j]))
			from = at + int(w.done.to[j])
		}
		bump(l.Cells, from, to)
	}
	w.clear()
	l.open = false
}

// addNear marks the pixels of body, which has the latest part of a path; what is
// still to be marked is gathered.
func (c *Counts) addNear(body *capsule, covered end) {
	first, last := c.rows(body)
	if first > last {
		return
	}
	w := &c.work
	w.room(c.Rows)
	s := w.body.of(last - first + 1)
	body.borders(s, first, c.Columns, covered)
	from, to := w.known.from[first:], w.known.to[first:]
	for i, f := range s.from {
		switch t := s.to[i]; {
		case f >= t:
		case to[i] > 0 && f <= to[i] && t >= from[i]:
			from[i], to[i] = min(from[i], f), max(to[i], t)
		default:
			at := (first + i) * c.Stride
			mark(c.Cells, at+int(from[i]), at+int(to[i]))
			from[i], to[i] = f, t
		}
	}
	w.use(first, last)
}

// markNear marks what addNear has gathered.
func (c *Counts) markNear() {
	w := &c.work
	for j := w.low; j < w.high; j++ {
		at := j * c.Stride
		mark(c.Cells, at+int(w.known.from[j]), at+int(w.known.to[j]))
	}
	w.clear()
}

// work is the scratch memory of Counts.
type work struct {
	body, other strip
	// known and done hold one stretch for each row of the grid: all that was
	// gathered, and the part of it that is counted already. Between paths all are
	// empty, 0 to 0. Rows low … high − 1 are in use.
	known, done strip
	low, high   int
}

// room gives known and done their n rows.
func (w *work) room(n int) {
	if len(w.known.from) < n {
		w.known, w.done = strip{make([]int32, n), make([]int32, n)}, strip{make([]int32, n), make([]int32, n)}
	}
}

// use widens the rows in use to first … last.
func (w *work) use(first, last int) {
	if w.low == w.high {
		w.low, w.high = first, last+1
		return
	}
	w.low, w.high = min(w.low, first), max(w.high, last+1)
}

// clear empties the rows in use.
func (w *work) clear() {
	if w.low < w.high {
		clear(w.known.to[w.low:w.high])
		clear(w.done.to[w.low:w.high])
	}
	w.low, w.high = 0, 0
}
