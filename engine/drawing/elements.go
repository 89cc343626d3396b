package drawing

import (
	"fmt"
	"math"

	"sheenlay/engine/finding"
	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// isShape reports whether a tag is one of the basic shapes or a path.
func isShape(tag string) bool {
	switch tag {
	case "path", "rect", "circle", "ellipse", "line", "polyline", "polygon":
		return true
	}
	return false
}

// outline returns the equivalent path of a shape element and counts its
// segments against the bound of the drawing.
func (c *collector) outline(n *node, s *style, viewport plane.Point) ([]subpath, error) {
	path, kept := c.outlines[n]
	if !kept {
		path = c.equivalentPath(n, s, viewport)
		if n.tag == "path" && len(s.geometry) == 0 || n.tag == "polyline" || n.tag == "polygon" {
			// Path data is the only outline whose cost grows with the file;
			// copies of it are not read again.
			c.outlines[n] = path
		}
	}
	for i := range path {
		c.segments += 1 + len(path[i].segments)
	}
	if c.segments > tol.DrawingPoints {
		return nil, stop("drawing-too-many-points", fmt.Sprintf("The drawing needs more than %d points.", tol.DrawingPoints),
			"Simplify the drawing or use fewer copies.", n.place())
	}
	return path, nil
}

// equivalentPath returns the path that a shape element stands for (SVG 2, §10)
// in user units. Faults are noted; what is well-formed before a fault is kept.
func (c *collector) equivalentPath(n *node, s *style, viewport plane.Point) []subpath {
	size := func(name string, whole float64) (float64, bool) {
		text := geometry(n, s, name)
		if text == "" || text == "auto" {
			return 0, false
		}
		l, ok := parseLength(text)
		if !ok {
			c.notes.add("drawing-bad-length", finding.Caution, "An attribute is no length and counts as missing", "Correct the attribute.", n)
			return 0, false
		}
		return l.user(whole), true
	}
	value := func(name string, whole float64) float64 {
		v, _ := size(name, whole)
		return v
	}
	switch n.tag {
	case "path":
		subpaths, fault := parsePath(geometry(n, s, "d"))
		if fault != nil {
			place := n.place()
			c.notes.addAt("drawing-path-error", finding.Caution,
				"Path data is not well-formed and is drawn up to its last good segment ("+fault.Error()+")", "path",
				"Correct the path and save the drawing again.", place)
		}
		return subpaths
	case "rect":
		w, h := value("width", viewport.X), value("height", viewport.Y)
		rx, hasRX := size("rx", viewport.X)
		ry, hasRY := size("ry", viewport.Y)
		return rectangle(value("x", viewport.X), value("y", viewport.Y), w, h, radii(rx, hasRX, ry, hasRY, w/2, h/2))
	case "circle":
		r := value("r", diagonal(viewport))
		return ellipse(value("cx", viewport.X), value("cy", viewport.Y), r, r)
	case "ellipse":
		rx, hasRX := size("rx", viewport.X)
		ry, hasRY := size("ry", viewport.Y)
		r := radii(rx, hasRX, ry, hasRY, math.Inf(1), math.Inf(1))
		return ellipse(value("cx", viewport.X), value("cy", viewport.Y), r.X, r.Y)
	case "line":
		from := plane.Point{X: value("x1", viewport.X), Y: value("y1", viewport.Y)}
		to := plane.Point{X: value("x2", viewport.X), Y: value("y2", viewport.Y)}
		return []subpath{{start: from, segments: []segment{{kind: lineSegment, end: to}}}}
	case "polyline", "polygon":
		return c.points(n)
	}
	return nil
}

// points reads the points attribute; an odd last number is dropped, as the
// specification asks.
func (c *collector) points(n *node) []subpath {
	values, complete := parseNumbers(n.attr("points"), math.MaxInt)
	if !complete || len(values)%2 != 0 {
		c.notes.add("drawing-bad-points", finding.Caution, "A list of points is not well-formed and is drawn up to its last good point", "Correct the list.", n)
	}
	if len(values) < 2 {
		return nil
	}
	s := subpath{start: plane.Point{X: values[0], Y: values[1]}, closed: n.tag == "polygon"}
	for i := 2; i+1 < len(values); i += 2 {
		s.segments = append(s.segments, segment{kind: lineSegment, end: plane.Point{X: values[i], Y: values[i+1]}})
	}
	return []subpath{s}
}

// radii applies the auto rule and the limits of rx and ry (SVG 2, §10.2); a
// negative value counts as auto.
func radii(rx float64, hasRX bool, ry float64, hasRY bool, limitX, limitY float64) plane.Point {
	hasRX, hasRY = hasRX && rx >= 0, hasRY && ry >= 0
	switch {
	case !hasRX && !hasRY:
		return plane.Point{}
	case !hasRX:
		rx = ry
	case !hasRY:
		ry = rx
	}
	return plane.Point{X: math.Min(rx, limitX), Y: math.Min(ry, limitY)}
}

// rectangle is the equivalent path of a rect: clockwise as drawn, from the
// end of its upper left corner.
func rectangle(x, y, w, h float64, r plane.Point) []subpath {
	if !(w > 0) || !(h > 0) {
		return nil
	}
	at := func(px, py float64) plane.Point { return plane.Point{X: px, Y: py} }
	if r.X == 0 || r.Y == 0 {
		r = plane.Point{}
	}
	s := subpath{start: at(x+r.X, y), closed: true}
	line := func(p plane.Point) { s.segments = append(s.segments, segment{kind: lineSegment, end: p}) }
	corner := func(centre, end plane.Point, from float64) {
		if r.X == 0 {
			return
		}
		s.segments = append(s.segments, segment{kind: arcSegment, end: end,
			arc: arc{centre: centre, u: at(r.X, 0), v: at(0, r.Y), from: from, sweep: math.Pi / 2}})
	}
	line(at(x+w-r.X, y))
	corner(at(x+w-r.X, y+r.Y), at(x+w, y+r.Y), -math.Pi/2)
	line(at(x+w, y+h-r.Y))
	corner(at(x+w-r.X, y+h-r.Y), at(x+w-r.X, y+h), 0)
	line(at(x+r.X, y+h))
	corner(at(x+r.X, y+h-r.Y), at(x, y+h-r.Y), math.Pi/2)
	line(at(x, y+r.Y))
	corner(at(x+r.X, y+r.Y), s.start, math.Pi)
	return []subpath{s}
}

// ellipse is the equivalent path of a circle or ellipse: from three o'clock,
// clockwise as drawn.
func ellipse(cx, cy, rx, ry float64) []subpath {
	if !(rx > 0) || !(ry > 0) || math.IsInf(rx, 0) || math.IsInf(ry, 0) {
		return nil
	}
	start := plane.Point{X: cx + rx, Y: cy}
	whole := arc{centre: plane.Point{X: cx, Y: cy}, u: plane.Point{X: rx}, v: plane.Point{Y: ry}, sweep: 2 * math.Pi}
	return []subpath{{start: start, closed: true, segments: []segment{{kind: arcSegment, arc: whole, end: start}}}}
}

// boxOf returns the box of the control polygons of a path, which encloses its
// curves; exact for shapes without Bézier curves.
func boxOf(subpaths []subpath) plane.Box {
	b := plane.EmptyBox()
	for _, s := range subpaths {
		b = b.Include(s.start)
		for _, g := range s.segments {
			b = b.Include(g.end)
			switch g.kind {
			case quadSegment:
				b = b.Include(g.c1)
			case cubicSegment:
				b = b.Include(g.c1).Include(g.c2)
			case arcSegment:
				n := int(arcSteps(g.arc.longestAxis(), g.arc.sweep, g.arc.longestAxis()*1e-4)) + 1
				for i := 1; i < n; i++ {
					b = b.Include(g.arc.at(float64(i) / float64(n)))
				}
			}
		}
	}
	return b
}
