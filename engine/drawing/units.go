package drawing

import (
	"fmt"
	"math"
	"sort"

	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// recogniseUnit decides how large a user unit of the outermost view box is.
//
// A size in a unit of the real world decides. Without one the standard reads
// user units as CSS pixels; many drawings mean millimetres, and their stroke
// widths tell: a stroke that is a printable bead when read in mm, and not
// when read in pixels, was drawn in mm. The printable band is 0.6 to 2 times
// the nozzle (common practice, no published source). Where the strokes tell
// nothing, the size of the face does: a maker draws for the piece at hand.
func recogniseUnit(sc *scene, options Options) UnitGuess {
	standard := sc.unitPx * mmPerPx
	g := UnitGuess{MMPerUserUnit: standard, Why: "no size in a unit of the real world is given; a user unit is read as a pixel of 1/96 inch"}
	width, found := usualStroke(sc)
	switch {
	case options.MMPerUserUnit > 0:
		g.MMPerUserUnit, g.Stated, g.Why = options.MMPerUserUnit, true, "chosen"
	case sc.stated:
		g.Stated, g.Why = true, fmt.Sprintf("the page is given as %s", sc.pageText)
	case found && isBead(width, options) && !isBead(width*standard, options):
		g.MMPerUserUnit, g.Why = 1, fmt.Sprintf("strokes %.3g units wide are beads when a unit is 1 mm (%.3g mm wide when it is a pixel)", width, width*standard)
	case found && isBead(width*standard, options):
		g.Why = fmt.Sprintf("strokes are %.3g mm wide, the width of a bead, when a unit is a pixel of 1/96 inch", width*standard)
	default:
		units, face := sc.extent()/sc.unitPx, max(options.FaceMM.X, options.FaceMM.Y)
		if units > 0 && face > 0 && math.Abs(math.Log(units/face)) < math.Abs(math.Log(units*standard/face)) {
			g.MMPerUserUnit, g.Why = 1, fmt.Sprintf("no size in a unit of the real world is given; when a unit is 1 mm, the drawing comes nearer to the size of the face (%.3g mm) than when it is a pixel", face)
		}
	}
	for _, c := range []UnitChoice{
		{MMPerUserUnit: standard, Why: "as the file states it, a pixel being 1/96 inch"},
		{MMPerUserUnit: 1, Why: "1 unit = 1 mm"},
		{MMPerUserUnit: 25.4 / 72, Why: "1 unit = 1 point (1/72 inch)"},
		{MMPerUserUnit: 25.4 / 90, Why: "1 unit = 1/90 inch, as older drawings have it"},
	} {
		if math.Abs(c.MMPerUserUnit/g.MMPerUserUnit-1) > 1e-9 {
			g.Alternatives = append(g.Alternatives, c)
		}
	}
	return g
}

// extent returns the longer side of what is drawn, on the page in px.
func (sc *scene) extent() float64 {
	all := plane.EmptyBox()
	for i := range sc.items {
		it := &sc.items[i]
		if b := boxOf(it.path); !b.Empty() {
			for _, p := range [4]plane.Point{b.Min, {X: b.Max.X, Y: b.Min.Y}, b.Max, {X: b.Min.X, Y: b.Max.Y}} {
				all = all.Include(it.place.Apply(p))
			}
		}
	}
	if all.Empty() {
		return 0
	}
	return max(all.Size().X, all.Size().Y)
}

// isBead reports whether a width in mm is one that a bead can have: the
// nozzle's, the job's, or within the printable band of the nozzle.
func isBead(mm float64, options Options) bool {
	near := func(w float64) bool { return w > 0 && math.Abs(mm/w-1) <= tol.StrokeWidthShare }
	return near(options.NozzleMM) || near(options.LineWidthMM) || mm >= 0.6*options.NozzleMM && mm <= 2*options.NozzleMM
}

// usualStroke returns the median stroke width in user units of the outermost
// view box; false when nothing is stroked.
func usualStroke(sc *scene) (float64, bool) {
	var widths []float64
	for i := range sc.items {
		it := &sc.items[i]
		if it.stroke.drawn {
			widths = append(widths, it.widthPx()/sc.unitPx)
		}
	}
	if len(widths) == 0 {
		return 0, false
	}
	sort.Float64s(widths)
	return widths[len(widths)/2], true
}

// widthPx returns the stroke width on the page in px. A map that stretches
// unevenly gives the width whose square is the mean of both.
func (it *item) widthPx() float64 {
	if it.widthInPx {
		return it.strokeWidth
	}
	return it.strokeWidth * math.Sqrt(math.Abs(it.place.Det()))
}

// toMM returns the map from the page in px, y down, to mm, y up, with the
// lower left corner of the page at the origin.
func (sc *scene) toMM(unit UnitGuess) plane.Affine {
	k := unit.MMPerUserUnit / sc.unitPx
	return plane.Affine{A: k, D: -k, F: k * sc.page.Y}
}
