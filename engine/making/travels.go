package making

import (
	"sheenlay/engine/overlay"
	"sheenlay/engine/plane"
	"sheenlay/engine/route"
)

// Travel is one way of a layer from run to run.
type Travel struct {
	From, To plane.Point
	route.Way
}

// plannedTravels returns the travel to each run of a layer, in the order of
// laying: prime line, kept strokes, pattern. On the first layer they go round
// the parts of the face that are still bare; a part that several beads share
// counts as bare until the last of them is laid. Above it no bead is seen, and
// travels go straight (nil).
func (w *work) plannedTravels(l *Layer) []Travel {
	if l.Source.Index != w.Layers[0].Source.Index {
		return nil
	}
	islands := overlay.Islands(l.Face)
	m := route.New(islands, w.Job.Machine.KeepOut, w.Job.Machine.Contains)
	owners, left := make([]int, len(l.Strands)), make([]int, len(islands))
	for k, s := range l.Strands {
		if owners[k] = islandOf(islands, s.Points); owners[k] >= 0 {
			left[owners[k]]++
		}
	}
	var out []Travel
	at, beads := plane.Point{X: w.piece.Start.Position.X, Y: w.piece.Start.Position.Y}, len(l.Kept)
	if len(l.Prime) > 0 {
		beads++
	}
	l.eachRun(func(points []plane.Point) {
		out = append(out, Travel{From: at, To: points[0], Way: m.Way(at, points[0])})
		at = points[len(points)-1]
		if k := len(out) - 1 - beads; k >= 0 && owners[k] >= 0 {
			if left[owners[k]]--; left[owners[k]] == 0 {
				m.Lay(owners[k])
			}
		}
	})
	return out
}

// islandOf returns the island that a bead lies on, −1 for none: that of the
// first point that lies on any.
func islandOf(islands []plane.Region, points []plane.Point) int {
	for _, p := range points {
		for i, g := range islands {
			if g.Bounds().Contains(p) && g.Contains(p) {
				return i
			}
		}
	}
	return -1
}

// BareTravelMM returns how long the layer's travels go over bare face, mm.
func (l *Layer) BareTravelMM() float64 {
	sum := 0.0
	for _, t := range l.Travels {
		sum += t.BareMM
	}
	return sum
}

// eachRun calls use for every run of the layer in the order of laying: prime
// line, kept strokes, pattern.
func (l *Layer) eachRun(use func(points []plane.Point)) {
	if len(l.Prime) > 0 {
		use(l.Prime)
	}
	for _, s := range l.Kept {
		use(s.Points)
	}
	for _, s := range l.Strands {
		use(s.Points)
	}
}
