package drawing

import (
	"context"
	"fmt"
	"math"
	"slices"

	"sheenlay/engine/finding"
	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// realiser turns the scene into lines and shapes in mm.
type realiser struct {
	drawing Drawing
	toMM    plane.Affine
	flat    flattener
	clips   []*Clip // all made, each once
	tests   int     // edge tests that clipping may still make
	options Options
	notes   *notebook
}

// realise flattens, cuts and measures everything that was collected.
func (sc *scene) realise(ctx context.Context, unit UnitGuess, options Options) (Drawing, error) {
	r := &realiser{
		drawing: Drawing{Unit: unit, SizeMM: sc.page.Mul(unit.MMPerUserUnit / sc.unitPx)},
		toMM:    sc.toMM(unit),
		flat:    flattener{tolerance: options.ToleranceMM, left: tol.DrawingPoints},
		tests:   tol.DrawingClipTests,
		options: options,
		notes:   sc.notes,
	}
	for i := range sc.items {
		if i&255 == 0 && ctx.Err() != nil {
			return Drawing{}, cancelled()
		}
		r.item(&sc.items[i])
		if r.flat.overflow {
			return Drawing{}, stop("drawing-too-many-points", fmt.Sprintf("The drawing needs more than %d points.", tol.DrawingPoints),
				"Simplify the drawing, make it smaller, or allow a larger flattening tolerance.", sc.items[i].node.place())
		}
	}
	if !sc.hasPage {
		r.moveToOrigin()
	}
	for i := range r.drawing.Unit.Alternatives {
		other := &r.drawing.Unit.Alternatives[i]
		other.SizeMM = r.drawing.SizeMM.Mul(other.MMPerUserUnit / unit.MMPerUserUnit)
	}
	return r.drawing, nil
}

func (r *realiser) item(it *item) {
	m := it.place.Then(r.toMM)
	if !reachable(boxOf(it.path), m) {
		r.notes.add("drawing-too-far", finding.Caution, "An element has coordinates beyond any plate and is left out", "Correct the element or the unit of the drawing.", it.node)
		return
	}
	if m.Det() == 0 {
		r.notes.add("drawing-flattened", finding.Note, "An element is scaled to nothing and is left out", "", it.node)
		return
	}
	points := make([]plane.Polyline, 0, len(it.path))
	for _, s := range it.path {
		points = append(points, r.flat.flatten(s, m))
		if r.flat.overflow {
			return
		}
	}
	clips := r.realiseClips(it.clips)
	if it.stroke.drawn && it.strokeBelow {
		r.stroke(it, points, clips)
	}
	if it.fill.drawn {
		r.fill(it, points, clips)
	}
	if it.stroke.drawn && !it.strokeBelow {
		r.stroke(it, points, clips)
	}
}

// reachable reports whether a box of user units lies within the reach of what
// is read, once mapped to mm.
func reachable(box plane.Box, m plane.Affine) bool {
	for _, p := range []plane.Point{box.Min, box.Max, {X: box.Min.X, Y: box.Max.Y}, {X: box.Max.X, Y: box.Min.Y}} {
		q := m.Apply(p)
		if !(math.Abs(q.X) <= tol.DrawingReach && math.Abs(q.Y) <= tol.DrawingReach) {
			return false
		}
	}
	return true
}

// fill adds the shape of an element. Open subpaths are closed for filling
// (SVG 2, §13.4.1).
func (r *realiser) fill(it *item, points []plane.Polyline, clips []*Clip) {
	s := Shape{Outline: Outline{Rule: it.rule, Clips: clips}, Colour: it.fill.colour, Opacity: it.fill.alpha,
		Element: it.node.label(), Line: it.node.line, Lay: it.lay}
	for _, p := range points {
		if ring := ringOf(p); ring != nil {
			s.Rings = append(s.Rings, slices.Clone(ring)) // the points go to the stroke too
		}
	}
	if len(s.Rings) > 0 {
		r.drawing.Shapes = append(r.drawing.Shapes, s)
	}
}

// ringOf returns the ring through the points, nil when they enclose nothing.
func ringOf(p plane.Polyline) plane.Ring {
	for len(p) > 1 && p[0] == p[len(p)-1] {
		p = p[:len(p)-1]
	}
	if len(p) < 3 {
		return nil
	}
	return plane.Ring(p)
}

// stroke adds the lines of an element, cut by its clips.
func (r *realiser) stroke(it *item, points []plane.Polyline, clips []*Clip) {
	width := it.widthPx() * math.Abs(r.toMM.A)
	template := Line{StrokeWidthMM: width, Colour: it.stroke.colour, Element: it.node.label(), Line: it.node.line, Lay: it.lay}
	for i, p := range points {
		closed := it.path[i].closed && len(p) > 2
		if it.path[i].closed && len(p) == 2 {
			p = append(p, p[0])
		}
		if len(p) < 2 {
			r.notes.add("drawing-dot", finding.Note, "A line has no length and is left out", "", it.node)
			continue
		}
		if r.options.StrokesAsShapes {
			r.drawing.Shapes = append(r.drawing.Shapes, Shape{
				Outline: Outline{Rings: strokeRings(p, closed, width/2, r.options.ToleranceMM), Clips: clips},
				Colour:  it.stroke.colour, Opacity: it.stroke.alpha, Element: it.node.label(), Line: it.node.line, Lay: it.lay, IsStroke: true})
		}
		line := template
		line.Points, line.Closed = p, closed
		if len(clips) == 0 {
			r.drawing.Lines = append(r.drawing.Lines, line)
			continue
		}
		if it.clips.index == nil {
			it.clips.index = newClipIndex(clips, &r.tests)
		}
		parts, whole := it.clips.index.cutLine(p, closed)
		if r.tests <= 0 {
			r.notes.add("drawing-clip-too-complex", finding.Caution, "Clip paths have too many edges to be followed; what they hide is drawn", "Cut the lines in the drawing program.", it.node)
			whole = true
		}
		if whole {
			r.drawing.Lines = append(r.drawing.Lines, line)
			continue
		}
		r.notes.addAt("drawing-clipped", finding.Note, "A line is cut by a clip path", "line", "", it.node.place())
		for _, part := range parts {
			line.Points, line.Closed = part, false
			r.drawing.Lines = append(r.drawing.Lines, line)
		}
	}
}

// realiseClips flattens clip paths, each once.
func (r *realiser) realiseClips(list *clipList) []*Clip {
	var out []*Clip
	for ; list != nil; list = list.outer {
		s := list.source
		if s.ready == nil {
			s.ready = &Clip{}
			r.clips = append(r.clips, s.ready)
			for _, part := range s.parts {
				m := part.place.Then(r.toMM)
				o := Outline{Rule: part.rule, Clips: r.realiseClips(part.clips)}
				if !reachable(boxOf(part.path), m) {
					continue
				}
				for _, sub := range part.path {
					if ring := ringOf(r.flat.flatten(sub, m)); ring != nil {
						o.Rings = append(o.Rings, ring)
					}
				}
				s.ready.Parts = append(s.ready.Parts, o)
			}
		}
		out = append(out, s.ready)
	}
	return out
}

// moveToOrigin brings a drawing without a page to the corner of its box.
func (r *realiser) moveToOrigin() {
	box := r.drawing.Bounds()
	if box.Empty() {
		return
	}
	r.drawing.SizeMM = box.Size()
	move := func(points []plane.Point) {
		for i := range points {
			points[i] = points[i].Sub(box.Min)
		}
	}
	for _, l := range r.drawing.Lines {
		move(l.Points)
	}
	for _, s := range r.drawing.Shapes {
		for _, ring := range s.Rings {
			move(ring)
		}
	}
	for _, c := range r.clips {
		for _, part := range c.Parts {
			for _, ring := range part.Rings {
				move(ring)
			}
		}
	}
}
