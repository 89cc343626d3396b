// Package thread lays what straight rows cannot: zones whose lines follow the
// level sets of a field, and patterns of curves (space-filling curves,
// spirals, drawn lines). It is the fill's Threader.
//
// Both come down to one thing. Inside a zone less half a bead, the lines are
// cut into pieces that end on its border. Along each ring of the border the
// ends are tied in pairs, every second stretch of border becoming bead:
//
//	──╮ ╭──╮ ╭──╮ ╭──   border
//	  │ │  │ │  │ │
//	  │ │  │ │  │ │     level lines or curve
//
// Whatever the lines do inside (split, merge, close round a knot), the result
// is a set of closed beads that neither cross nor leave the zone, because the
// pieces do not cross and the stretches of border are disjoint. Package loops
// joins them by bridges, and those near the border turn a stack of lines into
// a comb (zigzag and spine).
//
// Where level lines fan out or draw together beyond the widths of a bead, lines
// come in or go out by folds (see strips.go), so that beads stay closed.
//
// Law: each point of a piece is a point of its line (level lines within
// tol.ThreadSimplifyMM and tol.ThreadLevelMM), but for those within two lines of
// the border, which are shared out between their neighbours (see relax), the
// turns of folds, and the hairpins of curves (see overrun).
// Everything is checked for crossings in the end; a loop that crosses is left
// out and reported.
package thread

import (
	"context"
	"fmt"
	"slices"

	"sheenlay/engine/fill"
	"sheenlay/engine/fill/loops"
	"sheenlay/engine/finding"
	"sheenlay/engine/overlay"
	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
	"sheenlay/engine/strand"
	"sheenlay/engine/tol"
)

// Threader lays fields and curves. It holds no state and may be shared.
type Threader struct{}

var _ fill.Threader = Threader{}

// New returns the Threader.
func New() Threader { return Threader{} }

// Zone lays the level lines of the area's field. Lines are spaced to fit the
// levels that the zone spans, so that the first and the last lie on its border
// (adapted spacing, as straight rows have), and their width follows the
// distance to their neighbours. An area with no field or no room gives nothing.
func (Threader) Zone(ctx context.Context, area fill.Area) ([]loops.Loop, finding.List, error) {
	w := &work{ctx: ctx, area: area}
	if area.Lay.Field == nil {
		return nil, nil, nil
	}
	for _, island := range overlay.Islands(inset(area)) {
		best, err := w.layLevels(island)
		if err != nil {
			return nil, nil, err
		}
		w.out, w.found = append(w.out, best.out...), append(w.found, best.found...)
	}
	return w.out, w.found, nil
}

// Curves lays the curves where they run over the island, half a bead from its
// border, and ties their pieces along it. Beads that the fill could not join,
// in necks and tips, come joined already.
func (Threader) Curves(ctx context.Context, island plane.Region, curves []pattern.Curve, area fill.Area) ([]loops.Loop, finding.List, error) {
	w := &work{ctx: ctx, area: area}
	lines := make([]line, 0, len(curves))
	for _, c := range curves {
		if points := withoutRepeats(c.Points, c.Closed); len(points) > 1 {
			closed := c.Closed && len(points) > 2
			points = overrun(simplified(points, closed, tol.ThreadSimplifyMM), closed, area.Spacing)
			lines = append(lines, line{points: points, closed: closed})
		}
	}
	for _, part := range overlay.Islands(inset(area)) {
		w.lay(part, lines)
		if ctx.Err() != nil {
			return nil, nil, ctx.Err()
		}
	}
	made, err := w.joined(island)
	return made, w.found, err
}

// joined returns the beads as they are when the fill's own bridges reach them
// all. Else it joins what those leave apart by bridges that are narrower, or
// come nearer to other bead and to the border; where the usual ones have taken
// the place for that, it begins with the closer ones. Only curves, which have
// the island to themselves, can be joined here.
func (w *work) joined(island plane.Region) ([]loops.Loop, error) {
	width := w.area.Width
	usual, err := loops.Join(w.ctx, w.out, loops.Options{Width: width, Wall: island})
	if err != nil || len(usual.Loops) <= 1 {
		return w.out, err
	}
	made, fewest := w.out, len(usual.Loops)
	for _, from := range [2][]loops.Loop{usual.Loops, w.out} {
		for _, closer := range [3]struct{ gap, room float64 }{ // 0: the usual
			{gap: tol.ThreadNarrowGap},
			{room: tol.ThreadCloseRoom},
			{gap: tol.ThreadNarrowGap, room: tol.ThreadClosestRoom},
		} {
			if fewest <= 1 {
				break
			}
			r, err := loops.Join(w.ctx, from, loops.Options{
				Width: width, Wall: island, Gap: closer.gap * width, Clearance: closer.room * width, WallRoom: closer.room * width,
			})
			if err != nil {
				return nil, err
			}
			if len(r.Loops) < fewest {
				fewest, made = len(r.Loops), r.Loops
			}
		}
	}
	for i := range made {
		if made[i].Border == nil {
			made[i].Border = slices.Repeat([]bool{true}, made[i].Segments())
		}
	}
	return made, nil
}

// work is one call.
type work struct {
	ctx   context.Context
	area  fill.Area
	out   []loops.Loop
	found finding.List
}

// line is a level line or a curve before it is cut.
type line struct {
	points []plane.Point
	closed bool
}

// lay cuts lines by a part of the inset, ties them, and adds what comes out.
// Lines that run along the border by chance (a lattice on a straight side) can
// leave beads that touch; then the border gives way a little.
func (w *work) lay(part plane.Region, lines []line) {
	var best attempt
	for try := range insetTries {
		a := attempt{}
		parts := []plane.Region{part}
		if try > 0 {
			parts = overlay.Islands(overlay.Offset(part, -tol.ThreadGiveWayMM*float64(try), overlay.Mitre(2), 0))
		}
		for _, g := range parts {
			w.build(&a, newBorder(g, w.area.Spacing), lines)
		}
		if w.ctx.Err() != nil {
			return
		}
		if try == 0 || a.dropped < best.dropped {
			best = a
		}
		if best.dropped == 0 {
			break
		}
	}
	w.adaptWidths(best.borders, best.beads)
	w.out = append(w.out, best.beads...)
	w.found = append(w.found, best.found...)
}

// insetTries is how often the border gives way.
const insetTries = 3

// attempt is the beads of a part and what they leave out.
type attempt struct {
	borders []*border
	beads   []loops.Loop
	found   finding.List
	dropped float64 // length of beads that crossed, mm
}

// build adds the beads of one part.
func (w *work) build(a *attempt, b *border, lines []line) {
	pieces := b.cut(w.ctx, lines)
	if w.ctx.Err() != nil {
		return
	}
	t := newTier(w, a, b, pieces)
	beads := w.withoutCrossings(a, t.tie())
	a.borders, a.beads = append(a.borders, b), append(a.beads, w.relax(b, beads)...)
}

// inset returns where centre lines may run: every cover less its clearance.
func inset(a fill.Area) plane.Region {
	var in plane.Region
	first := true
	for _, c := range a.Covers {
		if c.Outside {
			continue
		}
		g := overlay.Offset(c.Region, -c.Clearance, overlay.Round(), 0)
		if first {
			in, first = g, false
		} else {
			in = overlay.Intersect(in, g)
		}
	}
	for _, c := range a.Covers {
		if c.Outside && c.Region.Bounds().Grow(c.Clearance).Intersects(in.Bounds()) {
			in = overlay.Subtract(in, overlay.Offset(c.Region, c.Clearance, overlay.Round(), 0))
		}
	}
	return in
}

// leftOut reports a loop that is not laid, with the area it would have covered.
func (a *attempt) leftOut(l loops.Loop, width float64, code, text, remedy string) {
	area := l.Length() * width
	if area < leastReportedMM2 {
		return
	}
	at := l.Points[0]
	a.found.Add(finding.Finding{
		Code: code, Level: finding.Note, Text: text, Remedy: remedy,
		Place: &finding.Place{At: &[2]float64{at.X, at.Y}}, Value: area, Unit: "mm²",
	})
}

// leastReportedMM2 is the area under which nothing left out is reported: a
// quarter of a bead's square.
const leastReportedMM2 = 0.05

// tooSteep refuses a field whose lines stand that many times too near.
func tooSteep(crowd float64) error {
	text := fmt.Sprintf("The lines of a field stand %.0f times nearer than a line is wide.", crowd)
	if !(crowd < maxCorners) {
		text = "The lines of a field are without number."
	}
	return finding.Finding{
		Code: "thread-too-steep", Level: finding.Stop, Text: text,
		Remedy: "Choose larger features or a wider spacing.", Value: min(crowd, maxCorners),
	}
}

const connector = strand.Connector
