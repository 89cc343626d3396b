// Package footprint finds, from the strokes of one layer alone, the shape of the
// piece: outlines, holes, islands, the bead, and what every stroke is for.
//
// # Method
//
// Closed strokes are loops. On a raster of all beads each loop is asked, at many
// places just beyond its bead, whether there is bead on its left and on its
// right: a loop with nothing outside is an outline, one with nothing inside
// borders a hole, one with nothing on either side is a wall one bead thin. The
// footprint is what the outlines enclose less the holes, moved out by half a
// bead with mitred corners, so that tips come back sharp. Parts without such
// loops are taken as the union of their beads, closed by at most one line width
// (gaps narrower than that are bridged).
//
// Strokes are classed by what the file's type comments say, where they say
// something, and by shape and place otherwise; see Footprint.Strokes.
package footprint

import (
	"context"
	"fmt"

	"sheenlay/engine/bead"
	"sheenlay/engine/deposit"
	"sheenlay/engine/finding"
	"sheenlay/engine/overlay"
	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// Options are what is known beyond the strokes. The zero value is legal.
type Options struct {
	// FilamentMM is the filament diameter; 0 asks for a guess.
	FilamentMM float64
	// Corrections are classes set by a person, by index of the stroke; they
	// overrule everything.
	Corrections map[int]deposit.Class
	// Above is the layer above, nil where it is not known: brim has none on it.
	Above *deposit.Layer
}

// Footprint is the shape of the piece on one layer. All lengths are mm.
type Footprint struct {
	Region  plane.Region // normal form; what walls and fill cover
	Islands []Island     // the parts of Region, in order of their leftmost points

	// The bead, as the median over length of what the piece's strokes take.
	LineWidthMM        float64    // width of one bead: outline to outline
	PitchMM            float64    // distance of neighbours without gap: area of the section / height
	HeightMM           float64    //
	EPerMM             float64    // filament per mm of line, mm
	FilamentDiameterMM float64    // given or guessed
	Section            bead.Model // the section LineWidthMM was read with

	// Strokes are the layer's, in its order, with Class and Confidence filled in.
	Strokes []deposit.Stroke
	// Walls are the loops of class Wall, in stroke order.
	Walls []WallLoop
	// WallDepth is the depth of the deepest wall loop, 0 without any.
	WallDepth int

	Findings finding.List
}

// Island is one part of the footprint that hangs together.
type Island struct {
	Region  plane.Region // one outer ring and its holes
	AreaMM2 float64
	Bounds  plane.Box
	Object  string // label of the object it belongs to, "" where the file has none
}

// WallLoop is one closed stroke along a border.
type WallLoop struct {
	Stroke int  // index into Strokes
	Island int  // index into Islands, -1 where it lies on none
	Depth  int  // 1 for the loop at the border, 2 for the next, …
	Hole   bool // follows a hole rather than the outer border
}

// Of finds the footprint of a layer. What cannot be is reported as a finding of
// level Stop and leaves Region empty: no strokes, no strokes of the piece, too
// many, no width that can be read. ctx may stop it early, with the same effect.
func Of(ctx context.Context, layer deposit.Layer, o Options) Footprint {
	f := Footprint{Strokes: append([]deposit.Stroke(nil), layer.Strokes...), HeightMM: layer.Height}
	w := &work{Footprint: &f, layer: layer.Index + 1, above: o.Above}
	if !w.usable() {
		return f
	}
	w.readLabels(o.Corrections)
	if !w.readBead(o.FilamentMM) {
		return f
	}
	w.findLoops()
	if !w.drawAll() || w.cancelled(ctx) {
		return f
	}
	w.classify()
	w.readSides()
	if w.cancelled(ctx) {
		return f
	}
	f.Region = w.region()
	if len(f.Region) == 0 {
		w.refuse("footprint-no-piece", "The first layer has no wall or fill of a piece.",
			"Look at the classes of the strokes and correct them.")
		return f
	}
	w.islands()
	w.wallLoops()
	w.report()
	return f
}

// work is a footprint in the making.
type work struct {
	*Footprint
	layer    int
	widths   []float64 // of each stroke
	apartMM  float64   // how far lines lie from their neighbours, 0 where not known
	drawable []bool
	labelled bool // the labels of strokes are types
	above    *deposit.Layer
	loops    []loop
	scene
}

func (w *work) refuse(code, text, remedy string) {
	w.Findings.Add(finding.Finding{Code: code, Level: finding.Stop, Text: text, Remedy: remedy,
		Place: &finding.Place{File: "piece", Layer: w.layer}})
}

func (w *work) caution(code, text, remedy string, at plane.Point, value float64, unit string) {
	w.Findings.Add(finding.Finding{Code: code, Level: finding.Caution, Text: text, Remedy: remedy,
		Place: &finding.Place{File: "piece", Layer: w.layer, At: &[2]float64{at.X, at.Y}}, Value: value, Unit: unit})
}

func (w *work) cancelled(ctx context.Context) bool {
	if ctx.Err() == nil {
		return false
	}
	w.refuse("footprint-cancelled", "Reading the footprint was stopped.", "Start again.")
	return true
}

// usable bounds the input and marks the strokes that can be drawn.
func (w *work) usable() bool {
	if len(w.Strokes) == 0 {
		w.refuse("footprint-empty", "The first layer lays nothing.", "Choose a sliced file whose first layer has lines.")
		return false
	}
	points := 0
	w.drawable = make([]bool, len(w.Strokes))
	bad := -1
	for i, s := range w.Strokes {
		points += len(s.Points)
		ok := len(s.Points) >= 2 && len(s.E) == len(s.Points)-1
		for _, p := range s.Points {
			ok = ok && p.Finite()
		}
		w.drawable[i] = ok
		if !ok && bad < 0 {
			bad = i
		}
	}
	if len(w.Strokes) > tol.FootprintMaxStrokes || points > tol.FootprintMaxPoints {
		w.refuse("footprint-too-large", fmt.Sprintf("The first layer has %d strokes with %d points.", len(w.Strokes), points),
			"Check that the file is a sliced piece and not damaged.")
		return false
	}
	if bad >= 0 {
		w.Findings.Add(finding.Finding{Code: "footprint-broken-stroke", Level: finding.Caution,
			Text:   "A stroke has no length or a coordinate that is no number; it is left out of the footprint.",
			Remedy: "Check the file at this line.",
			Place:  &finding.Place{File: "piece", Line: w.Strokes[bad].FirstLine, Layer: w.layer}})
	}
	return true
}

// somewhere returns a place to show for what concerns the whole layer.
func (w *work) somewhere() plane.Point {
	for i, ok := range w.drawable {
		if ok {
			return w.Strokes[i].Points[0]
		}
	}
	return plane.Point{}
}

// InsideKeptWalls returns the face for the pattern: the footprint inside its k
// outermost wall loops, widened over them by overlap, a share of the line width.
// k = 0 gives the footprint itself. k beyond the walls the piece has counts as
// all of them.
func (f *Footprint) InsideKeptWalls(k int, overlap float64) plane.Region {
	k = min(k, f.WallDepth)
	if k <= 0 {
		return f.Region
	}
	// The k-th loop runs w/2 + (k−1)·pitch inside the border, and what it covers
	// ends half a pitch farther in.
	inset := f.LineWidthMM/2 + (float64(k)-0.5)*f.PitchMM - overlap*f.LineWidthMM
	return overlay.Offset(f.Region, -inset, overlay.Mitre(tol.FootprintMitre), 0)
}

// Margin returns the footprint grown by mm on every side, corners kept; less
// than zero shrinks it.
func (f *Footprint) Margin(mm float64) plane.Region {
	return overlay.Offset(f.Region, mm, overlay.Mitre(2), 0)
}

// Kept returns the indices of the strokes to keep, in file order: those of the
// given classes, and of class Wall only loops of depth up to walls.
func (f *Footprint) Kept(walls int, classes ...deposit.Class) []int {
	var want [deposit.Priming + 1]bool
	for _, c := range classes {
		want[c] = true
	}
	keep := make([]bool, len(f.Strokes))
	for i, s := range f.Strokes {
		keep[i] = want[s.Class] && s.Class != deposit.Wall
	}
	for _, l := range f.Walls {
		keep[l.Stroke] = l.Depth <= walls
	}
	var out []int
	for i, k := range keep {
		if k {
			out = append(out, i)
		}
	}
	return out
}
