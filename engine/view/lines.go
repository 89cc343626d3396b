package view

import (
	"context"
	"math"

	"sheenlay/engine/plane"
)

// Path is a run of segments of one sort, in the order laid.
type Path struct {
	Points []plane.Point // mm
	Width  []float64     // mm, per segment; nil for a travel
	Sort   Sort
}

// Sort says what a path is.
type Sort uint8

// The sorts of paths: pattern and kept beads, the prime line, and travels.
const (
	Pattern Sort = iota
	Kept
	Prime
	Travel
)

// Ink is how paths are drawn: the page gives the colours of its theme.
type Ink struct {
	Bead   Colour // pattern, laid
	Coming Colour // pattern, not yet laid
	Kept   Colour
	Prime  Colour
	Travel Colour // dashed
	Nozzle Colour // ring at the place of the nozzle
	Relief float64
}

// Lines draws the paths in order up to a share (0..1) of their whole length,
// what comes later in the ink for it, and a ring where the nozzle is. It
// returns that place.
func Lines(ctx context.Context, c *Canvas, paths []Path, ink Ink, upTo float64) (nozzle plane.Point, err error) {
	total := 0.0
	for _, p := range paths {
		total += plane.Polyline(p.Points).Length()
	}
	limit := total * math.Min(math.Max(upTo, 0), 1)
	if limit < total { // what is to come lies under what is laid
		if err := drawPaths(ctx, c, paths, ink, limit, total, true); err != nil {
			return nozzle, err
		}
	}
	if err := drawPaths(ctx, c, paths, ink, 0, limit, false); err != nil {
		return nozzle, err
	}
	nozzle, ok := placeAt(paths, limit)
	if ok && limit < total {
		ring(c, nozzle, ink.Nozzle)
	}
	return nozzle, nil
}

// drawPaths draws the part of the paths between two lengths from the start.
func drawPaths(ctx context.Context, c *Canvas, paths []Path, ink Ink, from, to float64, coming bool) error {
	at := 0.0
	for _, p := range paths {
		if err := ctx.Err(); err != nil {
			return err
		}
		for i := 1; i < len(p.Points); i++ {
			a, b := p.Points[i-1], p.Points[i]
			length := a.Dist(b)
			start, end := at, at+length
			at = end
			if end <= from || start >= to || length == 0 {
				continue
			}
			if start < from {
				a = a.Lerp(b, (from-start)/length)
			}
			if end > to {
				b = p.Points[i-1].Lerp(b, (to-start)/length)
			}
			ink.segment(c, p, i-1, a, b, coming)
		}
	}
	return nil
}

func (ink Ink) segment(c *Canvas, p Path, i int, a, b plane.Point, coming bool) {
	switch {
	case p.Sort == Travel:
		if !coming {
			c.Line(a, b, 1.2, ink.Travel, 5)
		}
	case coming:
		c.Bead(a, b, p.Width[i], ink.Coming, 0)
	case p.Sort == Kept:
		c.Bead(a, b, p.Width[i], ink.Kept, ink.Relief)
	case p.Sort == Prime:
		c.Bead(a, b, p.Width[i], ink.Prime, ink.Relief)
		rungs(c, a, b, p.Width[i], ink.Prime)
	default:
		c.Bead(a, b, p.Width[i], ink.Bead, ink.Relief)
	}
}

// rungPixels is the distance of the rungs across the prime line, in pixels.
const rungPixels = 9

// rungs crosses a segment with short strokes twice as long as it is wide, so
// that the prime line is known by its shape as well as by its colour.
func rungs(c *Canvas, a, b plane.Point, widthMM float64, colour Colour) {
	across := b.Sub(a).Unit().Left().Mul(widthMM)
	step := rungPixels / c.scale
	for s := step / 2; s < a.Dist(b); s += step {
		at := a.Lerp(b, s/a.Dist(b))
		c.Line(at.Sub(across), at.Add(across), 1.2, colour, 0)
	}
}

func placeAt(paths []Path, limit float64) (plane.Point, bool) {
	at := 0.0
	var last plane.Point
	found := false
	for _, p := range paths {
		for i := 1; i < len(p.Points); i++ {
			length := p.Points[i-1].Dist(p.Points[i])
			if at+length >= limit && length > 0 {
				return p.Points[i-1].Lerp(p.Points[i], (limit-at)/length), true
			}
			at += length
			last, found = p.Points[i], true
		}
	}
	return last, found
}

func ring(c *Canvas, p plane.Point, colour Colour) {
	const corners = 24
	r := 6 / c.scale
	for i := 0; i < corners; i++ {
		a := plane.Point{X: r}.Turn(2 * math.Pi * float64(i) / corners)
		b := plane.Point{X: r}.Turn(2 * math.Pi * float64(i+1) / corners)
		c.Line(p.Add(a), p.Add(b), 2, colour, 0)
	}
}
