package join

import (
	"math"
	"slices"

	"sheenlay/engine/gcode"
	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// bounds checks that a move stays on the bed and off the keep-outs. Where the
// original itself stands at the ends of the cut is the original's matter.
func (p *prover) bounds(l *gcode.Line, m *gcode.Move) {
	bed := p.plan.Machine.Bed
	from, to := plane.Point{X: m.From.X, Y: m.From.Y}, plane.Point{X: m.To.X, Y: m.To.Y}
	if from == to && !m.Arc.Is() || bed.Box.Empty() || bed.Box == (plane.Box{}) {
		return
	}
	goal := p.old[p.index].to.Position
	if math.Abs(to.X-goal.X) <= tol.JoinBed && math.Abs(to.Y-goal.Y) <= tol.JoinBed && m.Kind != gcode.Extrude {
		return
	}
	p.chords = append(p.chords[:0], to)
	if m.Arc.Is() {
		// The chords of a fine division stand for the arc: they leave it by
		// less than the border's own tolerance.
		p.chords = gcode.AppendArc(p.chords[:0], *m, tol.JoinBed)
	}
	for _, to := range p.chords {
		if !bed.Contains(to, tol.JoinBed) {
			p.stopAt(to, CodeBed, l, "The nozzle goes to X %.3f Y %.3f mm, off the bed.", to.X, to.Y)
			return
		}
	}
	for _, to := range p.chords {
		for _, k := range bed.KeepOut {
			if k.Grow(-tol.JoinBed).Crosses(from, to) {
				p.stopAt(to, CodeKeepOut, l, "The nozzle crosses a keep-out on its way to X %.3f Y %.3f mm.", to.X, to.Y)
				return
			}
		}
		from = to
	}
}

// radii checks that an arc has one centre: a machine follows the radius of its
// start and would jump at its end (NISTIR 6556, §3.5.3.2).
func (p *prover) radii(l *gcode.Line, m *gcode.Move) {
	off := math.Abs(plane.Point{X: m.To.X, Y: m.To.Y}.Dist(m.Arc.Centre) - m.Arc.Radius)
	if m.Arc.Plane != gcode.PlaneXY || off > tol.ArcRadii+tol.JoinArcNoise {
		p.stop(CodeArc, l, "The radius of an arc differs by %.4f mm between its start and its end.", off)
	}
}

// hot checks the temperatures after a line that may have set one.
func (p *prover) hot(l *gcode.Line, now *gcode.State) {
	heat, limit := slices.Max(now.Hotend[:]), p.plan.Machine.HotC
	if limit > 0 && heat > limit && heat != p.hottest {
		p.stop(CodeHot, l, "The nozzle is set to %.0f °C; permitted is up to %.0f °C.", heat, limit)
	}
	p.hottest = heat
	bed, limit := now.Bed, p.plan.Machine.HotBedC
	if limit > 0 && bed > limit && bed != p.hottestBed {
		p.stop(CodeHot, l, "The bed is set to %.0f °C; permitted is up to %.0f °C.", bed, limit)
	}
	p.hottestBed = bed
}
