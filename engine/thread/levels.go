package thread

import (
	"context"
	"math"

	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// maxCorners bounds the corners of the lines of one zone. Reason: 48 bytes
// each, and 2000 m of bead have 10 million at the finest.
const maxCorners = 12_000_000

// levelLines traces the lines of a ladder on the area's field, and puts some in
// or leaves some out where they stand too far apart or too near.
func (w *work) levelLines(g *grid, l ladder, part plane.Region) ([]line, error) {
	if !(l.step > 0) || l.last < l.first {
		return nil, nil
	}
	if err := w.refuseSteep(g, l); err != nil {
		return nil, err
	}
	t := tracer{grid: g, ladder: l}
	if err := t.index(); err != nil {
		return nil, err
	}
	t.link(w.ctx)
	var out []line
	var levels []int
	t.walk(func(points []plane.Point, level int, closed bool) bool {
		l := line{simplified(points, closed, tol.ThreadSimplifyMM), closed}
		value := t.valueOf(level)
		out, levels = append(out, rounded(g.field, value, pointed(g.field, value, l))), append(levels, level)
		return w.ctx.Err() == nil
	})
	if far, near := w.offLimits(g, l); far.seen(g) || near.seen(g) {
		out = w.folded(g, l, part, out, levels, far.seen(g), near.seen(g))
		w.judgeSpacing(g, out, far, near)
	}
	return out, w.ctx.Err()
}

// tracer draws level lines by marching squares. Each grid edge holds one
// corner for every level between its nodes; each cell links the corners of one
// level in pairs. A node belongs to the levels at or under it (half-open), so
// lines never end within the grid nor run through a node.
type tracer struct {
	*grid
	ladder ladder
	floor  []int32    // number of the highest level at or under each node
	start  [2][]int32 // per node: first corner of the edge to the right, upwards
	links  [][2]int32 // per corner: the next one either way, −1 for none
	edge   []int32    // per corner: 2·node + (0 right, 1 up)
}

// index numbers the corners.
func (t *tracer) index() error {
	n := t.nx * t.ny
	t.floor = make([]int32, n)
	lowest, highest := float64(t.ladder.first-1), float64(t.ladder.last)
	for at, have := range t.have {
		if have {
			t.floor[at] = int32(min(max(math.Floor((t.level[at]-t.ladder.base)/t.ladder.step), lowest), highest))
		}
	}
	count := 0
	for dir, step := range [2]int{1, t.nx} {
		t.start[dir] = make([]int32, n)
		for at := range n - step {
			t.start[dir][at] = int32(count)
			if t.have[at] && t.have[at+step] {
				count += int(abs(t.floor[at] - t.floor[at+step]))
				if count > maxCorners {
					return tooSteep(math.Inf(1))
				}
			}
		}
	}
	t.links = make([][2]int32, count)
	t.edge = make([]int32, count)
	for i := range t.links {
		t.links[i] = [2]int32{-1, -1}
	}
	for dir, step := range [2]int{1, t.nx} {
		for at := range n - step {
			if t.have[at] && t.have[at+step] {
				for k := range abs(t.floor[at] - t.floor[at+step]) {
					t.edge[t.start[dir][at]+k] = int32(2*at + dir)
				}
			}
		}
	}
	return nil
}

func abs(v int32) int32 { return max(v, -v) }

// corner returns the corner of level k on the edge from a node.
func (t *tracer) corner(at, dir int, k int32) int32 {
	to := at + 1
	if dir == 1 {
		to = at + t.nx
	}
	return t.start[dir][at] + k - min(t.floor[at], t.floor[to]) - 1
}

// link joins the corners of every cell.
func (t *tracer) link(ctx context.Context) {
	for j := 1; j < t.ny-2 && ctx.Err() == nil; j++ {
		for i := 1; i < t.nx-2; i++ {
			a := j*t.nx + i
			b, c, d := a+1, a+t.nx+1, a+t.nx
			fa, fb, fc, fd := t.floor[a], t.floor[b], t.floor[c], t.floor[d]
			if fa == fb && fb == fc && fc == fd || !t.have[a] || !t.have[b] || !t.have[c] || !t.have[d] {
				continue
			}
			middle := int32(math.Floor(((t.level[a]+t.level[b]+t.level[c]+t.level[d])/4 - t.ladder.base) / t.ladder.step))
			for k := min(fa, fb, fc, fd) + 1; k <= max(fa, fb, fc, fd); k++ {
				mask := 0
				for bit, f := range [4]int32{fa, fb, fc, fd} {
					if f >= k {
						mask |= 1 << bit
					}
				}
				// Sides: 0 below (a–b), 1 right (b–c), 2 above (d–c), 3 left (a–d).
				side := func(s int) int32 {
					switch s {
					case 0:
						return t.corner(a, 0, k)
					case 1:
						return t.corner(b, 1, k)
					case 2:
						return t.corner(d, 0, k)
					}
					return t.corner(a, 1, k)
				}
				pair := func(p, q int) {
					x, y := side(p), side(q)
					t.attach(x, y)
					t.attach(y, x)
				}
				switch mask {
				case 1, 14:
					pair(3, 0)
				case 2, 13:
					pair(0, 1)
				case 4, 11:
					pair(1, 2)
				case 8, 7:
					pair(2, 3)
				case 3, 12:
					pair(3, 1)
				case 6, 9:
					pair(0, 2)
				case 5, 10: // a saddle: the middle of the cell decides
					if (mask == 5) == (middle >= k) {
						pair(0, 1)
						pair(2, 3)
					} else {
						pair(3, 0)
						pair(1, 2)
					}
				}
			}
		}
	}
}

func (t *tracer) attach(from, to int32) {
	if t.links[from][0] < 0 {
		t.links[from][0] = to
	} else {
		t.links[from][1] = to
	}
}

// walk hands out all lines, open ones first, until emit returns false. The
// points are the callee's.
func (t *tracer) walk(emit func(points []plane.Point, level int, closed bool) bool) {
	done := make([]bool, len(t.links))
	run := func(from int32) (points []plane.Point) {
		for at, last := from, int32(-1); ; {
			done[at] = true
			points = append(points, t.point(at))
			next := t.links[at][0]
			if next == last || next < 0 || done[next] {
				next = t.links[at][1]
			}
			if next < 0 || done[next] {
				return points
			}
			at, last = next, at
		}
	}
	for i, l := range t.links {
		if !done[i] && l[0] >= 0 && l[1] < 0 && !emit(run(int32(i)), t.levelOf(int32(i)), false) {
			return
		}
	}
	for i, l := range t.links {
		if !done[i] && l[0] >= 0 {
			if points := run(int32(i)); len(points) > 2 && !emit(points, t.levelOf(int32(i)), true) {
				return
			}
		}
	}
}

// levelOf returns the number of the level that a corner belongs to.
func (t *tracer) levelOf(corner int32) int {
	at, dir, step := int(t.edge[corner]/2), int(t.edge[corner]&1), 1
	if dir == 1 {
		step = t.nx
	}
	return int(corner - t.start[dir][at] + min(t.floor[at], t.floor[at+step]) + 1)
}

// valueOf returns the level of a number.
func (t *tracer) valueOf(level int) float64 {
	return t.ladder.base + float64(float64(level)*t.ladder.step)
}

// point locates a corner: by interpolation along its edge, and where the
// levels beside the edge say that this may be off by more than
// tol.ThreadLevelMM, by false position on the field itself.
func (t *tracer) point(corner int32) plane.Point {
	at, dir := int(t.edge[corner]/2), int(t.edge[corner]&1)
	step := 1
	if dir == 1 {
		step = t.nx
	}
	k := t.levelOf(corner)
	want := t.valueOf(k)
	la, lb := t.level[at]-want, t.level[at+step]-want
	share := la / (la - lb)
	a, b := t.place(at), t.place(at+step)
	if t.bent(at, step)*share*(1-share)/2 > tol.ThreadLevelMM {
		lo, hi := 0.0, 1.0
		for range 4 {
			l := t.field.Level(a.Lerp(b, share)) - want
			if math.Abs(l) < tol.ThreadLevelMM/4 {
				break
			}
			if (l < 0) == (la < 0) {
				lo, la = share, l
				lb /= 2
			} else {
				hi, lb = share, l
				la /= 2
			}
			share = lo + (hi-lo)*la/(la-lb)
		}
	}
	return a.Lerp(b, min(max(share, 0), 1))
}

// bent returns the larger second difference of the level along an edge.
func (t *tracer) bent(at, step int) float64 {
	before, after := at-step, at+2*step
	if before < 0 || after >= len(t.level) || !t.have[before] || !t.have[after] {
		return math.Inf(1)
	}
	a, b := t.level[at], t.level[at+step]
	return max(math.Abs(t.level[before]-2*a+b), math.Abs(a-2*b+t.level[after]))
}
