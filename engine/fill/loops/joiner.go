package loops

import (
	"cmp"
	"context"
	"math"
	"slices"
	"sort"

	"sheenlay/engine/fill/near"
	"sheenlay/engine/internal/sorting"
	"sheenlay/engine/plane"
)

// joiner holds the loops with arc positions, the places already cut, and the
// links already laid.
type joiner struct {
	opt     Options
	loops   []Loop
	arc     [][]float64 // arc position of each point, and the length at the end
	cuts    [][]cut     // per loop, ascending
	links   []bridge
	box     plane.Box
	grid    *near.Grid // segments of all loops, then links
	owner   []place    // per grid segment
	walls   *near.Grid
	group   []int32 // union-find
	hasEnds []bool  // per group: holds the open loop
	left    int
	room    float64   // clearance of links in this pass
	size    []float64 // length of each loop
}

// place names a segment of a loop; loop −1 is a link.
type place struct{ loop, segment int32 }

// cut is a stretch taken out of a loop, from lo to hi in arc position. hi may
// exceed the length of a closed loop.
type cut struct {
	lo, hi float64
	bridge int32
	side   int8 // 0 or 1: which loop of the bridge this is
}

// bridge links two cuts: the low end of cut p to the low (or, crossed, the
// high) end of cut q, and the other two.
type bridge struct {
	loop    [2]int32
	at      [2]float64 // middle of the cuts, arc position
	low     [2]plane.Point
	high    [2]plane.Point
	crossed bool
	gap     float64 // length of the cuts
}

// candidate is a place for a bridge.
type candidate struct {
	loop [2]int32
	at   [2]float64
	same bool // the two run the same way
	gap  float64
	cost float64
}

// From closePass on links may come closer to other bead, by the factor
// closeRoom; the last pass also cuts less out, to get through places where two
// beads lie closer than usual, and reaches farther, by the factor farReach.
const (
	passes     = 4
	closePass  = 2
	closeRoom  = 0.6
	narrowPass = 3
	narrowGap  = 0.6
	farReach   = 2
)

func newJoiner(loops []Loop, opt Options) *joiner {
	j := &joiner{opt: opt, loops: loops, left: len(loops)}
	box, count := plane.EmptyBox(), 0
	for _, l := range loops {
		box = box.Union(plane.Polyline(l.Points).Bounds())
		count += l.Segments()
	}
	j.box = box.Grow(opt.Width)
	j.grid = near.New(j.box, 2*opt.Width)
	j.grid.Expect(count)
	j.owner = make([]place, 0, count)
	j.walls = near.New(j.box, 4*opt.Width)
	j.arc = make([][]float64, len(loops))
	j.cuts = make([][]cut, len(loops))
	j.group = make([]int32, len(loops))
	j.size = make([]float64, len(loops))
	j.hasEnds = make([]bool, len(loops))
	for i, l := range loops {
		j.group[i], j.hasEnds[i] = int32(i), l.Open
		n := l.Segments()
		arc := make([]float64, n+1)
		for s := range n {
			a, b := l.Segment(s)
			arc[s+1] = arc[s] + a.Dist(b)
			j.grid.Add(a, b)
			j.owner = append(j.owner, place{int32(i), int32(s)})
		}
		j.arc[i], j.size[i] = arc, arc[n]
	}
	for _, ring := range opt.Wall {
		for i, a := range ring {
			j.walls.Add(a, ring[(i+1)%len(ring)])
		}
	}
	return j
}

func (j *joiner) find(i int32) int32 {
	for j.group[i] != i {
		j.group[i] = j.group[j.group[i]]
		i = j.group[i]
	}
	return i
}

// candidates samples the loops and pairs each sample with the nearest point of
// every other loop around it, cheapest first. With some loops marked as first,
// only pairs of a marked and another loop count, which are few, so that samples
// of the others look for marked ones in a grid of their own.
func (j *joiner) candidates(ctx context.Context, pass int, first []bool) ([]candidate, error) {
	w := j.opt.Width
	reach, pitch := 1.5*w, 2.5*w
	gap := j.opt.Gap
	if pass > 0 {
		reach, pitch = j.opt.Reach, 0.6*w
	}
	if pass == narrowPass {
		gap, pitch = narrowGap*gap, 0.25*w
		reach *= farReach
	}
	j.room = j.opt.Clearance
	if pass >= closePass {
		j.room *= closeRoom
	}
	main := j.largest()
	var marked *near.Grid
	var markedOwner []place
	if first != nil && pass > 0 {
		marked, markedOwner = j.only(first)
	}
	var out []candidate
	type best struct {
		loop     int32
		distance float64
		segment  int32
		share    float64
	}
	var found []best
	for i, l := range j.loops {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		if len(l.Points) < 3 && !l.Open || l.Segments() < 1 {
			continue
		}
		me := j.find(int32(i))
		if pass > 0 && me == main {
			continue
		}
		for s := range l.Segments() {
			if pass < 2 && l.Border != nil && !l.Border[s] {
				continue
			}
			a, b := l.Segment(s)
			length := j.arc[i][s+1] - j.arc[i][s]
			if length < 0.2*w && pass == 0 {
				continue
			}
			n := int(math.Ceil(length / pitch))
			for k := range n {
				p := a.Lerp(b, (float64(k)+0.5)/float64(n))
				found = found[:0]
				grid, owner := j.grid, j.owner
				if marked != nil && !first[i] {
					grid, owner = marked, markedOwner
				}
				grid.Near(p, p, reach, func(id int) bool {
					o := owner[id]
					if o.loop < 0 || (pass == 0 && int(o.loop) < i) || marked != nil && first[o.loop] == first[i] || j.find(o.loop) == me {
						return true // each pair is looked at from one side
					}
					_, t, d := grid.Segment(id).Closest(p)
					if d > reach {
						return true
					}
					at := slices.IndexFunc(found, func(f best) bool { return f.loop == o.loop })
					if at < 0 {
						found = append(found, best{o.loop, d, o.segment, t})
					} else if f := &found[at]; d < f.distance || (d == f.distance && o.segment < f.segment) {
						*f = best{o.loop, d, o.segment, t}
					}
					return true
				})
				if pass == 0 && len(found) > 1 { // the nearest will do, mostly
					sorting.By(found, func(a, b best) int {
						return cmp.Or(cmp.Compare(a.distance, b.distance), cmp.Compare(a.loop, b.loop))
					})
					found = found[:1]
				}
				for _, f := range found {
					if first != nil && first[f.loop] == first[i] {
						continue
					}
					oa, ob := j.loops[f.loop].Segment(int(f.segment))
					c := candidate{
						loop: [2]int32{int32(i), f.loop}, gap: gap,
						at: [2]float64{
							j.arc[i][s] + (float64(k)+0.5)/float64(n)*length,
							j.arc[f.loop][f.segment] + f.share*oa.Dist(ob),
						},
					}
					if j.price(&c, b.Sub(a), ob.Sub(oa), pass, reach) {
						out = append(out, c)
					}
				}
			}
		}
	}
	sorting.By(out, func(a, b candidate) int {
		return cmp.Or(cmp.Compare(a.cost, b.cost), cmp.Compare(a.loop[0], b.loop[0]),
			cmp.Compare(a.at[0], b.at[0]), cmp.Compare(a.loop[1], b.loop[1]))
	})
	return out, nil
}

// only returns a grid of the segments of the marked loops, and their owners.
func (j *joiner) only(marked []bool) (*near.Grid, []place) {
	g := near.New(j.box, 2*j.opt.Width)
	var owner []place
	for i, l := range j.loops {
		if !marked[i] {
			continue
		}
		for s := range l.Segments() {
			g.Add(l.Segment(s))
			owner = append(owner, place{int32(i), int32(s)})
		}
	}
	return g, owner
}

// largest returns the group with the most bead.
func (j *joiner) largest() int32 {
	sum := make([]float64, len(j.loops))
	main := int32(0)
	for i := range j.loops {
		g := j.find(int32(i))
		if sum[g] += j.size[i]; sum[g] > sum[main] {
			main = g
		}
	}
	return main
}

// price sets the sense and the cost of a candidate; false drops it.
func (j *joiner) price(c *candidate, u, v plane.Point, pass int, reach float64) bool {
	d := u.Dot(v)
	if c.same = d >= 0; pass == 0 && d*d < 0.25*u.Dot(u)*v.Dot(v) {
		return false
	}
	b, ok := j.ends(*c)
	if !ok {
		return false
	}
	first, second := b.links()
	limit := max(reach, j.opt.Reach)
	if first.A.Dist(first.B) > limit || second.A.Dist(second.B) > limit {
		return false
	}
	w := j.opt.Width
	// Links longer than the beads' distance lay bead twice; cutting round a
	// corner leaves it bare; links too near each other overlap.
	bent := 2*c.gap - b.low[0].Dist(b.high[0]) - b.low[1].Dist(b.high[1])
	apart := first.Dist(second)
	c.cost = math.Abs(first.A.Dist(first.B)-w) + math.Abs(second.A.Dist(second.B)-w) +
		2*bent + 2*max(0, 0.8*w-apart) + (j.opt.Gap - c.gap)
	return true
}

// ends places the cuts of a candidate; false where a cut does not fit.
func (j *joiner) ends(c candidate) (bridge, bool) {
	b := bridge{loop: c.loop, at: c.at, crossed: !c.same, gap: c.gap}
	half := c.gap / 2
	for k, l := range c.loop {
		total := j.arc[l][len(j.arc[l])-1]
		lo, hi := c.at[k]-half, c.at[k]+half
		if j.loops[l].Open {
			if lo < half || hi > total-half {
				return b, false
			}
		} else if total < 3*c.gap {
			return b, false
		}
		b.low[k], b.high[k] = j.point(l, lo), j.point(l, hi)
	}
	return b, true
}

// links returns the two links as segments from the first loop to the second.
func (b bridge) links() (near.Segment, near.Segment) {
	if b.crossed {
		return near.Segment{A: b.low[0], B: b.high[1]}, near.Segment{A: b.high[0], B: b.low[1]}
	}
	return near.Segment{A: b.low[0], B: b.low[1]}, near.Segment{A: b.high[0], B: b.high[1]}
}

// locate returns the segment at an arc position and the position wrapped.
func (j *joiner) locate(loop int32, at float64) (segment int, wrapped float64) {
	arc := j.arc[loop]
	total := arc[len(arc)-1]
	if !j.loops[loop].Open {
		at = math.Mod(at, total)
		if at < 0 {
			at += total
		}
	}
	s := sort.SearchFloat64s(arc, at)
	return min(max(s-1, 0), len(arc)-2), at
}

func (j *joiner) point(loop int32, at float64) plane.Point {
	s, at := j.locate(loop, at)
	arc := j.arc[loop]
	a, b := j.loops[loop].Segment(s)
	if arc[s+1] <= arc[s] {
		return a
	}
	return a.Lerp(b, (at-arc[s])/(arc[s+1]-arc[s]))
}

// try makes the bridge of a candidate if it joins two groups and is clean.
func (j *joiner) try(c candidate) {
	g, h := j.find(c.loop[0]), j.find(c.loop[1])
	if g == h || (j.hasEnds[g] && j.hasEnds[h]) {
		return
	}
	b, ok := j.ends(c)
	if !ok || !j.free(b, 0) || !j.free(b, 1) || !j.clean(b) {
		return
	}
	id := int32(len(j.links))
	j.links = append(j.links, b)
	for k, l := range b.loop {
		j.cuts[l] = append(j.cuts[l], cut{
			lo: b.at[k] - b.gap/2, hi: b.at[k] + b.gap/2, bridge: id, side: int8(k),
		})
	}
	first, second := b.links()
	for _, s := range [2]near.Segment{first, second} {
		j.grid.Add(s.A, s.B)
		j.owner = append(j.owner, place{-1, id})
	}
	j.group[max(g, h)] = min(g, h)
	j.hasEnds[min(g, h)] = j.hasEnds[g] || j.hasEnds[h]
	j.left--
}

// free reports whether the cut of side k keeps clear of the loop's other cuts.
func (j *joiner) free(b bridge, k int) bool {
	l := b.loop[k]
	total := j.arc[l][len(j.arc[l])-1]
	for _, c := range j.cuts[l] {
		room := 0.65 * (b.gap + c.hi - c.lo)
		d := math.Abs((c.lo+c.hi)/2 - b.at[k])
		if !j.loops[l].Open {
			d = math.Mod(d, total)
			d = min(d, total-d)
		}
		if d < room {
			return false
		}
	}
	return true
}

// clean reports whether the links of b keep clear of all bead, of each other,
// and of the walls.
func (j *joiner) clean(b bridge) bool {
	first, second := b.links()
	if first.Dist(second) < 0.5*j.room {
		return false
	}
	for _, link := range [2]near.Segment{first, second} {
		ok := true
		j.grid.Near(link.A, link.B, j.room, func(id int) bool {
			ok = j.clears(b, link, id)
			return ok
		})
		if !ok {
			return false
		}
		j.walls.Near(link.A, link.B, j.opt.WallRoom, func(id int) bool {
			ok = j.walls.Segment(id).Dist(link) >= j.opt.WallRoom
			return ok
		})
		if !ok {
			return false
		}
	}
	return true
}

// clears reports whether a link keeps clear of grid segment id. Near its own
// ends on the two loops it may come close, as the beads it joins do, but it
// must not cross them.
func (j *joiner) clears(b bridge, link near.Segment, id int) bool {
	o, s := j.owner[id], j.grid.Segment(id)
	if o.loop < 0 {
		return s.Dist(link) >= j.room
	}
	for k, l := range b.loop {
		if o.loop != l {
			continue
		}
		// Parts of the loop within the cut are taken out; parts just beside
		// it are the link's own approach.
		return j.clearsOwn(b, k, link, int(o.segment))
	}
	return s.Dist(link) >= j.room
}

// clearsOwn checks a link against one segment of a loop it starts from: the
// part inside the cut does not count, the part within one width beside the cut
// may be near but not crossed, and the rest keeps the clearance.
func (j *joiner) clearsOwn(b bridge, k int, link near.Segment, segment int) bool {
	l := b.loop[k]
	arc := j.arc[l]
	total := arc[len(arc)-1]
	half := b.gap / 2
	from, to := arc[segment], arc[segment+1]
	// Shift so that the cut's middle is nearest to the segment's middle.
	at := b.at[k]
	if !j.loops[l].Open {
		mid := (from + to) / 2
		at += total * math.Round((mid-at)/total)
	}
	end := link.A
	if k == 1 {
		end = link.B
	}
	check := func(lo, hi float64) bool { // the part of the segment from lo to hi
		if hi-lo < 1e-9 {
			return true
		}
		part := near.Segment{A: j.point(l, lo), B: j.point(l, hi)}
		if lo == from {
			part.A, _ = j.loops[l].Segment(segment)
		}
		if hi == to {
			_, part.B = j.loops[l].Segment(segment)
		}
		gap := max(lo-(at+half), (at-half)-hi)
		if gap < j.opt.Width {
			// A part that begins where the link begins touches it there.
			if part.A.Dist(end) < 1e-7 || part.B.Dist(end) < 1e-7 {
				far := part.B
				if part.B.Dist(end) < part.A.Dist(end) {
					far = part.A
				}
				other := link.A
				if end == link.A {
					other = link.B
				}
				// Along each other from the shared end would be a retrace.
				return far.Sub(end).Unit().Dot(other.Sub(end).Unit()) < 0.9
			}
			return part.Dist(link) > 0.25*j.room
		}
		return part.Dist(link) >= j.room
	}
	cutLo, cutHi := at-half, at+half
	if to <= cutLo || from >= cutHi {
		return check(from, to)
	}
	return check(from, max(from, cutLo)) && check(min(to, cutHi), to)
}
