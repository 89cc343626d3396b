package layers

import (
	"math"
	"sort"

	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// clean returns the levels that count: levels of one Z that follow each other
// are joined unless one of the lines stands between them, slips are dropped.
// lines are in rising order.
func clean(raw []level, lines []occurrence) []level {
	out := make([]level, 0, len(raw))
	next := 0
	for i, v := range raw {
		n := len(out)
		parted := false
		for ; next < len(lines) && lines[next].line < v.first.line; next++ {
			parted = parted || n > 0 && lines[next].line > out[n-1].last.line
		}
		if n > 0 && v.length < tol.StrayLength && i+1 < len(raw) && same(raw[i+1].z, out[n-1].z) {
			continue
		}
		if n > 0 && !parted && same(out[n-1].z, v.z) {
			join(&out[n-1], v)
			continue
		}
		out = append(out, v)
	}
	return out
}

func same(a, b float64) bool { return math.Abs(a-b) <= tol.SameLevel }

func join(a *level, b level) {
	a.length += b.length
	a.fed += b.fed
	a.moves += b.moves
	a.box = a.box.Union(b.box)
	a.last = b.last
}

// unprimed drops what the start code lays before the first layer: levels that
// lie higher than the next, and short ones beside all that is laid above them.
// It returns the levels left and what was dropped.
func unprimed(raw []level) (rest, primed []level) {
	for len(raw) > 1 && raw[0].moves <= tol.PrimeMoves {
		v := raw[0]
		above := boxAbove(raw[1:], v.z)
		lower := raw[1].z < v.z-tol.SameLevel
		beside := !above.Empty() && !above.Intersects(v.box)
		if !lower && !beside {
			break
		}
		primed = append(primed, v)
		raw = raw[1:]
	}
	return raw, primed
}

// boxAbove returns the box of all material of the levels that lie higher.
func boxAbove(levels []level, z float64) plane.Box {
	box := plane.EmptyBox()
	for _, v := range levels {
		if v.z > z+tol.SameLevel {
			box = box.Union(v.box)
		}
	}
	return box
}

// reading is a family judged against the levels.
type reading struct {
	*family
	levels []level   // with its lines between them
	gaps   []gapLine // one per gap, in order
	score  float64   // 0..1
	rises  int       // pairs of lines between which material rises
	ends   bool      // its lines end layers
	counts bool      // its numbers count up by one, or start again
	at     int       // which number counts; -1 for none
	statesZ,
	accepted bool
}

// gapLine is a family's line in the gap before level number gap.
type gapLine struct {
	occurrence
	gap int
}

// read judges a family: do its lines part the levels, and do words or numbers
// say that they mean layers?
func read(y *family, raw []level) reading {
	levels := clean(raw, y.lines)
	r := reading{family: y, levels: levels, at: -1, ends: y.meaning.end > 0 && y.meaning.change == 0}
	inside := 0
	perGap := map[int]int{}
	var all []gapLine
	for _, o := range y.lines {
		gap := sort.Search(len(levels), func(i int) bool { return levels[i].first.line >= o.line })
		if gap > 0 && o.line < levels[gap-1].last.line {
			inside++
			continue
		}
		all = append(all, gapLine{o, gap})
		perGap[gap]++
	}
	r.gaps = onePerGap(all, perGap)
	if len(r.gaps) == 0 || len(r.gaps) == 1 && (inside > 1 || !r.leads(levels) || r.leavesRises()) {
		return r
	}
	structure := r.structure(levels, inside)
	r.arithmetic(levels)
	words := y.meaning.layer
	if y.meaning.label > 0 {
		words *= 0.4
	}
	if y.meaning.layer == 0 && y.meaning.label == 0 && !y.progress && r.rises >= 3 {
		words = 0.75 * y.meaning.change
	}
	numbers := 0.0
	if r.counts || r.statesZ {
		numbers = 0.9
	}
	support := math.Max(words, numbers)
	if words > 0 && numbers > 0 {
		support = 1
	}
	r.score = structure * support
	r.accepted = structure >= 0.85 && support >= 0.6 &&
		(r.rises >= 2 || y.meaning.layer > 0 || r.rises == 1 && (r.statesZ || r.counts && r.from0or1()))
	return r
}

// from0or1 reports whether the family's first number is 0 or 1, as where layers
// are counted.
func (r *reading) from0or1() bool {
	return r.at >= 0 && (r.gaps[0].numbers[r.at] == 0 || r.gaps[0].numbers[r.at] == 1)
}

// leads reports whether a line that stands alone stands right before material:
// with no command between that is neither a move nor neutral. A file's head
// speaks of layers too.
func (r *reading) leads(levels []level) bool {
	g := r.gaps[0]
	return g.gap < len(levels) && g.line > levels[g.gap].other
}

// leavesRises reports whether material rises on one side of a line that stands
// alone: it then says at most where one layer of several starts, and not where
// the first one ends.
func (r *reading) leavesRises() bool {
	gap := r.gaps[0].gap
	before, _ := unprimed(r.levels[:gap])
	for _, side := range [][]level{before, r.levels[gap:]} {
		for i := 1; i < len(side); i++ {
			if side[i].z > side[i-1].z+tol.SameLevel {
				return true
			}
		}
	}
	return false
}

// onePerGap keeps one line per gap: the first, but in the gap before all
// material the first of as many as other gaps have, counted from its end, so
// that a line of the file's head with the same words does not count.
func onePerGap(all []gapLine, perGap map[int]int) []gapLine {
	if len(all) == 0 {
		return nil
	}
	usual := 1
	opening := all[0].gap
	counts := []int{}
	for i := 0; i < len(all); {
		n := perGap[all[i].gap]
		if all[i].gap != opening {
			counts = append(counts, n)
		}
		i += n
	}
	if len(counts) > 0 {
		sort.Ints(counts)
		usual = counts[len(counts)/2]
	}
	if extra := perGap[opening] - usual; extra > 0 {
		all = all[extra:]
	}
	out := all[:0:0]
	for i, g := range all {
		if i == 0 || g.gap != all[i-1].gap {
			out = append(out, g)
		}
	}
	return out
}

// structure returns how well the family's lines part the levels: the share of
// neighbouring lines between which material rises and only one layer lies.
func (r *reading) structure(levels []level, inside int) float64 {
	pairs, good := 0, 0.0
	for i := 1; i < len(r.gaps); i++ {
		a, b := r.gaps[i-1].gap, r.gaps[i].gap
		if b >= len(levels) {
			break
		}
		end := len(levels)
		if i+1 < len(r.gaps) {
			end = r.gaps[i+1].gap
		}
		below, above := mainLevel(levels[a:b]), mainLevel(levels[b:max(end, b+1)])
		if first := r.gaps[0].gap; above.z < below.z-tol.SameLevel && same(above.z, mainLevel(levels[first:r.gaps[1].gap]).z) {
			continue // the next object starts on the plate again
		}
		pairs++
		if above.z > below.z+tol.SameLevel {
			r.rises++
			good++
			if several(levels[a:b]) {
				good -= 0.7
			}
		}
	}
	if pairs == 0 {
		return 0.9
	}
	return good/float64(pairs) - float64(inside)/float64(inside+len(r.gaps))
}

// mainLevel returns the level with most material.
func mainLevel(levels []level) level {
	best := levels[0]
	for _, v := range levels[1:] {
		if v.length > best.length {
			best = v
		}
	}
	return best
}

// several reports whether the levels hold more than one layer: three or more
// that rise, each with a good part of the material, and none that falls back. A
// layer laid at several Z goes up and down.
func several(levels []level) bool {
	main, rising, z := mainLevel(levels), 0, math.Inf(-1)
	for _, v := range levels {
		if v.length <= main.length/4 {
			continue
		}
		if v.z < z-tol.SameLevel {
			return false
		}
		if v.z > z+tol.SameLevel {
			rising++
			z = v.z
		}
	}
	return rising >= 3
}

// arithmetic looks for a number that counts up by one with every line (or
// starts again, as with one object after another), or that states the Z of the
// material that follows.
func (r *reading) arithmetic(levels []level) {
	if len(r.gaps) < 2 {
		return
	}
	for k := range maxNumbers {
		counts, states := true, true
		for i, g := range r.gaps {
			if g.count <= k {
				counts, states = false, false
				break
			}
			n := g.numbers[k]
			if i > 0 {
				counts = counts && (n == r.gaps[i-1].numbers[k]+1 || n == r.gaps[0].numbers[k] && i > 1)
			}
			counts = counts && n == math.Trunc(n)
			if g.gap < len(levels) {
				next := len(levels)
				if i+1 < len(r.gaps) {
					next = r.gaps[i+1].gap
				}
				next = max(next, g.gap+1)
				states = states && math.Abs(mainLevel(levels[g.gap:next]).z-n) <= tol.LevelNumber
			}
		}
		counts = counts && r.gaps[1].numbers[k] != r.gaps[0].numbers[k]
		if counts && r.at < 0 {
			r.counts, r.at = true, k
		}
		r.statesZ = r.statesZ || states
	}
}
