// Package bead derives every figure of the extruded bead: its cross-section,
// the filament each millimetre takes, volume flow, mass, and the E of every
// segment of a strand whose width changes on the way.
//
// Lengths are mm, areas mm², speeds mm/s, unless a name says otherwise.
// Functions on plain numbers return NaN outside their domain, so that a wrong
// input cannot pass for a small bead; Settings.Validate says in words which
// number is wrong.
package bead

import "math"

// Model is an ideal cross-section of a bead. Real sections lie between the
// two: almost round when laid fast with a large gap, a flat cuboid with
// rounded edges when laid slowly with a small gap (Comminal, Serdeczny,
// Pedersen, Spangenberg, Additive Manufacturing 20, 2018, 68–76). Neither
// model is used to decide how much a covering layer needs: that follows from
// volume alone, see Feed.
type Model int

const (
	// Stadium is a rectangle with half-round ends of the layer's height, the
	// section of a free bead that touches no neighbour. Needs width ≥ height.
	Stadium Model = iota
	// Rectangle is the section of a bead squeezed between its neighbours.
	Rectangle
)

// String returns the plain name.
func (m Model) String() string {
	switch m {
	case Stadium:
		return "stadium"
	case Rectangle:
		return "rectangle"
	}
	return "unknown"
}

func positive(values ...float64) bool {
	for _, v := range values {
		if !(v > 0) || math.IsInf(v, 1) {
			return false
		}
	}
	return true
}

// Area returns the area (mm²) of a bead of the given width and height.
// Stadium: h(w−h) + πh²/4, NaN for w < h. Rectangle: w·h. NaN unless both are
// positive and finite.
func (m Model) Area(widthMM, heightMM float64) float64 {
	if !positive(widthMM, heightMM) {
		return math.NaN()
	}
	switch m {
	case Stadium:
		if widthMM < heightMM {
			return math.NaN()
		}
		return float64(heightMM*(widthMM-heightMM)) + float64(math.Pi/4*heightMM*heightMM)
	case Rectangle:
		return widthMM * heightMM
	}
	return math.NaN()
}

// Width is the inverse of Area: the width (mm) of a bead of the given area and
// height. Stadium: (A − πh²/4)/h + h, NaN for A < πh²/4, where the bead would
// be narrower than high.
func (m Model) Width(areaMM2, heightMM float64) float64 {
	if !positive(areaMM2, heightMM) {
		return math.NaN()
	}
	switch m {
	case Stadium:
		round := math.Pi / 4 * heightMM * heightMM
		if areaMM2 < round {
			return math.NaN()
		}
		return (areaMM2-round)/heightMM + heightMM
	case Rectangle:
		return areaMM2 / heightMM
	}
	return math.NaN()
}

// Pitch returns the distance (mm) at which neighbouring beads of this width
// fill the layer without gap or excess: area/height. Stadium: w − h(1 − π/4).
func (m Model) Pitch(widthMM, heightMM float64) float64 {
	return m.Area(widthMM, heightMM) / heightMM
}

// TangentVoid returns the share of the layer that stays empty when beads only
// touch (distance = width). Stadium: h(1 − π/4)/w.
func (m Model) TangentVoid(widthMM, heightMM float64) float64 {
	return 1 - m.Area(widthMM, heightMM)/(widthMM*heightMM)
}

// Flat returns the width (mm) of the strip in which the bead touches the bed.
// Stadium: w − h; the rest of the pitch, hπ/4, is the groove that is seen.
func (m Model) Flat(widthMM, heightMM float64) float64 {
	if math.IsNaN(m.Area(widthMM, heightMM)) {
		return math.NaN()
	}
	if m == Stadium {
		return widthMM - heightMM
	}
	return widthMM
}
