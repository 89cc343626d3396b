package layers

import (
	"fmt"
	"math"
	"sort"

	"sheenlay/engine/finding"
	"sheenlay/engine/tol"
)

// decide weighs all that was seen. whole says that it was the whole file.
func (f *Finder) decide(whole bool) Result {
	r := Result{LinesRead: f.last.line, BytesRead: f.last.end}
	if len(f.levels) == 0 {
		f.nothing(&r, whole)
		return r
	}
	readings := f.readings()
	switch {
	case f.options.FirstLine > 0 || f.options.SecondLine > 0:
		f.choice(&r)
	case !f.byMarker(&r, readings, whole):
		f.byLevels(&r, whole)
	}
	if len(r.Layers) > 0 {
		f.circumstances(&r, readings, whole)
	}
	if f.options.FirstLine == 0 && r.Confidence < tol.SureEnough {
		r.NeedsChoice = true
	}
	if r.NeedsChoice {
		f.candidates(&r, readings)
	}
	return r
}

// nothing reports a file in which nothing is laid at one Z.
func (f *Finder) nothing(r *Result, whole bool) {
	r.NeedsChoice = true
	if f.ramped > 0 {
		r.add("layers-spiral", finding.Stop, Boundary{Line: f.moved.line}, "All material is laid while Z changes: the file has no flat first layer.",
			"Slice the piece with at least one solid bottom layer.")
		return
	}
	text := "The file lays no material, so it has no first layer."
	if !whole {
		text = fmt.Sprintf("The first %d MB of the file lay no material.", f.last.end>>20)
	}
	r.add("layers-none", finding.Stop, Boundary{Line: 1}, text,
		"Choose the sliced file of your piece.")
}

// readings judges all families and returns those that mark layers, best first.
func (f *Finder) readings() []reading {
	var out []reading
	for _, y := range f.order {
		if y.meaning.layer == 0 && len(y.lines) < 2 {
			continue
		}
		if r := read(y, f.levels); r.accepted {
			out = append(out, r)
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return better(out[i], out[j]) })
	return out
}

// better prefers lines that start layers to lines that end them, comments to
// commands, and then the higher score.
func better(a, b reading) bool {
	if a.ends != b.ends {
		return b.ends
	}
	if a.progress != b.progress && math.Abs(a.score-b.score) < 0.3 {
		return b.progress
	}
	if a.score == b.score && len(a.gaps) == 1 && len(b.gaps) == 1 {
		return a.gaps[0].line > b.gaps[0].line
	}
	return a.score > b.score
}

// byMarker takes the boundaries from the best family. It reports false where
// no family marks layers.
func (f *Finder) byMarker(r *Result, readings []reading, whole bool) bool {
	if len(readings) == 0 {
		return false
	}
	best := readings[0]
	r.Marker, r.Sample, r.Progress = best.key, best.sample, best.progress
	r.anchor = best.anchor
	r.prefix, r.ends, r.numberAt = best.prefix, best.ends, -1
	r.Confidence = 0.6 + 0.39*math.Min(1, best.score)
	switch best.rises {
	case 0:
		r.Confidence -= 0.15
	case 1:
		r.Confidence -= 0.1
	}
	r.because(best.score, fmt.Sprintf("Lines of the shape “%s” part the material: it rises between them %s.", shown(best.sample), times(best.rises)))
	if best.meaning.layer > 0 {
		r.because(best.meaning.layer*0.5, "The line says “layer” in words.")
	}
	if best.counts {
		r.numberAt = best.at
		r.From = int(best.gaps[0].numbers[best.at])
		r.because(0.5, fmt.Sprintf("Its number counts up by one, from %d.", r.From))
	}
	if best.statesZ {
		r.because(0.5, "Its number is the Z of the material that follows.")
	}

	before, primed := f.beforeLine(best.gaps[0].line)
	if primed {
		r.because(0.1, "What is laid before, beside the piece or higher, is a priming line.")
	}
	if len(before) > 0 && (best.ends || f.unmarkedFirst(r, best, before)) {
		start := before[0].start()
		r.unmarked = true
		r.Layers = append(r.Layers, Boundary{Line: start.line, Offset: start.offset, Z: mainLevel(before).z})
	}
	for i, g := range best.gaps {
		if g.gap >= len(best.levels) {
			break
		}
		next := len(best.levels)
		if i+1 < len(best.gaps) {
			next = max(best.gaps[i+1].gap, g.gap+1)
		}
		at, sample := f.earliest(best, g, i, readings)
		r.Layers = append(r.Layers, Boundary{Line: at.line, Offset: at.offset, Z: mainLevel(best.levels[g.gap:next]).z, Text: sample})
	}
	f.finish(r, whole)
	f.disagreement(r, best, readings)
	return true
}

// beforeLine returns the levels laid before a line, without what the start code
// primes, and whether there was such priming.
func (f *Finder) beforeLine(line int) (before []level, primed bool) {
	rest, dropped := unprimed(f.levels)
	n := sort.Search(len(rest), func(i int) bool { return rest[i].first.line >= line })
	return clean(rest[:n], nil), len(dropped) > 0
}

// start is the line where a level that no marker announces starts: the first
// move after the last command of another kind, for the first level of a file.
func (v level) start() mark {
	if v.quiet.line > v.approach.line {
		return v.quiet
	}
	return v.approach
}

// unmarkedFirst reports whether the material before the first marker is the
// first layer (a file that marks changes only), not priming. Where that cannot
// be told, it lowers the confidence.
func (f *Finder) unmarkedFirst(r *Result, best reading, before []level) bool {
	first := best.gaps[0]
	if first.gap >= len(best.levels) {
		r.Confidence = 0.3
		return false
	}
	next := len(best.levels)
	if len(best.gaps) > 1 {
		next = max(best.gaps[1].gap, first.gap+1)
	}
	marked, below := mainLevel(best.levels[first.gap:next]), mainLevel(before)
	if below.z >= marked.z-tol.SameLevel {
		r.because(0.2, "What is laid before the first marker is not lower than the layer after it.")
		return false
	}
	from := math.NaN()
	if best.counts {
		from = first.numbers[best.at]
	}
	step := math.NaN()
	if next < len(best.levels) {
		step = best.levels[next].z - marked.z
	}
	rise := marked.z - below.z
	piece := below.moves > tol.PrimeMoves && (math.IsNaN(step) || rise > 0.4*step && rise < 2.5*step)
	switch {
	case piece && from != 0 && from != -1:
		r.because(0.3, "The first marker stands after a layer already laid: the file marks changes only.")
		return true
	case !piece && (math.IsNaN(from) || from == 0 || from == 1) && below.moves <= tol.PrimeMoves:
		r.because(0.2, "What is laid before the first marker is short, as a priming line is.")
		return false
	}
	r.Confidence = math.Min(r.Confidence, 0.4)
	r.because(-0.5, "Material is laid before the first marker, lower than after it; it may be the first layer or a priming line.")
	return piece
}

// earliest returns the first marker line between the material of two layers:
// of the best family, or of another that marks the same layers.
func (f *Finder) earliest(best reading, g gapLine, index int, readings []reading) (mark, string) {
	at, sample := g.mark, best.sample
	if best.ends {
		return mark{at.line + 1, at.end, at.end}, sample
	}
	from := 0
	if g.gap > 0 {
		from = best.levels[g.gap-1].last.line
	}
	for _, y := range readings[1:] {
		if y.ends || y.progress != best.progress || len(y.gaps) < len(best.gaps)-1 || len(y.gaps) == 1 && len(best.gaps) > 1 {
			continue
		}
		if index == 0 && len(y.gaps) > 1 && len(best.gaps) > 1 && y.gaps[1].line > best.levels[min(best.gaps[1].gap, len(best.levels)-1)].first.line {
			continue
		}
		for _, o := range y.gaps {
			if o.line > from && o.line < at.line {
				at, sample = o.mark, y.sample
			}
		}
	}
	return at, sample
}

// byLevels takes the boundaries from the Z of the material alone.
func (f *Finder) byLevels(r *Result, whole bool) {
	rest, primed := unprimed(f.levels)
	levels := clean(rest, nil)
	if len(primed) > 0 {
		r.because(0.1, "What is laid before, beside the piece or higher, is a priming line.")
	}
	rises, falls := 0, 0
	for i := 1; i < len(levels); i++ {
		if levels[i].z > levels[i-1].z {
			rises++
		} else {
			falls++
		}
	}
	z := math.Inf(-1)
	for i, v := range levels {
		if v.z <= z+tol.SameLevel {
			continue
		}
		z = v.z
		start := v.approach
		if i == 0 {
			start = v.start()
		}
		r.Layers = append(r.Layers, Boundary{Line: start.line, Offset: start.offset, Z: v.z})
	}
	r.because(0.6, fmt.Sprintf("No line marks layers; the Z at which material is laid rises %s.", times(rises)))
	switch {
	case rises >= 3:
		r.Confidence = 0.9
	case rises == 2:
		r.Confidence = 0.8
	case rises == 1:
		r.Confidence = 0.7
	case whole:
		r.Confidence = 0.65
	}
	if falls > 0 {
		share := float64(falls) / float64(rises+falls)
		r.Confidence -= 1.2 * share
		r.because(-1.2*share, fmt.Sprintf("Z also falls between pieces of material, %s.", times(falls)))
	}
	if early := levels[:min(len(levels), earlyLevels)]; len(r.Layers) > 1 && fallsBelow(early, r.Layers[1].Z) {
		r.Confidence -= 0.4
		r.because(-0.4, "Early in the file Z rises and falls again; these may be parts of one layer.")
	}
	f.finish(r, whole)
}

// earlyLevels is the number of levels among which a fall of Z casts doubt on
// where the second layer starts.
const earlyLevels = 12

// fallsBelow reports whether material returns below a Z after it was reached.
func fallsBelow(levels []level, z float64) bool {
	reached := false
	for _, v := range levels {
		reached = reached || v.z > z-tol.SameLevel
		if reached && v.z < z-tol.SameLevel {
			return true
		}
	}
	return false
}

// finish sets heights, and the end of the material where there is no layer
// after the first.
func (f *Finder) finish(r *Result, whole bool) {
	if whole && len(r.Layers) > 0 && len(r.Layers) <= f.options.Layers {
		end := f.moved
		if end.line == 0 {
			end = mark{f.last.line + 1, f.last.end, f.last.end}
		}
		r.Layers = append(r.Layers, Boundary{Line: end.line, Offset: end.offset, Z: r.Layers[len(r.Layers)-1].Z})
		r.LastEnds = true
	}
	below := 0.0
	for i := range r.Layers {
		r.Layers[i].HeightMM = math.Round((r.Layers[i].Z-below)*1e6) / 1e6
		below = r.Layers[i].Z
	}
}

// disagreement looks for another family that marks layers elsewhere.
func (f *Finder) disagreement(r *Result, best reading, readings []reading) {
	if len(best.gaps) < 2 || best.gaps[1].gap >= len(best.levels) {
		return
	}
	second := best.gaps[1]
	from, to := best.levels[second.gap-1].last.line, best.levels[second.gap].first.line
	for _, y := range readings[1:] {
		if y.rises < 2 || y.score < 0.7*best.score || y.gaps[0].line > to {
			continue
		}
		there := false
		for _, g := range y.gaps {
			there = there || g.line > from && g.line <= to
		}
		if !there {
			e := Evidence{fmt.Sprintf("Lines of the shape “%s” part the layers elsewhere.", shown(y.sample)), -y.score / 2}
			r.Why = append(r.Why, e)
			r.RunnerUp = &Evidence{fmt.Sprintf("Layers by “%s”.", shown(y.sample)), y.score}
			r.Confidence -= 0.4 * y.score
			return
		}
	}
}

func times(n int) string {
	switch n {
	case 0:
		return "nowhere"
	case 1:
		return "once"
	}
	return fmt.Sprintf("%d times", n)
}

// shown shortens a marker for a sentence.
func shown(sample string) string {
	if len(sample) > 40 {
		return lineAt([]byte(sample[:40]), 0) + "…"
	}
	return lineAt([]byte(sample), 0)
}
