// Package drawing reads SVG files: strokes as centre lines of beads, filled
// outlines as shapes for zones. The result is in mm in a frame of its own:
// origin at the lower left corner of the drawing, X to the right, Y up.
//
// Sources: W3C SVG 2 (document structure, coordinate systems, paths), CSS
// Values and Units 3 (lengths), CSS Cascade 4 and Selectors 4 (styles), CSS
// Masking 1 (clip paths), XML 1.0 (entities).
//
// What is not a line or an outline (text, pictures, masks, filters, markers)
// is reported, never dropped in silence.
package drawing

import (
	"context"
	"errors"
	"math"

	"sheenlay/engine/finding"
	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// Drawing is what an SVG file holds. Sizes are mm.
type Drawing struct {
	SizeMM   plane.Point // width and height of the page; of what is drawn when the file states none
	Unit     UnitGuess
	Lines    []Line  // strokes in painting order
	Shapes   []Shape // fills in painting order, later above
	Findings finding.List
}

// Bounds returns the box of all lines and shapes in mm, empty when there are
// none.
func (d *Drawing) Bounds() plane.Box {
	b := plane.EmptyBox()
	for _, l := range d.Lines {
		b = b.Union(l.Points.Bounds())
	}
	for _, s := range d.Shapes {
		b = b.Union(plane.Region(s.Rings).Bounds())
	}
	return b
}

// Line is one stroked subpath.
type Line struct {
	Points        plane.Polyline // mm; a closed line does not repeat its first point
	Closed        bool
	StrokeWidthMM float64
	Colour        string // "#rrggbb", or "url(#id)" for a gradient
	Element       string // tag#id
	Line          int    // line in the file, from 1
	Lay           LayMark
}

// Length returns the length in mm, the closing edge included.
func (l Line) Length() float64 {
	if l.Closed {
		return plane.Ring(l.Points).Length()
	}
	return l.Points.Length()
}

// FillRule says what of self-crossing rings is inside (SVG 2, §13.4.2).
type FillRule uint8

// The two fill rules.
const (
	NonZero FillRule = iota
	EvenOdd
)

// Outline is an area as it stands in the file: rings under a fill rule, cut
// by clip paths. Rings may cross each other and themselves.
type Outline struct {
	Rings []plane.Ring
	Rule  FillRule
	Clips []*Clip // the area lies inside every one of them
}

// Clip is a clip path: the union of its parts.
type Clip struct{ Parts []Outline }

// Shape is one filled outline.
type Shape struct {
	Outline
	Colour   string  // "#rrggbb", or "url(#id)" for a gradient or pattern
	Opacity  float64 // 0 to 1, all opacities multiplied
	Element  string  // tag#id
	Line     int     // line in the file, from 1
	Lay      LayMark
	IsStroke bool // the outline of a stroke, see Options.StrokesAsShapes
}

// LayKind is what a data-lay attribute asks for.
type LayKind uint8

// The kinds of lay a drawing can state. Concentric and radial are the lays C
// and R of ASME B46.1 and ISO 21920-1: about the centre of the zone.
const (
	Unstated LayKind = iota
	Fixed
	Concentric
	Radial
)

// LayMark is the data-lay attribute of an element or of the nearest group
// around it.
type LayMark struct {
	Kind LayKind
	// Degrees is the angle of a Fixed lay, counter-clockwise from +X as the
	// drawing is seen, in [0, 180). Transforms of the file do not turn it.
	Degrees float64
}

// UnitGuess says how large a user unit of the drawing was taken to be.
type UnitGuess struct {
	MMPerUserUnit float64
	Why           string
	Stated        bool // the file or the options say so; nothing was guessed
	Alternatives  []UnitChoice
}

// UnitChoice is another reading of the user unit.
type UnitChoice struct {
	MMPerUserUnit float64
	Why           string
	SizeMM        plane.Point // the page in this reading
}

// Options steer the reading. The zero value reads with the defaults.
type Options struct {
	MMPerUserUnit   float64     // mm of a user unit of the outermost view box; 0 = recognise
	NozzleMM        float64     // used to recognise the unit by stroke widths; 0 = 0.4
	LineWidthMM     float64     // line width of the job, if known; 0 = unknown
	FaceMM          plane.Point // size of the face the drawing is for, if known; the unit is recognised by it where strokes do not tell
	ToleranceMM     float64     // of flattened curves; 0 = tol.FlattenCurve
	StrokesAsShapes bool        // strokes become shapes too, above the fill of their element
	Shapes          bool        // the drawing is wanted for its shapes: what is no line needs no word
	Language        string      // for <switch>, such as "en"; "" = "en"
}

// Read reads an SVG file, plain or gzip-compressed. It never fails half-way
// without a word: when the file cannot be used, the result is empty and a
// finding of level stop says why, where and what to do.
func Read(ctx context.Context, data []byte, options Options) Drawing {
	notes := newNotebook()
	d, err := read(ctx, data, options.filled(), notes)
	if err != nil {
		d = Drawing{}
	}
	d.Findings = notes.list()
	if err != nil {
		var f finding.Finding
		if !errors.As(err, &f) {
			f = finding.Finding{Code: "drawing-unreadable", Level: finding.Stop, Text: err.Error()}
		}
		d.Findings = append(finding.List{f}, d.Findings...)
	}
	return d
}

func (o Options) filled() Options {
	positive := func(v, otherwise float64) float64 {
		if v > 0 && !math.IsInf(v, 0) {
			return v
		}
		return otherwise
	}
	o.MMPerUserUnit = positive(o.MMPerUserUnit, 0)
	o.NozzleMM = positive(o.NozzleMM, 0.4)
	o.LineWidthMM = positive(o.LineWidthMM, 0)
	o.ToleranceMM = positive(o.ToleranceMM, tol.FlattenCurve)
	if o.Language == "" {
		o.Language = "en"
	}
	return o
}

func read(ctx context.Context, data []byte, options Options, notes *notebook) (Drawing, error) {
	plain, err := unpack(data)
	if err != nil {
		return Drawing{}, err
	}
	doc, err := parseDocument(ctx, plain, notes)
	if err != nil {
		return Drawing{}, err
	}
	sc, err := collect(ctx, doc, options, notes)
	if err != nil {
		return Drawing{}, err
	}
	unit := recogniseUnit(sc, options)
	d, err := sc.realise(ctx, unit, options)
	if err != nil {
		return Drawing{}, err
	}
	report(&d, sc, options.Shapes)
	return d, nil
}
