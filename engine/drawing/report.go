package drawing

import (
	"fmt"
	"strconv"

	"sheenlay/engine/finding"
	"sheenlay/engine/plane"
)

// report notes what holds for the drawing as a whole.
func report(d *Drawing, sc *scene, forShapes bool) {
	page := &finding.Place{File: "artwork", Element: "svg"}
	level, remedy := finding.Caution, "Compare the size with the piece and choose another unit if it is wrong."
	if d.Unit.Stated {
		level, remedy = finding.Note, ""
	}
	sc.notes.order = append([]string{"unit"}, sc.notes.order...)
	sc.notes.found["unit"] = &tally{count: 1, finding: finding.Finding{Code: "drawing-unit", Level: level, Remedy: remedy, Place: page,
		Value: d.Unit.MMPerUserUnit, Unit: "mm per user unit"},
		what: fmt.Sprintf("One user unit is read as %s mm and the drawing is %s × %s mm: %s",
			short(d.Unit.MMPerUserUnit), short(d.SizeMM.X), short(d.SizeMM.Y), d.Unit.Why)}
	if len(d.Lines) == 0 && len(d.Shapes) == 0 {
		sc.notes.addAt("drawing-nothing", finding.Caution, "Nothing in the drawing can be laid: it holds no stroke and no fill", "", "Give the lines a stroke or the shapes a fill.", page)
		return
	}
	if len(d.Lines) == 0 && !forShapes {
		sc.notes.addAt("drawing-no-lines", finding.Note, "The drawing holds shapes and no strokes, so it has no lines to follow", "", "Use its shapes as zones, or give its lines a stroke.", page)
	}
	if sc.filled > 0 && !forShapes {
		for range sc.filled {
			sc.notes.add("drawing-fill", finding.Note, "A filled shape without a stroke is no line; it is used when shapes are asked for", "Give it a stroke if its outline is meant as a line.", sc.firstFill)
		}
	}
	if !sc.hasPage {
		sc.notes.addAt("drawing-no-page", finding.Note, "The file states no page size; the page is taken from what is drawn", "", "", page)
		return
	}
	sheet := plane.Box{Max: d.SizeMM}.Grow(1e-6)
	outside := 0
	for _, l := range d.Lines {
		if b := l.Points.Bounds(); !sheet.Contains(b.Min) || !sheet.Contains(b.Max) {
			outside++
		}
	}
	if outside > 0 {
		sc.notes.addAt("drawing-beyond-page", finding.Note, fmt.Sprintf("%d of %d lines reach beyond the page and are kept whole", outside, len(d.Lines)), "",
			"What lies beyond the face is cut off when the drawing is placed.", page)
	}
}

// short writes a figure with at most three decimals.
func short(v float64) string {
	s := strconv.FormatFloat(v, 'f', 3, 64)
	for s[len(s)-1] == '0' {
		s = s[:len(s)-1]
	}
	if s[len(s)-1] == '.' {
		s = s[:len(s)-1]
	}
	return s
}
