package thread

import (
	"math"

	"sheenlay/engine/fill/loops"
	"sheenlay/engine/fill/near"
	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// relax moves lines near the border sideways, to the middle between their
// neighbours. Lines meet a border that they do not follow at any distance;
// the gap or overlap of up to a line that this leaves is shared out among the
// next ones. Lines deeper than two widths stay, and so does bead along the
// border. Level lines move only as far as keeps their lay: from one place to
// the next the move changes by at most tol.ThreadRelaxSlope of the way between
// them. Where beads would meet, they move less.
func (w *work) relax(b *border, beads []loops.Loop) []loops.Loop {
	r := relaxer{work: w, border: b, base: make([]loops.Loop, len(beads)), steep: math.Inf(1)}
	if w.area.Lay.Field != nil {
		r.steep = tol.ThreadRelaxSlope
	}
	for i, l := range beads {
		if w.ctx.Err() != nil {
			return beads
		}
		r.base[i] = r.divided(l)
		n := r.base[i].Segments()
		r.move = append(r.move, make([]float64, n))
		r.free = append(r.free, r.mayMove(r.base[i]))
	}
	moved, one := r.base, []*border{b}
	for range tol.ThreadRelaxRounds {
		x := w.indexed(moved)
		for i := range moved {
			if w.ctx.Err() != nil {
				return beads
			}
			for s, free := range r.free[i] {
				if free {
					r.move[i][s] += w.shift(one, x, i, s)
				}
			}
			r.soften(i)
		}
		moved = r.moved()
	}
	return r.apart(beads, moved)
}

// relaxer holds the beads of a part with the moves of their segments.
type relaxer struct {
	*work
	border *border
	base   []loops.Loop
	move   [][]float64 // of each segment, to its left, mm
	free   [][]bool    // the segment may move
	steep  float64     // most change of the move over the way
}

// divided returns a bead with its long segments near the border cut into
// pieces of about a line, so that a move can begin and end along them.
func (r *relaxer) divided(l loops.Loop) loops.Loop {
	if math.IsInf(r.steep, 1) {
		return l
	}
	out := loops.Loop{Open: l.Open}
	for s := range l.Segments() {
		if s%4096 == 0 && r.ctx.Err() != nil {
			return l
		}
		p, q := l.Segment(s)
		n := 1
		if l.Zone[s] != connector && p.Dist(q) > 2*r.area.Spacing && r.beside(p, q) {
			n = int(p.Dist(q) / r.area.Spacing)
		}
		for k := range n {
			out.Points = append(out.Points, p.Lerp(q, float64(k)/float64(n)))
			out.Width, out.Zone = append(out.Width, l.Width[s]), append(out.Zone, l.Zone[s])
			out.Border = append(out.Border, l.Border[s])
		}
	}
	if l.Open {
		out.Points = append(out.Points, l.Points[len(l.Points)-1])
	}
	return out
}

// beside reports whether a segment comes so near the border that it may move.
func (r *relaxer) beside(p, q plane.Point) bool {
	reach := tol.ThreadRelaxLines * r.area.Spacing
	found := false
	r.border.grid.Near(p, q, reach, func(id int) bool {
		found = r.border.grid.Segment(id).Dist(near.Segment{A: p, B: q}) < reach
		return !found
	})
	return found
}

// mayMove tells which segments of a bead may move.
func (r *relaxer) mayMove(l loops.Loop) []bool {
	out := make([]bool, l.Segments())
	for s := range out {
		if s%4096 == 0 && r.ctx.Err() != nil {
			return out
		}
		if l.Zone[s] != connector {
			p, q := l.Segment(s)
			middle := p.Lerp(q, 0.5)
			out[s] = r.beside(middle, middle)
		}
	}
	return out
}

// soften lowers the moves of a bead until they change by at most steep along
// the way, zero where a segment may not move.
func (r *relaxer) soften(i int) {
	l, move := r.base[i], r.move[i]
	n := len(move)
	if math.IsInf(r.steep, 1) || n < 2 {
		return
	}
	way := func(s int) float64 {
		if l.Zone[s] == connector {
			return 0 // its ends stay
		}
		a, b := l.Segment(s)
		return a.Dist(b)
	}
	rise := make([]float64, n) // most change from segment s−1 to s
	for s := range n {
		rise[s] = r.steep * min(way((s+n-1)%n), way(s))
	}
	limit := func(s, from int, rise float64) {
		most := math.Abs(move[from]) + rise
		if !r.free[i][from] {
			most = rise
		}
		move[s] = min(max(move[s], -most), most)
	}
	laps := 2 // round a closed bead a second time, for what lies before its start
	if l.Open {
		laps = 1
	}
	for k := 1; k < laps*n; k++ {
		limit(k%n, (k-1)%n, rise[k%n])
	}
	for k := laps*n - 1; k > 0; k-- {
		limit((k-1)%n, k%n, rise[k%n])
	}
}

// moved returns the beads as moved.
func (r *relaxer) moved() []loops.Loop {
	out := make([]loops.Loop, len(r.base))
	for i, l := range r.base {
		out[i] = l
		n := l.Segments()
		shift := r.move[i]
		out[i].Points = make([]plane.Point, len(l.Points))
		for k, p := range l.Points {
			before := k - 1
			if before < 0 && !l.Open {
				before = n - 1
			}
			if k >= n || before < 0 || l.Zone[k] == connector || l.Zone[before] == connector {
				out[i].Points[k] = p
				continue
			}
			a, q := l.Segment(before)
			_, c := l.Segment(k)
			out[i].Points[k] = r.within(p, corner(q.Sub(a).Unit(), c.Sub(p).Unit(), shift[before], shift[k]))
		}
	}
	return out
}

// within returns p moved by d, or as far as that stays inside the border.
func (r *relaxer) within(p, d plane.Point) plane.Point {
	if d == (plane.Point{}) {
		return p
	}
	return p.Add(d.Mul(borderAlong([]*border{r.border}, near.Segment{A: p, B: p.Add(d)})))
}

// apart takes moves back where beads meet: first near the place, then of the
// beads, then of all.
func (r *relaxer) apart(beads, moved []loops.Loop) []loops.Loop {
	for try := range relaxBacks {
		pairs := append(r.meetings(moved), r.folds(moved)...)
		if len(pairs) == 0 {
			return moved
		}
		for _, o := range pairs {
			if r.ctx.Err() != nil {
				return beads
			}
			r.still(int(o[0]), int(o[1]), try)
		}
		moved = r.moved()
	}
	return beads
}

// folds lists the segments, with their bead, that have become too short to be
// laid, or that the next one turns back on more sharply than it did.
func (r *relaxer) folds(moved []loops.Loop) [][2]int32 {
	var out [][2]int32
	for i, l := range moved {
		n := l.Segments()
		for s := range n {
			p, q := l.Segment(s)
			before, after := r.base[i].Segment(s)
			bad := p.Dist(q) < tol.FillShortestMM && before.Dist(after) >= tol.FillShortestMM
			if s+1 < n || !l.Open {
				next := (s + 1) % n
				_, c := l.Segment(next)
				_, end := r.base[i].Segment(next)
				still := p == before && q == after && c == end
				bad = bad || !still && foldsMore(q.Sub(p), c.Sub(q), after.Sub(before), end.Sub(after))
			}
			if bad {
				out = append(out, [2]int32{int32(i), int32(s)})
			}
		}
	}
	return out
}

// foldsMore reports whether the way along u and v turns back within 20° of its
// own, and has come nearer to that than along a and b by half, or over it.
func foldsMore(u, v, a, b plane.Point) bool {
	const cos20 = 0.93969
	lengths := u.Norm() * v.Norm()
	if u.Dot(v) >= -cos20*lengths {
		return false
	}
	now, was := u.Cross(v)/lengths, a.Cross(b)/(a.Norm()*b.Norm())
	return now*was <= 0 || a.Dot(b) >= 0 || math.Abs(now) < math.Abs(was)/2
}

// relaxBacks is how often moves are taken back, each time over more of the way.
const relaxBacks = 6

// still takes back the moves of a bead within some segments of one of them, in
// the end of the whole bead.
func (r *relaxer) still(i, s, try int) {
	n := len(r.move[i])
	reach := 4 << (2 * try)
	if 2*reach >= n || try >= relaxBacks-2 {
		clear(r.move[i])
		clear(r.free[i])
		return
	}
	for k := -reach; k <= reach; k++ {
		at := s + k
		if !r.base[i].Open {
			at = (at + n) % n
		}
		if at >= 0 && at < n {
			r.move[i][at], r.free[i][at] = 0, false
		}
	}
	r.soften(i)
}

// shift returns how far a segment is to move to its left.
func (w *work) shift(b []*border, x indexed, i, s int) float64 {
	left := w.flank(b, x, i, s, tol.ThreadRelaxLines, 1)
	right := w.flank(b, x, i, s, tol.ThreadRelaxLines, -1)
	switch {
	case left.of == nothing && right.of == bareBorder: // a turn, open behind
		left.distance = w.area.Spacing
	case right.of == nothing && left.of == bareBorder:
		right.distance = w.area.Spacing
	case left.of == nothing || right.of == nothing:
		return 0
	}
	most := tol.ThreadRelaxMostLines * w.area.Spacing
	return min(max((left.distance-right.distance)/4, -most), most)
}

// flank is what a segment has beside it.
type flank struct {
	of       flankOf
	distance float64 // mm; for a bare border, of the segment's mirror image beyond it
}

type flankOf int8

const (
	nothing    flankOf = iota // within reach
	bead                      // the middle of other bead
	bareBorder                // the border, with no bead on it
)

// flank looks to the left (sign 1) or to the right (sign −1) of segment s of
// bead i, as far as some lines: from its middle, or when it is longer than a
// line from three places, of which the nearest neighbour counts.
func (w *work) flank(borders []*border, x indexed, i, s int, lines, sign float64) flank {
	from, to := x.beads[i].Segment(s)
	reach := lines * w.area.Spacing
	across := to.Sub(from).Unit().Left().Mul(sign * reach)
	shares := [3]float64{0.5, 0.15, 0.85}
	n := 1
	if w.area.Lay.Field == nil && from.Dist(to) > 1.5*w.area.Spacing {
		n = len(shares)
	}
	best := flank{distance: math.Inf(1)}
	for _, at := range shares[:n] {
		p := from.Lerp(to, at)
		ray := near.Segment{A: p, B: p.Add(across)}
		if share, hit := x.look(i, s, ray); hit {
			if best.of != bead || share*reach < best.distance {
				best = flank{bead, share * reach}
			}
		} else if t := borderAlong(borders, ray); t < 1 && best.of != bead {
			best = flank{bareBorder, min(best.distance, 2*t*reach+w.area.Spacing)}
		}
	}
	return best
}

// borderAlong returns the share of a ray at which it first meets a border, 1
// for nowhere.
func borderAlong(borders []*border, ray near.Segment) float64 {
	best := 1.0
	for _, b := range borders {
		b.grid.Near(ray.A, ray.B, 0, func(id int) bool {
			if t, ok := meets(ray, b.grid.Segment(id)); ok {
				best = min(best, t)
			}
			return true
		})
	}
	return best
}

// corner returns the move of a corner whose segments, of directions u and v,
// move to their left by p and q.
func corner(u, v plane.Point, p, q float64) plane.Point {
	if det := u.Cross(v); det > 0.5 || det < -0.5 {
		// δ·left(u) = p and δ·left(v) = q.
		return v.Mul(p / det).Sub(u.Mul(q / det))
	}
	return u.Left().Mul(p / 2).Add(v.Left().Mul(q / 2))
}
