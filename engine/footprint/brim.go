package footprint

import (
	"cmp"
	"math"
	"slices"

	"sheenlay/engine/deposit"
	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// This file contains the brim: loops that touch the piece and are none of it.

// findBrim looks in a patch for loops that surround the piece and touch it. Where
// the layer above is known, what stands on a loop tells. Else four things do:
// the outer loops are laid outwards and before the inner ones; there are more loops round the outside than round the holes; one
// distance between neighbouring loops differs from the others, since brim is
// spaced from the outline, not from the wall; or, where the piece has no walls,
// the fill keeps clear of the innermost loop, which it would overlap to bond with
// a wall.
//
// Fill that lies just one line from a few loops tells nothing: walls may be
// sliced without overlap too. Pieces have walls far more often than not, so such
// loops stay walls, and the person is asked to look.
//
// Brim within a hole is told by the layer above alone.
func (w *work) findBrim(p *patch) {
	outer := w.outerChains(p)
	for k, chain := range outer {
		class, count, confidence := deposit.Brim, 0, 0.75
		bare, known := w.uncovered(chain, false)
		switch {
		case known:
			count = w.settled(chain, bare)
		case k == 0: // the largest
			class, count, confidence = w.brimByPlace(p, chain)
		}
		if class == deposit.Brim {
			for _, i := range w.skirtAmong(p, chain[:count]) {
				w.setLoop(i, deposit.Skirt, 0.7)
			}
		}
		for _, i := range chain[:count] {
			w.setLoop(i, class, confidence)
		}
	}
	for _, chain := range w.holeChains(p, outer) {
		bare, _ := w.uncovered(chain, true)
		for _, i := range chain[:bare] {
			w.setLoop(i, deposit.Brim, 0.75)
		}
	}
}

// setLoop classes the stroke of a loop that has no class.
func (w *work) setLoop(i int, c deposit.Class, confidence float64) {
	if s := &w.Strokes[w.loops[i].stroke]; s.Class == deposit.Unknown {
		s.Class, s.Confidence = c, confidence
	}
}

// brimByPlace judges the loops of a chain without the layer above: count of them,
// from the outermost, are of the class.
func (w *work) brimByPlace(p *patch, chain []int) (class deposit.Class, count int, confidence float64) {
	if n := w.outerBand(chain); n >= bandLoops {
		return deposit.Brim, n, 0.7
	}
	if holes := w.holeDepth(p, chain); holes > 0 && holes < len(chain) {
		return deposit.Brim, len(chain) - holes, 0.75
	} else if holes == 0 && len(chain) >= 3 {
		if count = w.oddGap(chain); count > 0 {
			return deposit.Brim, count, 0.6
		}
	}
	switch clear := w.clearance(p, &w.loops[chain[len(chain)-1]]) / w.LineWidthMM; {
	case clear > clearShare && len(chain) >= brimLoops:
		return deposit.Brim, len(chain), 0.6
	case clear > clearShare:
		return deposit.Wall, len(chain), 0.5
	}
	return deposit.Wall, 0, 0
}

// clearance returns how far from a loop the lines of a patch within it end and
// turn, mm: the median of those nearer than two lines, 0 for fewer than four.
func (w *work) clearance(p *patch, inner *loop) float64 {
	var ends []weighted
	loops := map[int]bool{}
	for _, l := range p.loops {
		loops[w.loops[l].stroke] = true
	}
	line := shoreOf(inner.ring, 2*w.LineWidthMM)
	for _, i := range p.strokes {
		s := &w.Strokes[i]
		if loops[i] || s.Length() < 4*w.LineWidthMM {
			continue
		}
		step := max(1, len(s.Points)/clearSamples)
		for k := 0; k < len(s.Points); k += step {
			if d := line.distance(s.Points[k]); d < 2*w.LineWidthMM && (plane.Region{inner.ring}).Contains(s.Points[k]) {
				ends = append(ends, weighted{d, 1})
			}
		}
	}
	if len(ends) < 4 {
		return 0
	}
	return median(ends)
}

// Shares of a line between a loop and what lies beside it, and a number of loops;
// common practice without a published source.
const (
	clearShare = 0.93 // beyond it fill does not bond with the loop
	alongShare = 0.75 // loops of the layer above as near as that run along a loop
	onShare    = 0.1  // and as near as that stand on it
	bandShare  = 1.35 // neighbours of one band of loops lie no farther apart
	tightShare = 0.8  // and, in shares of the pitch, no nearer
	bandLoops  = 3    // that many laid outwards before the loops within are brim: an outer wall may follow the second one
	brimLoops  = 5    // that many around the outside, and fill that does not bond, are brim: walls are one to four
)

// clearSamples bounds the places asked of one stroke.
const clearSamples = 200

// outerChains returns for each outermost loop of a patch, the largest first, the
// loops from it inwards while each holds a next one at a bead's distance.
func (w *work) outerChains(p *patch) [][]int {
	children := map[int][]int{}
	for _, i := range p.loops {
		parent := w.loops[i].parent
		children[parent] = append(children[parent], i)
	}
	roots := slices.Clone(children[-1])
	slices.SortStableFunc(roots, func(a, b int) int { return cmp.Compare(w.loops[b].area, w.loops[a].area) })
	var out [][]int
	for _, root := range roots {
		chain := []int{root}
		for next := w.nextInside(root, children); next >= 0; next = w.nextInside(next, children) {
			chain = append(chain, next)
		}
		out = append(out, chain)
	}
	return out
}

// holeChains returns for each innermost loop of a patch, as far as it is in none of
// the outer chains, the loops from it outwards while each lies in a next one at
// a bead's distance.
func (w *work) holeChains(p *patch, outer [][]int) [][]int {
	taken, parents := map[int]bool{}, map[int]bool{}
	for _, i := range slices.Concat(outer...) {
		taken[i] = true
	}
	for _, i := range p.loops {
		parents[w.loops[i].parent] = true
	}
	var out [][]int
	for _, i := range p.loops {
		if parents[i] || taken[i] {
			continue
		}
		chain := []int{i}
		for next := w.loops[i].parent; next >= 0 && !taken[next] && w.beside(chain[len(chain)-1], next); next = w.loops[next].parent {
			chain = append(chain, next)
		}
		out = append(out, chain)
	}
	return out
}

// beside reports whether one loop lies in another at a bead's distance.
func (w *work) beside(inner, outer int) bool {
	return w.gapTo(&w.loops[inner], &w.loops[outer]) < bandShare*w.LineWidthMM
}

// nextInside returns the nearest of the loops right inside one, −1 where none is
// at a bead's distance.
func (w *work) nextInside(around int, children map[int][]int) int {
	best, gap := -1, bandShare*w.LineWidthMM
	for _, i := range children[around] {
		if g := w.gapTo(&w.loops[around], &w.loops[i]); g < gap {
			best, gap = i, g
		}
	}
	return best
}

// holeDepth returns how many loops surround the hole that has the most, 0
// without holes. Loops of the outer chain do not count.
func (w *work) holeDepth(p *patch, chain []int) int {
	deepest := 0
	for _, i := range p.loops {
		depth := 0
		for j := i; j >= 0 && !slices.Contains(chain, j); j = w.loops[j].parent {
			if depth > 0 && w.gapTo(&w.loops[i], &w.loops[j]) > (float64(depth)+0.4)*w.LineWidthMM {
				break
			}
			depth++
		}
		deepest = max(deepest, depth)
	}
	return deepest
}

// oddGap returns how many loops lie outside the one distance of a chain that
// differs from all others; 0 where none does.
func (w *work) oddGap(chain []int) int {
	gaps := make([]float64, len(chain)-1)
	for k := range gaps {
		gaps[k] = w.gapTo(&w.loops[chain[k+1]], &w.loops[chain[k]])
	}
	if len(gaps) < 2 {
		return 0
	}
	sorted := slices.Clone(gaps)
	slices.Sort(sorted)
	usual := sorted[(len(sorted)-1)/2]
	odd, at := 0, 0
	for k, g := range gaps {
		if math.Abs(g-usual) > 0.05*w.LineWidthMM {
			odd, at = odd+1, k+1
		}
	}
	if odd != 1 {
		return 0
	}
	return at
}

// byLaying returns loops in the order in which they are laid.
func (w *work) byLaying(loops []int) []int {
	order := slices.Clone(loops)
	slices.SortFunc(order, func(a, b int) int { return cmp.Compare(w.loops[a].stroke, w.loops[b].stroke) })
	return order
}

// run returns how many of the first loops laid are one band: each lies beside the
// one before it, neither on it nor with a gap.
func (w *work) run(order []int) int {
	for k := 1; k < len(order); k++ {
		gap := w.gapTo(&w.loops[order[k-1]], &w.loops[order[k]])
		if gap < tightShare*w.PitchMM || gap > bandShare*w.LineWidthMM {
			return k
		}
	}
	return len(order)
}

// skirtAmong returns those loops of a brim that are a skirt which touches it or lies
// in it: a band laid before all else, after which the rest is a band of its own.
func (w *work) skirtAmong(p *patch, brim []int) []int {
	order := w.byLaying(brim)
	n := w.run(order)
	if n == len(order) || w.loops[order[0]].stroke != p.first || n+w.run(order[n:]) < len(order) {
		return nil
	}
	return order[:n]
}

// outerBand returns how many of the outermost loops of a chain are a band of their
// own: laid outwards, and before the loops within. 0 where it is not so.
func (w *work) outerBand(chain []int) int {
	order := w.byLaying(chain)
	n := w.run(order)
	if n == len(chain) {
		return 0
	}
	for k, i := range order[:n] {
		if chain[n-1-k] != i {
			return 0
		}
	}
	return n
}

// settled corrects by one the number of brim loops that the layer above leaves bare.
// Where the first layer is drawn in against spreading, that layer's walls stand
// between the brim and the walls under them: as many as these, mostly; else a run
// of loops that only just reaches them is brim as a whole.
func (w *work) settled(chain []int, bare int) int {
	if walls, between := w.wallsAbove(chain); between && (len(chain)-walls == bare+1 || len(chain)-walls == bare-1) {
		return len(chain) - walls
	}
	if bare < 2 || bare+1 >= len(chain) {
		return bare
	}
	order := w.byLaying(chain)
	for len(order) > 0 {
		n := w.run(order)
		if n == bare+1 && !slices.ContainsFunc(order[:n], func(i int) bool { return !slices.Contains(chain[:n], i) }) {
			return n
		}
		order = order[n:]
	}
	return bare
}

// wallsAbove counts the loops of the layer above that run along a chain, and reports
// whether they stand between its loops rather than on them.
func (w *work) wallsAbove(chain []int) (count int, between bool) {
	first, last := &w.loops[chain[0]], &w.loops[chain[len(chain)-1]]
	room, nearest := first.bounds.Grow(w.LineWidthMM), math.Inf(1)
	for i := range w.above.Strokes {
		s := &w.above.Strokes[i]
		n := len(s.Points)
		if n < 4 || s.Points[0].Dist(s.Points[n-1]) > tol.FootprintCoast || !room.Contains(s.Points[0]) {
			continue
		}
		above := loop{ring: plane.Ring(s.Points[:n-1])}
		if area := math.Abs(above.ring.Area()); area < last.area/2 || area > 2*first.area {
			continue
		}
		gap := math.Inf(1)
		for _, k := range chain {
			gap = min(gap, w.gapTo(&above, &w.loops[k]))
		}
		if gap < alongShare*w.LineWidthMM {
			count, nearest = count+1, min(nearest, gap)
		}
	}
	return count, count > 0 && nearest > onShare*w.LineWidthMM
}
