package loops

import (
	"cmp"
	"slices"

	"sheenlay/engine/internal/sorting"
	"sheenlay/engine/plane"
	"sheenlay/engine/strand"
)

// result walks the loops over their bridges.
func (j *joiner) result() Result {
	res := Result{Bridges: len(j.links)}
	for _, b := range j.links {
		first, second := b.links()
		res.LinkLength += first.A.Dist(first.B) + second.A.Dist(second.B)
	}
	for l, cuts := range j.cuts {
		total := j.arc[l][len(j.arc[l])-1]
		for i := range cuts {
			if !j.loops[l].Open {
				for cuts[i].lo < 0 {
					cuts[i].lo, cuts[i].hi = cuts[i].lo+total, cuts[i].hi+total
				}
				for cuts[i].lo >= total {
					cuts[i].lo, cuts[i].hi = cuts[i].lo-total, cuts[i].hi-total
				}
			}
		}
		sorting.By(cuts, func(a, b cut) int { return cmp.Compare(a.lo, b.lo) })
	}
	done := make([]bool, len(j.loops))
	start := func(i int) {
		if done[i] {
			return
		}
		res.Loops = append(res.Loops, j.walk(i, done))
	}
	for i, l := range j.loops { // open ones first: their walk begins at an end
		if l.Open {
			start(i)
		}
	}
	for i := range j.loops {
		start(i)
	}
	sorting.Stable(res.Loops, func(a, b Loop) int { return cmp.Compare(b.Length(), a.Length()) })
	return res
}

// walk collects the bead that begins at the start of loop i, or for a closed
// loop at the end of its first cut.
func (j *joiner) walk(i int, done []bool) Loop {
	out := Loop{Open: j.loops[i].Open}
	done[i] = true
	if len(j.cuts[i]) == 0 {
		l := j.loops[i]
		l.Border = nil
		return l
	}
	loop, forward := int32(i), true
	at, index := 0.0, -1 // index of the cut just left, −1: the start of an open loop
	if !out.Open {
		index = 0
		at = j.cuts[i][0].hi
	}
	home := [2]int{i, index}
	for {
		done[loop] = true
		cuts := j.cuts[loop]
		total := j.arc[loop][len(j.arc[loop])-1]
		// The next cut in the direction of travel.
		next, to := 0, 0.0
		if forward {
			next = index + 1
			if next < len(cuts) {
				to = cuts[next].lo
			} else if j.loops[loop].Open {
				j.emit(&out, loop, at, total)
				return out
			} else {
				next = 0
				to = cuts[0].lo + total
			}
		} else {
			next = index - 1
			if next >= 0 {
				to = cuts[next].hi
			} else if j.loops[loop].Open {
				j.emit(&out, loop, at, 0)
				return out
			} else {
				next = len(cuts) - 1
				to = cuts[next].hi - total
			}
		}
		j.emit(&out, loop, at, to)
		// Across the link.
		c := cuts[next]
		b := j.links[c.bridge]
		fromLow := forward
		toLow := fromLow != b.crossed
		other := b.loop[1-c.side]
		out.Width = append(out.Width, j.opt.Width)
		out.Zone = append(out.Zone, strand.Connector)
		index = slices.IndexFunc(j.cuts[other], func(d cut) bool { return d.bridge == c.bridge && d.side == 1-c.side })
		loop, forward = other, !toLow
		if toLow {
			at = j.cuts[other][index].lo
		} else {
			at = j.cuts[other][index].hi
		}
		if !out.Open && int(loop) == home[0] && index == home[1] && forward {
			return out
		}
	}
}

// emit appends the points of a loop from arc position a to b (either way).
// Positions may run beyond the length of a closed loop.
func (j *joiner) emit(out *Loop, loop int32, a, b float64) {
	l, arc := j.loops[loop], j.arc[loop]
	n := l.Segments()
	total := arc[n]
	out.Points = append(out.Points, j.point(loop, a))
	add := func(p plane.Point, segment int) {
		zone := int32(strand.Connector)
		if l.Zone != nil {
			zone = l.Zone[segment]
		}
		out.Points = append(out.Points, p)
		out.Width = append(out.Width, l.Width[segment])
		out.Zone = append(out.Zone, zone)
	}
	const room = 1e-9
	wrap := func(at float64) (int, float64) { // segment and the base of its lap
		s, w := j.locate(loop, at)
		return s, at - w
	}
	if a <= b {
		s, base := wrap(a + room)
		for base+arc[s+1] < b-room {
			_, p := l.Segment(s)
			add(p, s)
			if s++; s == n {
				s, base = 0, base+total
			}
		}
		add(j.point(loop, b), s)
		return
	}
	s, base := wrap(a - room)
	for base+arc[s] > b+room {
		p, _ := l.Segment(s)
		add(p, s)
		if s--; s < 0 {
			s, base = n-1, base-total
		}
	}
	add(j.point(loop, b), s)
}
