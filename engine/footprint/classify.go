package footprint

import (
	"cmp"
	"math"
	"slices"
	"strings"
	"unicode"

	"sheenlay/engine/deposit"
	"sheenlay/engine/plane"
)

// This file contains the classes by shape and place, for strokes that no comment
// names. Confidences are our own judgement, common practice without a published
// source.

// classify fills the class of every stroke that has none.
func (w *work) classify() {
	w.hasFill, w.hasWalls = w.open()
	enclosed := make([][]int, len(w.patches))
	for i := range w.patches {
		p := &w.patches[i]
		if enclosed[i] = w.patchesWithin(i); len(p.strokes) == 0 || w.named(p) {
			continue
		}
		switch {
		case w.isPriming(p):
			w.set(p, deposit.Priming, 0.8)
		case len(enclosed[i]) > 0 && w.hasFill:
			// Told once it is known what lies within.
		case w.isSupport(p):
			w.set(p, deposit.Support, 0.7)
		default:
			w.findBrim(p)
			w.setPiece(p)
		}
	}
	for i := range w.patches {
		p := &w.patches[i]
		switch {
		case len(p.strokes) == 0 || w.named(p):
		case !slices.ContainsFunc(enclosed[i], func(j int) bool { return w.Strokes[w.patches[j].first].Class != deposit.Support }):
			w.set(p, deposit.Support, 0.7) // its own wall
		case w.beforeOthers(p):
			w.set(p, deposit.Skirt, 0.9)
		default:
			w.set(p, deposit.Skirt, 0.6)
		}
	}
	if w.labelled {
		w.vote()
	}
}

// named reports whether comments or a person class all strokes of a patch.
func (w *work) named(p *patch) bool {
	return !slices.ContainsFunc(p.strokes, func(i int) bool { return w.Strokes[i].Class == deposit.Unknown })
}

// set classes the strokes of a patch that have no class.
func (w *work) set(p *patch, c deposit.Class, confidence float64) {
	for _, i := range p.strokes {
		if s := &w.Strokes[i]; s.Class == deposit.Unknown {
			s.Class, s.Confidence = c, confidence
		}
	}
}

// setPiece classes loops as walls and the rest as fill.
func (w *work) setPiece(p *patch) {
	for _, i := range p.loops {
		if s := &w.Strokes[w.loops[i].stroke]; s.Class == deposit.Unknown {
			s.Class, s.Confidence = deposit.Wall, 0.85
		}
	}
	w.set(p, deposit.Fill, 0.8)
}

// open reports whether the layer has a fair length of open strokes, and whether
// some patch has both loops and open strokes.
func (w *work) open() (fill, walls bool) {
	open, closed := 0.0, 0.0
	for i := range w.patches {
		p := &w.patches[i]
		open, closed = open+p.open, closed+p.closed
		walls = walls || len(p.loops) > 0 && p.open > 0
	}
	return open > 0.1*closed, walls
}

// patchesWithin returns the patches within patch i, where that is a band of loops without
// fill of its own.
func (w *work) patchesWithin(i int) (within []int) {
	p := &w.patches[i]
	if len(p.loops) == 0 || len(p.loops) > 12 || p.open > 0.05*p.closed {
		return nil
	}
	largest := slices.MaxFunc(p.loops, func(a, b int) int { return cmp.Compare(w.loops[a].area, w.loops[b].area) })
	for j := range w.patches {
		q := &w.patches[j]
		if j != i && len(q.strokes) > 0 && p.bounds.Contains(q.bounds.Min) && p.bounds.Contains(q.bounds.Max) &&
			(plane.Region{w.loops[largest].ring}).Contains(w.Strokes[q.first].Points[0]) {
			within = append(within, j)
		}
	}
	return within
}

// beforeOthers reports whether a patch is laid before all others but priming.
func (w *work) beforeOthers(p *patch) bool {
	for i := range w.Strokes {
		if i >= p.first {
			return true
		}
		if c := w.Strokes[i].Class; c != deposit.Priming && c != deposit.Skirt && c != deposit.Brim {
			return false
		}
	}
	return true
}

// isPriming reports whether a patch is a few lines, narrow as a whole or round a
// corner, laid before everything else and apart from it.
func (w *work) isPriming(p *patch) bool {
	if p.first != 0 || len(p.loops) > 0 || len(w.patches) < 2 || len(p.strokes) > 4 {
		return false
	}
	size := p.bounds.Size()
	narrow := math.Min(size.X, size.Y)
	if p.longestStraight > 0 {
		narrow = w.extent(p, p.direction.Left())
	}
	corner := w.hasWalls && p.areaMM2 < float64(cornerShare*size.X)*size.Y
	return (narrow < 4*w.LineWidthMM || corner) && p.open > 10*w.LineWidthMM && w.siblings(p) < 2
}

// cornerShare is the most of its box that a line round a corner of the bed covers;
// support covers more. Common practice, no published source.
const cornerShare = 0.1

// siblings counts the patches that are one straight line like p: as long,
// parallel, and no farther from it than some lines. Support comes in such rows.
func (w *work) siblings(p *patch) (n int) {
	if len(p.strokes) != 1 || p.straightStrokes != 1 {
		return 0
	}
	start := w.Strokes[p.first].Points[0]
	for i := range w.patches {
		q := &w.patches[i]
		if q == p || len(q.strokes) != 1 || q.straightStrokes != 1 ||
			math.Abs(q.longestStraight/p.longestStraight-1) > 0.3 || math.Abs(p.direction.Cross(q.direction)) > 0.05 {
			continue
		}
		if off := math.Abs(p.direction.Cross(w.Strokes[q.first].Points[0].Sub(start))); off < 15*w.LineWidthMM {
			n++
		}
	}
	return n
}

// extent returns the width of a patch's lines across direction n.
func (w *work) extent(p *patch, n plane.Point) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for _, i := range p.strokes {
		for _, q := range w.Strokes[i].Points {
			low, high = math.Min(low, q.Dot(n)), math.Max(high, q.Dot(n))
		}
	}
	return high - low
}

// isSupport reports whether a patch is sparse: a single line on its own beside a
// piece with walls, a row of such lines beside any piece, or lines that cover less
// than six tenths of the ground they span, while the layer has denser patches with
// walls.
func (w *work) isSupport(p *patch) bool {
	if len(p.strokes) == 1 && p.straightStrokes == 1 {
		alike := w.siblings(p)
		return w.hasWalls || alike >= 2 && alike+1 < len(w.patches)
	}
	if len(p.loops) > 0 || !w.hasWalls {
		return false
	}
	direction := p.direction
	if p.longestStraight == 0 {
		direction = plane.Point{X: 1}
	}
	ground := (w.extent(p, direction) + w.LineWidthMM) * (w.extent(p, direction.Left()) + w.LineWidthMM)
	return p.areaMM2 < 0.6*ground && p.areaMM2 > 8*w.LineWidthMM*w.LineWidthMM && !w.solid(p)
}

// solid reports whether places beside the lines of a patch are mostly covered.
func (w *work) solid(p *patch) bool {
	covered, total := 0, 0
	for _, i := range p.strokes {
		s := &w.Strokes[i]
		for k := 1; k < len(s.Points); k++ {
			d := s.Points[k].Sub(s.Points[k-1])
			if d.Norm() < 2*w.LineWidthMM {
				continue
			}
			m, n := s.Points[k-1].Add(d.Mul(0.5)), d.Unit().Left().Mul(w.LineWidthMM)
			for _, q := range [2]plane.Point{m.Add(n), m.Sub(n)} {
				total++
				if w.counts.At(q) > 0 {
					covered++
				}
			}
		}
	}
	return 2*covered > total
}

// vote lets strokes under one comment that nobody understands share the class
// that most of their length has by shape, where four fifths agree.
func (w *work) vote() {
	type tally [deposit.Priming + 1]float64
	sums := map[string]*tally{}
	for i := range w.Strokes {
		s := &w.Strokes[i]
		if s.Label == "" || s.Confidence >= byComment || !w.drawable[i] || strings.ContainsFunc(s.Label, unicode.IsDigit) {
			continue
		}
		t := sums[s.Label]
		if t == nil {
			t = new(tally)
			sums[s.Label] = t
		}
		t[s.Class] += s.Length()
	}
	for i := range w.Strokes {
		s := &w.Strokes[i]
		t := sums[s.Label]
		if t == nil || s.Confidence >= byComment {
			continue
		}
		total, best := 0.0, deposit.Unknown
		for c, v := range t {
			if total += v; v > t[best] {
				best = deposit.Class(c)
			}
		}
		if t[best] > 0.8*total {
			s.Class, s.Confidence = best, math.Max(s.Confidence, 0.85)
		}
	}
}
