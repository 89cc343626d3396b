package thread

import (
	"fmt"
	"math"

	"sheenlay/engine/finding"
	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// offLimits is where the lines of a field stand too far apart, or too near, for
// the bead's widths.
type offLimits struct {
	nodes int     // of the grid
	worst float64 // spacing, mm
	at    plane.Point
}

func (o *offLimits) add(spacing float64, at plane.Point, worse bool) {
	if o.nodes == 0 || worse {
		o.worst, o.at = spacing, at
	}
	o.nodes++
}

// refuseSteep refuses a field of whose lines no bead can be made because they
// crowd nearly everywhere, before any is traced. The time that laying them
// takes grows with the pairs of lines beside each other, so with the square of
// their density: that is summed over the grid and held against
// tol.ThreadSteepest. (By the coarea formula ∬|∇Level|/step, Federer 1959, is
// their length.)
func (w *work) refuseSteep(g *grid, l ladder) error {
	if l.last-l.first > maxCorners {
		return tooSteep(math.Inf(1))
	}
	pairs, nodes := 0.0, 0
	for at, in := range g.inside {
		if in && g.have[at+1] && g.have[at+g.nx] {
			dx, dy := g.level[at+1]-g.level[at], g.level[at+g.nx]-g.level[at]
			pairs += float64(dx*dx) + float64(dy*dy)
			nodes++
		}
	}
	// Beside each other stand as many lines as levels fit between two nodes.
	toLines := w.area.Spacing / (l.step * g.step)
	if pairs *= float64(toLines * toLines); pairs > tol.ThreadSteepest*tol.ThreadSteepest*float64(nodes)+steepAnyway {
		return tooSteep(math.Sqrt(pairs / float64(nodes)))
	}
	return nil
}

// steepAnyway is a sum of squares that is never refused: it takes no time.
const steepAnyway = 10_000.0

// judgeSpacing reports where lines of the ladder stand apart by more than the
// widest bead, which leaves strips bare, or by less than the narrowest, which
// lays bead over bead: over how large an area, how far at the worst, and where
// that is. Lines are neither put in nor left out there; at least ∬|∇·T|/s of
// them (T the lines' direction, s their spacing) would have to begin or end
// inside the zone.
func (w *work) judgeSpacing(g *grid, l ladder) {
	var far, near offLimits
	for at, in := range g.inside {
		if !in || !g.have[at-1] || !g.have[at+1] || !g.have[at-g.nx] || !g.have[at+g.nx] {
			continue
		}
		dx, dy := g.level[at+1]-g.level[at-1], g.level[at+g.nx]-g.level[at-g.nx]
		// The gradient vanishes at a centre and jumps on a ridge; there the two
		// sides tell opposite slopes, and single nodes tell nothing.
		if g.turns(at, 1) || g.turns(at, g.nx) {
			continue
		}
		spacing := l.step * 2 * g.step / math.Hypot(dx, dy)
		switch {
		case spacing > w.area.Max*(1+tol.ThreadSpacingShare):
			far.add(spacing, g.place(at), spacing > far.worst)
		case spacing < w.area.Min*(1-tol.ThreadSpacingShare):
			near.add(spacing, g.place(at), spacing < near.worst)
		}
	}
	w.offLimits(far, g, "thread-lines-apart", "Lines of a field stand up to %.2f mm apart, where the widest bead is %.2f mm: over %.1f mm² strips stay bare.",
		"Use a wider bead, narrower lines, or a smaller swing.", w.area.Max)
	w.offLimits(near, g, "thread-lines-crowd", "Lines of a field crowd to %.2f mm, where the narrowest bead is %.2f mm: over %.1f mm² bead lies on bead.",
		"Use wider lines, or larger features.", w.area.Min)
}

// turns reports whether the level turns round at a node along an axis.
func (g *grid) turns(at, step int) bool {
	return (g.level[at]-g.level[at-step])*(g.level[at+step]-g.level[at]) < 0
}

// offLimits adds the finding of one kind, unless the area is too small to see.
func (w *work) offLimits(o offLimits, g *grid, code, text, remedy string, limit float64) {
	area := float64(o.nodes) * g.step * g.step
	if area < tol.ThreadSpacingMM2 {
		return
	}
	w.found.Add(finding.Finding{
		Code: code, Level: finding.Caution, Text: fmt.Sprintf(text, o.worst, limit, area), Remedy: remedy,
		Place: &finding.Place{At: &[2]float64{o.at.X, o.at.Y}}, Value: area, Unit: "mm²",
	})
}
