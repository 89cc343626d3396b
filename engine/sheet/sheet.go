// Package sheet draws the print sheet: one page that shows the face from below
// at true size, its lay angles, the settings, the figures and the cautions, to
// lie beside the machine. PDF and SVG come from the same drawing.
package sheet

import (
	"fmt"
	"strings"

	"sheenlay/engine/finding"
	"sheenlay/engine/plane"
	"sheenlay/engine/strand"
)

// Paper is a size of sheet, mm (ISO 216; ANSI/ASME Y14.1 size A).
type Paper struct {
	ID            string
	Width, Height float64
}

// The papers.
var (
	A4     = Paper{"a4", 210, 297}
	Letter = Paper{"letter", 215.9, 279.4}
)

// Format is the file format of a sheet.
type Format string

// The formats.
const (
	PDF Format = "pdf"
	SVG Format = "svg"
)

// Row is one line of a table: a name and its value with unit.
type Row struct{ Name, Value string }

// Content is what a sheet says.
type Content struct {
	Title    string
	Subtitle string
	Face     plane.Region    // bed frame
	Strands  []strand.Strand // bed frame
	Lays     []Row           // zones and their lay angles
	Settings []Row
	Figures  []Row
	Cautions []string
	Link     string // address with the settings; "" leaves it out
}

// Distances on the page, mm.
const (
	margin     = 12.0
	gutter     = 6.0
	lineHeight = 4.4
	textBlock  = 100.0 // height kept for tables and cautions
)

// ink is a colour, each part 0..1.
type ink struct{ r, g, b float64 }

func (c ink) hex() string {
	return fmt.Sprintf("#%02x%02x%02x", int(c.r*255+0.5), int(c.g*255+0.5), int(c.b*255+0.5))
}

var (
	dark  = ink{0.106, 0.122, 0.141}
	faint = ink{0.420, 0.447, 0.478}
	bead  = ink{0.227, 0.275, 0.329}
)

// Weights of the font.
const (
	regular = 0
	bold    = 1
)

// surface takes lines and text, in mm from the lower left corner of the paper.
type surface interface {
	stroke(points []plane.Point, closed bool, widthMM float64, c ink)
	text(x, y, points float64, weight int, c ink, s string)
	finish() ([]byte, error)
}

// Render draws the sheet. A face too large for the paper at true size is drawn
// smaller by a round factor, and the sheet says so; a bar of 50 mm true length
// (times that factor) lets a person check the print.
func Render(c Content, paper Paper, format Format) ([]byte, error) {
	fonts, err := faces()
	if err != nil {
		return nil, err
	}
	d := &drawer{paper: paper, fonts: fonts}
	switch format {
	case PDF:
		d.surface = newPDF(paper, c.Title)
	case SVG:
		d.surface = newSVG(paper, c.Title)
	default:
		return nil, finding.Finding{Code: "sheet-format", Level: finding.Stop,
			Text: fmt.Sprintf("A sheet cannot be written as %q.", format), Remedy: "Choose pdf or svg."}
	}
	d.heading(c)
	d.face(c)
	d.tables(c)
	return d.finish()
}

type drawer struct {
	surface
	paper Paper
	fonts [2]*typeface
}

func (d *drawer) heading(c Content) {
	y := d.paper.Height - margin - 5
	d.text(margin, y, 15, bold, dark, d.fit(c.Title, 15, bold, d.paper.Width-2*margin))
	d.text(margin, y-6, 9, regular, faint, d.fit(c.Subtitle, 9, regular, d.paper.Width-2*margin))
}

func (d *drawer) width(points float64, weight int, s string) float64 {
	return d.fonts[weight].width(points, s)
}

// fit shortens a text to a width in mm.
func (d *drawer) fit(s string, points float64, weight int, width float64) string {
	if d.width(points, weight, s) <= width {
		return s
	}
	r := []rune(s)
	for len(r) > 0 && d.width(points, weight, string(r)+"…") > width {
		r = r[:len(r)-1]
	}
	return string(r) + "…"
}

// reductions are the scales a face may be drawn at, the largest that fits.
var reductions = []float64{1, 2, 2.5, 5, 10, 20, 50}

// face draws the face mirrored, as it is seen from below.
func (d *drawer) face(c Content) {
	top := d.paper.Height - margin - 16
	bottom := margin + textBlock + gutter + 8
	box := c.Face.Bounds()
	if box.Empty() {
		return
	}
	size := box.Size()
	by := reductions[len(reductions)-1]
	for _, r := range reductions {
		if size.X/r <= d.paper.Width-2*margin && size.Y/r <= top-bottom {
			by = r
			break
		}
	}
	middle := box.Centre()
	at := plane.Point{X: d.paper.Width / 2, Y: (top + bottom) / 2}
	place := func(points []plane.Point) []plane.Point {
		out := make([]plane.Point, len(points))
		for i, p := range points {
			out[i] = plane.Point{X: at.X - (p.X-middle.X)/by, Y: at.Y + (p.Y-middle.Y)/by}
		}
		return out
	}
	for _, s := range c.Strands {
		d.stroke(place(s.Points), false, 0.12, bead)
	}
	for _, ring := range c.Face {
		d.stroke(place(ring), true, 0.25, dark)
	}
	d.scaleBar(bottom-4, by)
}

func (d *drawer) scaleBar(y, by float64) {
	const long = 50.0
	d.stroke([]plane.Point{{X: margin, Y: y + 1.5}, {X: margin, Y: y}, {X: margin + long, Y: y}, {X: margin + long, Y: y + 1.5}}, false, 0.25, dark)
	says := "50 mm on paper: true size, seen from below"
	if by != 1 {
		says = fmt.Sprintf("50 mm on paper = %g mm: drawn at 1 : %g, seen from below", long*by, by)
	}
	d.text(margin+long+3, y, 8, regular, faint, says)
}

func (d *drawer) tables(c Content) {
	width := (d.paper.Width - 2*margin - 2*gutter) / 3
	y := margin + textBlock
	for i, table := range []struct {
		name string
		rows []Row
	}{{"Settings", c.Settings}, {"Figures", c.Figures}, {"Lay angles", c.Lays}} {
		d.table(margin+float64(i)*(width+gutter), y, width, table.name, table.rows, 11)
	}
	d.paragraphs(c)
}

func (d *drawer) table(x, y, width float64, name string, rows []Row, most int) {
	d.text(x, y, 9.5, bold, dark, name)
	for i, row := range rows {
		y -= lineHeight
		if i == most-1 && len(rows) > most {
			d.text(x, y, 8, regular, faint, fmt.Sprintf("and %d more", len(rows)-i))
			return
		}
		value := d.fit(row.Value, 8, regular, width*0.6)
		w := d.width(8, regular, value)
		d.text(x, y, 8, regular, faint, d.fit(row.Name, 8, regular, width-w-2))
		d.text(x+width-w, y, 8, regular, dark, value)
	}
}

func (d *drawer) paragraphs(c Content) {
	y := margin + textBlock - 13*lineHeight
	d.text(margin, y, 9.5, bold, dark, "Before you print")
	for _, caution := range c.Cautions {
		for i, line := range d.wrap(caution, 8, d.paper.Width-2*margin-4) {
			y -= lineHeight
			if y < margin+2*lineHeight {
				break
			}
			if i == 0 {
				d.text(margin, y, 8, regular, faint, "–")
			}
			d.text(margin+4, y, 8, regular, dark, line)
		}
	}
	if c.Link == "" {
		return
	}
	y = margin + lineHeight
	for _, line := range d.wrapAnywhere("Settings: "+c.Link, 6, d.paper.Width-2*margin, 3) {
		d.text(margin, y, 6, regular, faint, line)
		y -= 2.6
	}
}

// wrap breaks a text at blanks into lines of at most width mm.
func (d *drawer) wrap(s string, points, width float64) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(s) {
		next := strings.TrimSpace(line + " " + word)
		if line != "" && d.width(points, regular, next) > width {
			lines, next = append(lines, line), word
		}
		line = next
	}
	return append(lines, line)
}

// wrapAnywhere breaks a text without blanks; what does not fit into the given
// number of lines is cut with an ellipsis.
func (d *drawer) wrapAnywhere(s string, points, width float64, most int) []string {
	var lines []string
	rest := []rune(s)
	for len(rest) > 0 && len(lines) < most {
		n := len(rest)
		for n > 1 && d.width(points, regular, string(rest[:n])) > width {
			n -= 1 + n/40
		}
		lines, rest = append(lines, string(rest[:n])), rest[n:]
	}
	if len(rest) > 0 {
		last := []rune(lines[len(lines)-1])
		lines[len(lines)-1] = string(last[:len(last)-1]) + "…"
	}
	return lines
}
