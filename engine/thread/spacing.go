package thread

import (
	"fmt"
	"math"

	"sheenlay/engine/fill/near"
	"sheenlay/engine/finding"
	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// offLimits is where the lines of a field stand too far apart, or too near, for
// the bead's widths.
type offLimits struct {
	nodes []int   // of the grid
	worst float64 // spacing, mm
	at    plane.Point
}

func (o *offLimits) add(node int, spacing float64, at plane.Point, worse bool) {
	if len(o.nodes) == 0 || worse {
		o.worst, o.at = spacing, at
	}
	o.nodes = append(o.nodes, node)
}

// area returns the area of the nodes, mm².
func (o *offLimits) area(g *grid) float64 { return float64(len(o.nodes)) * g.step * g.step }

// seen reports whether the area is large enough to be seen.
func (o *offLimits) seen(g *grid) bool { return o.area(g) >= tol.ThreadSpacingMM2 }

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

// offLimits finds where the lines of the ladder stand apart by more than the
// widest bead, or by less than the narrowest.
func (w *work) offLimits(g *grid, l ladder) (far, near offLimits) {
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
		case spacing > w.widest():
			far.add(at, spacing, g.place(at), spacing > far.worst)
		case spacing < w.narrowest():
			near.add(at, spacing, g.place(at), spacing < near.worst)
		}
	}
	return far, near
}

// widest and narrowest are the limits of the spacing that is laid as it is, mm.
func (w *work) widest() float64    { return w.area.Max * (1 + tol.ThreadSpacingShare) }
func (w *work) narrowest() float64 { return w.area.Min * (1 - tol.ThreadSpacingShare) }

// judgeSpacing reports where lines still stand apart by more than the widest
// bead, which leaves strips bare, or by less than the narrowest, which lays bead
// over bead, at the nodes where the field's spacing is off limits: over how
// large an area, how far at the worst, and where that is. At least ∬|∇·T|/s of
// the lines (T their direction, s their spacing) would have to begin or end
// inside the zone, were all of one width.
func (w *work) judgeSpacing(g *grid, lines []line, far, near offLimits) {
	laid := nearLines(lines, g, w.area.Spacing)
	var stillFar, stillNear offLimits
	for _, at := range far.nodes {
		if s, ok := spacingAt(g, laid, at, 6*w.area.Max); ok && s > w.widest() {
			stillFar.add(at, s, g.place(at), s > stillFar.worst)
		}
	}
	for _, at := range near.nodes {
		if s, ok := spacingAt(g, laid, at, 6*w.area.Max); ok && s < w.narrowest() {
			stillNear.add(at, s, g.place(at), s < stillNear.worst)
		}
	}
	w.report(stillFar, g, "thread-lines-apart", "Lines of a field stand up to %.2f mm apart, where the widest bead is %.2f mm: over %.1f mm² strips stay bare.",
		"Use a wider bead, narrower lines, or a smaller swing.", w.area.Max)
	w.report(stillNear, g, "thread-lines-crowd", "Lines of a field crowd to %.2f mm, where the narrowest bead is %.2f mm: over %.1f mm² bead lies on bead.",
		"Use wider lines, or larger features.", w.area.Min)
}

// nearLines puts lines into a grid.
func nearLines(lines []line, g *grid, spacing float64) *near.Grid {
	box := plane.Box{Min: g.origin, Max: g.place(g.nx*g.ny - 1)}
	out := near.New(box, 2*spacing)
	for _, l := range lines {
		for i := 1; i < len(l.points); i++ {
			out.Add(l.points[i-1], l.points[i])
		}
		if l.closed {
			out.Add(l.points[len(l.points)-1], l.points[0])
		}
	}
	return out
}

// spacingAt returns how far apart the lines on both sides of a node stand, as
// far as it is seen along the slope; false where one side has none.
func spacingAt(g *grid, laid *near.Grid, at int, reach float64) (float64, bool) {
	p := g.place(at)
	slope := plane.Point{X: g.level[at+1] - g.level[at-1], Y: g.level[at+g.nx] - g.level[at-g.nx]}.Unit()
	sum := 0.0
	for _, sign := range [2]float64{1, -1} {
		ray := near.Segment{A: p, B: p.Add(slope.Mul(sign * reach))}
		first := math.Inf(1)
		laid.Near(ray.A, ray.B, 0, func(id int) bool {
			if t, ok := meets(ray, laid.Segment(id)); ok {
				first = min(first, t)
			}
			return true
		})
		sum += first * reach
	}
	return sum, !math.IsInf(sum, 1)
}

// turns reports whether the level turns round at a node along an axis.
func (g *grid) turns(at, step int) bool {
	return (g.level[at]-g.level[at-step])*(g.level[at+step]-g.level[at]) < 0
}

// report adds the finding of one kind, unless the area is too small to see.
func (w *work) report(o offLimits, g *grid, code, text, remedy string, limit float64) {
	if !o.seen(g) {
		return
	}
	w.found.Add(finding.Finding{
		Code: code, Level: finding.Caution, Text: fmt.Sprintf(text, o.worst, limit, o.area(g)), Remedy: remedy,
		Place: &finding.Place{At: &[2]float64{o.at.X, o.at.Y}}, Value: o.area(g), Unit: "mm²",
	})
}
