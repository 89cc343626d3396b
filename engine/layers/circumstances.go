package layers

import (
	"fmt"
	"math"

	"sheenlay/engine/finding"
	"sheenlay/engine/tol"
)

// circumstances looks for what makes a first layer other than plain, and
// reports what is refused and why.
func (f *Finder) circumstances(r *Result, readings []reading, whole bool) {
	first := r.Layers[0]
	end := math.MaxInt
	if len(r.Layers) > 1 {
		end = r.Layers[1].Line
	}
	inside := f.between(first.Line, end)
	if len(inside) == 0 {
		r.Confidence = math.Min(r.Confidence, 0.2)
		r.because(-1, "No material is laid between the two lines.")
		return
	}
	f.returning(r)
	f.raft(r, readings, end)
	for _, t := range f.tools {
		if t.line > inside[0].first.line && t.line < inside[len(inside)-1].last.line {
			r.add("layers-tool-change", finding.Stop, Boundary{Line: t.line, Offset: t.offset},
				"The tool changes within the first layer, and the pattern is one bead of one tool.",
				"Slice the piece so that one tool lays the first layer.")
			break
		}
	}
	low, high := inside[0].z, inside[0].z
	for _, v := range inside {
		low, high = math.Min(low, v.z), math.Max(high, v.z)
	}
	if high-low > tol.StrayZ {
		r.add("layers-several-z", finding.Caution, first,
			fmt.Sprintf("The first layer is laid at several Z, from %.3f to %.3f mm.", low, high),
			"The pattern is laid at the Z of most of it; look at the preview.")
	}
	if f.options.FirstLine == 0 && several(inside) {
		r.because(-0.5, "Between the two lines the material rises as several layers do.")
		r.Confidence = math.Min(r.Confidence, 0.4)
	}
	if len(r.Layers) < 2 {
		r.NeedsChoice = r.NeedsChoice || whole
		return
	}
	climbs := r.LastEnds && f.climbed > tol.StrayLength
	switch {
	case r.LastEnds && !climbs && f.after == 0:
		r.add("layers-truncated", finding.Caution, first, "The file ends in the first layer, without the commands that end a print; it may be cut off.",
			"Check that the whole file was saved.")
	case whole && f.after == 0:
		r.add("layers-truncated", finding.Caution, r.Layers[len(r.Layers)-1], "The file ends with material, without the commands that end a print; it may be cut off.",
			"Check that the whole file was saved.")
	case climbs:
	case r.LastEnds && len(r.Layers) == 2 && f.options.FirstLine == 0 && f.marksSeveral(first.Line, end):
		r.because(-0.4, "Lines mark several layers, but the material never rises between them.")
		r.Confidence = math.Min(r.Confidence, 0.4)
		r.add("layers-no-rise", finding.Caution, first, "Lines of the file mark several layers, yet all material is laid at one Z.",
			"Check the file: its Z moves may be missing. If it is right, choose the lines that start and end the layer.")
	case r.LastEnds && len(r.Layers) == 2:
		r.add("layers-one", finding.Caution, first, "Nothing follows the first layer: either the piece is one layer thin, or the file was cut off above it or not sliced to its end.",
			"If the piece is thicker than one layer, slice it again and choose that file.")
	}
	if climbs || f.ramped > f.flat {
		r.add("layers-spiral", finding.Note, r.Layers[1], "Above its bottom the piece is laid while Z rises steadily.", "The first layer is flat and can carry a pattern.")
	}
}

// between returns the levels that lie between two lines.
func (f *Finder) between(from, to int) []level {
	var out []level
	for _, v := range f.levels {
		if v.first.line >= from && v.first.line < to {
			out = append(out, v)
		}
	}
	return out
}

// returning reports a file that prints one object after another: material
// comes back to the first layer's Z after it had risen, or markers count from
// the start again.
func (f *Finder) returning(r *Result) {
	if len(r.Layers) < 2 || r.LastEnds && len(r.Layers) == 2 {
		return
	}
	first, second := r.Layers[0], r.Layers[1]
	risen := false
	for _, v := range f.levels {
		if v.first.line < second.Line || v.length < tol.StrayLength {
			continue
		}
		risen = risen || v.z > first.Z+tol.SameLevel
		if risen && v.z < first.Z+tol.SameLevel {
			r.add("layers-sequential", finding.Stop, Boundary{Line: v.approach.line, Offset: v.approach.offset},
				"Material returns to the first layer after rising: the file prints one object after another.",
				"Slice the objects to be printed all at once, or one object per file.")
			return
		}
	}
}

// marksSeveral reports whether lines between two others say in words that
// several layers start: lines of one family, with different numbers or none.
func (f *Finder) marksSeveral(from, to int) bool {
	for _, y := range f.order {
		if y.meaning.layer == 0 || y.meaning.label > 0 {
			continue
		}
		var before *occurrence
		for i := range y.lines {
			o := &y.lines[i]
			if o.line < from || o.line >= to {
				continue
			}
			if before != nil && (o.count == 0 || o.numbers != before.numbers) {
				return true
			}
			before = o
		}
	}
	return false
}

// raft reports a first layer that belongs to a raft: some line that marks the
// layers, not only the best, counts them from below nought.
func (f *Finder) raft(r *Result, readings []reading, end int) {
	negative := false
	for _, y := range readings {
		negative = negative || y.counts && y.gaps[0].numbers[y.at] < 0
	}
	for _, y := range f.order {
		if y.meaning.raft == 0 || y.meaning.layer > 0 && len(y.lines) > 1 {
			continue
		}
		for _, o := range y.lines {
			negative = negative || o.line >= r.Layers[0].Line && o.line < end
		}
	}
	if negative {
		r.add("layers-raft", finding.Stop, r.Layers[0],
			"The piece stands on a raft: what is laid first is the raft, not the piece's face.",
			"Slice the piece without a raft, flat on the plate.")
	}
}

// choice checks the lines that a person chose.
func (f *Finder) choice(r *Result) {
	refuse := func(text string) {
		r.NeedsChoice, r.Confidence = true, 0
		r.add("layers-choice", finding.Stop, Boundary{Line: f.options.FirstLine}, text, "Choose two lines: the one that starts the first layer and the one that starts the second.")
	}
	a, b := f.chosen[0], f.chosen[1]
	switch {
	case a.line == 0 || b.line == 0:
		refuse("A chosen line is not in the file.")
		return
	case a.line >= b.line:
		refuse("The second layer is chosen to start before the first.")
		return
	}
	inside, above := f.between(a.line, b.line), f.between(b.line, math.MaxInt)
	for _, v := range f.levels {
		if v.first.line < b.line && v.last.line >= b.line || v.first.line < a.line && v.last.line >= a.line {
			r.because(-0.3, fmt.Sprintf("A chosen line parts material laid at one Z (%.3f mm).", v.z))
			r.add("layers-choice-parts", finding.Caution, Boundary{Line: v.first.line, Offset: v.first.offset},
				"A chosen line stands in the middle of a layer's material.", "Check that it is the line you meant.")
			if v.first.line < a.line {
				inside = append([]level{v}, inside...)
			}
			break
		}
	}
	if len(inside) == 0 {
		refuse("No material is laid between the chosen lines.")
		return
	}
	main := mainLevel(inside)
	r.Layers = []Boundary{{Line: a.line, Offset: a.offset, Z: main.z, HeightMM: main.z}}
	second := Boundary{Line: b.line, Offset: b.offset, Z: main.z}
	if len(above) > 0 {
		second.Z = above[0].z
		second.HeightMM = second.Z - main.z
		if second.Z <= main.z+tol.SameLevel {
			r.add("layers-choice-z", finding.Caution, second, "The layer chosen as second does not lie higher than the first.",
				"Check that it is the line you meant.")
		}
	} else {
		r.LastEnds = true
	}
	r.Layers = append(r.Layers, second)
	r.Confidence = 1
	r.because(1, "The lines were chosen by hand.")
}

// maxCandidates bounds the lines shown to a person.
const maxCandidates = 24

// candidates lists the lines that may start a layer: markers, and the first
// moves towards each of the first levels.
func (f *Finder) candidates(r *Result, readings []reading) {
	seen := map[int]bool{}
	add := func(m mark, z float64, reads string) {
		if m.line > 0 && !seen[m.line] && len(r.Candidates) < maxCandidates {
			seen[m.line] = true
			r.Candidates = append(r.Candidates, Candidate{Line: m.line, Offset: m.offset, Z: z, Reads: reads})
		}
	}
	for _, y := range readings {
		for i, g := range y.gaps {
			if i < 4 && g.gap < len(y.levels) {
				add(g.mark, y.levels[g.gap].z, "a line that may mark a layer")
			}
		}
	}
	for _, y := range f.order {
		if y.meaning.layer > 0 && y.meaning.label == 0 {
			for i, o := range y.lines {
				if i < 3 {
					add(o.mark, f.zAfter(o.line), "a line with a word for layer")
				}
			}
		}
	}
	for i, v := range clean(f.levels, nil) {
		if i < 8 {
			add(v.approach, v.z, fmt.Sprintf("the first move towards material at Z %.3f", v.z))
		}
	}
	sortCandidates(r.Candidates)
}

func (f *Finder) zAfter(line int) float64 {
	for _, v := range f.levels {
		if v.first.line > line {
			return v.z
		}
	}
	return 0
}
