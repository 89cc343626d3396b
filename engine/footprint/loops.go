package footprint

import (
	"fmt"
	"math"
	"slices"

	"sheenlay/engine/deposit"
	"sheenlay/engine/plane"
	"sheenlay/engine/raster"
	"sheenlay/engine/tol"
)

// loop is a closed stroke.
type loop struct {
	stroke int
	ring   plane.Ring // counter-clockwise
	area   float64
	bounds plane.Box
	patch  int // connected patch of bead it lies in
	parent int // smallest loop of the same patch around it, -1 for none

	outerOpen, innerOpen bool // nothing lies beyond its bead on that side
}

// scene is what the raster tells.
type scene struct {
	counts  *raster.Counts
	labels  *raster.Labels
	patches []patch
	patchOf []int // of each stroke

	hasFill, hasWalls bool // see open
}

// patch is a connected patch of bead.
type patch struct {
	strokes         []int
	loops           []int
	open, closed    float64 // length of open strokes and of loops, mm
	first, last     int     // strokes, in file order
	bounds          plane.Box
	areaMM2         float64 // of the bead laid, width × length
	longestStraight float64
	straightStrokes int
	direction       plane.Point // unit, of the longest stroke
}

// findLoops lists the closed strokes.
func (w *work) findLoops() {
	for i, s := range w.Strokes {
		if !w.drawable[i] || len(s.Points) < 4 {
			continue
		}
		r, gap := closed(s.Points, s.Length(), w.widths[i])
		if len(r) < 3 {
			continue
		}
		area := r.Area()
		if area < 0 {
			r, area = r.Reversed(), -area
		}
		// What encloses less than a bead's own square is a blob, no border; and a
		// line that turns back beside itself ends as far from its start as its
		// halves lie apart.
		apart := 2 * area / r.Length()
		if area > w.widths[i]*w.widths[i]/4 && gap < apart/2 {
			w.loops = append(w.loops, loop{stroke: i, ring: r, area: area, bounds: r.Bounds(), parent: -1, patch: -1})
		}
	}
}

// piece reports whether a class may belong to the piece itself.
func piece(c deposit.Class) bool {
	return c == deposit.Unknown || c == deposit.Wall || c == deposit.Fill
}

// drawAll draws every bead that may belong to the piece and finds what hangs
// together. It reports false where the piece is too wide to be drawn finely.
func (w *work) drawAll() bool {
	box := plane.EmptyBox()
	var lines [][]plane.Point
	for i, s := range w.Strokes {
		if w.drawable[i] && piece(s.Class) {
			box = box.Union(plane.Polyline(s.Points).Bounds().Grow(w.widths[i]))
			lines = append(lines, s.Points)
		}
	}
	pixel := math.Max(w.LineWidthMM*tol.FootprintPixelShare, tol.FootprintFinest)
	grid := raster.NewGrid(box, pixel, raster.QuietAngle(lines...))
	if grid.Pixel > tol.FootprintCoarsest*w.LineWidthMM {
		size := box.Size()
		w.refuse("footprint-too-wide", fmt.Sprintf("The first layer spans %.0f × %.0f mm.", size.X, size.Y),
			"Check the file for a stray coordinate, or whether it is in inches.")
		return false
	}
	w.counts = raster.NewCounts(grid)
	for i, s := range w.Strokes {
		if w.drawable[i] && piece(s.Class) {
			w.counts.AddPath(s.Points, []float64{w.drawnWidth(i)})
		}
	}
	w.labels = w.counts.Bitmap().Labels(func(v uint8) bool { return v > 0 })
	w.patches = make([]patch, w.labels.Count)
	w.patchOf = make([]int, len(w.Strokes))
	for i := range w.patches {
		w.patches[i].bounds = plane.EmptyBox()
		w.patches[i].first = -1
	}
	for i := range w.Strokes {
		w.patchOf[i] = -1
		if w.drawable[i] && piece(w.Strokes[i].Class) {
			w.addToPatch(i)
		}
	}
	for i := range w.loops {
		l := &w.loops[i]
		if l.patch = w.patchOf[l.stroke]; l.patch >= 0 {
			p := &w.patches[l.patch]
			length := l.ring.Length()
			p.loops, p.closed, p.open = append(p.loops, i), p.closed+length, p.open-length
		}
	}
	for i := range w.patches {
		w.nest(&w.patches[i])
	}
	return true
}

// addToPatch enters stroke i into the patch under its first segment, or the next
// one where that falls beside all pixels, as the tightest curls do.
func (w *work) addToPatch(i int) {
	s := &w.Strokes[i]
	at := -1
	for k := 1; k < len(s.Points) && at < 0; k++ {
		at = w.labels.At(s.Points[k-1].Lerp(s.Points[k], 0.5))
	}
	if at < 0 {
		return
	}
	w.patchOf[i] = at
	p := &w.patches[at]
	if p.first < 0 {
		p.first = i
	}
	p.last = i
	p.strokes = append(p.strokes, i)
	length := s.Length()
	p.open += length
	p.areaMM2 += length * w.widths[i]
	p.bounds = p.bounds.Union(plane.Polyline(s.Points).Bounds())
	chord := s.Points[len(s.Points)-1].Sub(s.Points[0])
	if chord.Norm() > 0.98*length {
		p.straightStrokes++
		if length > p.longestStraight {
			p.longestStraight, p.direction = length, chord.Unit()
		}
	}
}

// nest finds the parent of each loop of a patch.
func (w *work) nest(p *patch) {
	order := slices.Clone(p.loops)
	slices.SortStableFunc(order, func(i, j int) int {
		switch a, b := w.loops[i].area, w.loops[j].area; {
		case a < b:
			return -1
		case a > b:
			return 1
		}
		return 0
	})
	for k, i := range order {
		inner := &w.loops[i]
		for _, j := range order[k+1:] {
			if outer := &w.loops[j]; contains(outer, inner) {
				inner.parent = j
				break
			}
		}
	}
}

// contains reports whether inner lies in outer, by its first point and boxes;
// loops of beads do not cross.
func contains(outer, inner *loop) bool {
	const slack = 0.01
	return outer.bounds.Grow(slack).Contains(inner.bounds.Min) && outer.bounds.Grow(slack).Contains(inner.bounds.Max) &&
		plane.Region{outer.ring}.Contains(inner.ring[0])
}

// sideSamples is how many places of a loop are asked on each side.
const sideSamples = 64

// readSides asks each loop of the piece what lies beside it. Places are a quarter
// and six tenths of a line beyond the bead: the nearer one sees a wall or the
// ends of a fill, the farther one a fill line that runs along the wall.
func (w *work) readSides() {
	// A skirt that nearly touches hides no border.
	own := make([]bool, len(w.patches))
	for i := range w.patches {
		own[i] = slices.ContainsFunc(w.patches[i].strokes, func(i int) bool { return piece(w.Strokes[i].Class) })
	}
	covered := func(p plane.Point) bool {
		at := w.labels.At(p)
		return at >= 0 && own[at]
	}
	for i := range w.loops {
		l := &w.loops[i]
		if !piece(w.Strokes[l.stroke].Class) || l.patch < 0 {
			continue
		}
		inner, outer, total := 0, 0, 0
		w.sample(l, func(p, left plane.Point) {
			total++
			width := w.widths[l.stroke]
			near, far := left.Mul(0.75*width), left.Mul(1.1*width)
			if covered(p.Add(near)) || covered(p.Add(far)) {
				inner++
			}
			if covered(p.Sub(near)) || covered(p.Sub(far)) {
				outer++
			}
		})
		l.innerOpen = 2*inner < total
		l.outerOpen = 2*outer < total
	}
	// Brim and skirt were drawn with the piece where only their place tells them apart.
	for i := range w.loops {
		l := &w.loops[i]
		if l.parent < 0 {
			continue
		}
		around := &w.loops[l.parent]
		if w.apart(around) {
			l.outerOpen = true
		} else if w.apart(l) {
			around.innerOpen = true
		}
	}
}

// apart reports whether a loop is none of the piece, though it may touch it.
func (w *work) apart(l *loop) bool {
	c := w.Strokes[l.stroke].Class
	return c == deposit.Brim || c == deposit.Skirt
}

// sample calls use at places spread evenly along the loop with the unit normal
// to the left, which is inwards.
func (w *work) sample(l *loop, use func(p, left plane.Point)) {
	step := l.ring.Length() / sideSamples
	if !(step > 0) {
		return
	}
	next := step / 2
	for i, a := range l.ring {
		b := l.ring[(i+1)%len(l.ring)]
		length := b.Dist(a)
		for ; next < length; next += step {
			u := b.Sub(a).Mul(1 / length)
			use(a.Add(u.Mul(next)), u.Left())
		}
		next -= length
	}
}

// gapTo returns the median distance from places of inner to the line of outer.
func (w *work) gapTo(inner, outer *loop) float64 {
	var all []weighted
	skip := 0
	w.sample(inner, func(p, _ plane.Point) {
		if skip++; skip%4 == 0 {
			q, _ := plane.Region{outer.ring}.Nearest(p)
			all = append(all, weighted{q.Dist(p), 1})
		}
	})
	return median(all)
}

// shore is a ring cut into stretches, each with the box of all places near it,
// so that a place far from the ring is known as such without asking every edge.
type shore struct {
	stretches []plane.Polyline
	boxes     []plane.Box
}

// shoreEdges is the number of edges of one stretch.
const shoreEdges = 32

// shoreOf prepares a ring for questions about places within reach (mm) of it.
func shoreOf(r plane.Ring, reach float64) shore {
	var out shore
	for at := 0; at < len(r); at += shoreEdges {
		end := min(at+shoreEdges, len(r))
		line := append(plane.Polyline(nil), r[at:end]...)
		line = append(line, r[end%len(r)])
		out.stretches = append(out.stretches, line)
		out.boxes = append(out.boxes, line.Bounds().Grow(reach))
	}
	return out
}

// distance returns the distance from p to the ring, exactly where that is
// within the reach; beyond it the answer is only known to be more.
func (s shore) distance(p plane.Point) float64 {
	best := math.Inf(1)
	for i, line := range s.stretches {
		if !s.boxes[i].Contains(p) {
			continue
		}
		for k := 1; k < len(line); k++ {
			best = math.Min(best, p.Dist(plane.NearestOnSegment(line[k-1], line[k], p)))
		}
	}
	return best
}
