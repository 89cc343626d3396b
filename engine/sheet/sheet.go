// Package sheet draws the print sheet: one page that shows the face from below
// at true size, its lay angles, the settings, the figures and the cautions, to
// lie beside the machine. PDF and SVG come from the same drawing, through the
// canvas library.
package sheet

import (
	"bytes"
	"fmt"
	"image/color"
	"strings"

	"github.com/tdewolff/canvas"
	"github.com/tdewolff/canvas/renderers/pdf"
	"github.com/tdewolff/canvas/renderers/svg"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"

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

var (
	ink   = canvas.Hex("#1b1f24")
	faint = canvas.Hex("#8a929b")
	bead  = color.RGBA{0x3a, 0x46, 0x54, 0xff}
)

// Render draws the sheet. A face too large for the paper at true size is drawn
// smaller by a round factor, and the sheet says so; a bar of 50 mm true length
// (times that factor) lets a person check the print.
func Render(c Content, paper Paper, format Format) ([]byte, error) {
	fonts := canvas.NewFontFamily("sheet")
	if err := fonts.LoadFont(goregular.TTF, 0, canvas.FontRegular); err != nil {
		return nil, err
	}
	if err := fonts.LoadFont(gobold.TTF, 0, canvas.FontBold); err != nil {
		return nil, err
	}
	page := canvas.New(paper.Width, paper.Height)
	d := &drawer{ctx: canvas.NewContext(page), paper: paper, fonts: fonts}
	d.ctx.SetFillColor(canvas.White)
	d.ctx.DrawPath(0, 0, canvas.Rectangle(paper.Width, paper.Height))
	d.heading(c)
	d.face(c)
	d.tables(c)

	var out bytes.Buffer
	var err error
	switch format {
	case PDF:
		options := pdf.DefaultOptions
		renderer := pdf.New(&out, paper.Width, paper.Height, &options)
		renderer.SetInfo(plainASCII(c.Title), "", "", "", "Sheenlay")
		page.RenderTo(renderer)
		err = renderer.Close()
	case SVG:
		options := svg.DefaultOptions
		renderer := svg.New(&out, paper.Width, paper.Height, &options)
		page.RenderTo(renderer)
		err = renderer.Close()
	default:
		return nil, finding.Finding{Code: "sheet-format", Level: finding.Stop,
			Text: fmt.Sprintf("A sheet cannot be written as %q.", format), Remedy: "Choose pdf or svg."}
	}
	return out.Bytes(), err
}

// plainASCII keeps text fit for a document's title field.
func plainASCII(s string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r > '~' {
			return '?'
		}
		return r
	}, s)
}

type drawer struct {
	ctx   *canvas.Context
	paper Paper
	fonts *canvas.FontFamily
	faceY float64 // lower end of the space for the face
}

func (d *drawer) text(x, y, points float64, style canvas.FontStyle, colour color.Color, s string) {
	face := d.fonts.Face(points, colour, style)
	d.ctx.DrawText(x, y, canvas.NewTextLine(face, s, canvas.Left))
}

func (d *drawer) width(points float64, style canvas.FontStyle, s string) float64 {
	return d.fonts.Face(points, ink, style).TextWidth(s)
}

func (d *drawer) heading(c Content) {
	y := d.paper.Height - margin - 5
	d.text(margin, y, 15, canvas.FontBold, ink, d.fit(c.Title, 15, canvas.FontBold, d.paper.Width-2*margin))
	d.text(margin, y-6, 9, canvas.FontRegular, faint, d.fit(c.Subtitle, 9, canvas.FontRegular, d.paper.Width-2*margin))
}

// fit shortens a text to a width in mm.
func (d *drawer) fit(s string, points float64, style canvas.FontStyle, width float64) string {
	if d.width(points, style, s) <= width {
		return s
	}
	r := []rune(s)
	for len(r) > 0 && d.width(points, style, string(r)+"…") > width {
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
	place := func(p plane.Point) (float64, float64) {
		return at.X - (p.X-middle.X)/by, at.Y + (p.Y-middle.Y)/by
	}
	d.ctx.SetFillColor(canvas.Transparent)
	d.ctx.SetStrokeColor(bead)
	d.ctx.SetStrokeJoiner(canvas.RoundJoin)
	for _, s := range c.Strands {
		if len(s.Points) == 0 {
			continue
		}
		path := &canvas.Path{}
		path.MoveTo(place(s.Points[0]))
		for _, p := range s.Points[1:] {
			path.LineTo(place(p))
		}
		d.ctx.SetStrokeWidth(0.12)
		d.ctx.DrawPath(0, 0, path)
	}
	d.ctx.SetStrokeColor(ink)
	d.ctx.SetStrokeWidth(0.25)
	for _, ring := range c.Face {
		path := &canvas.Path{}
		for i, p := range ring {
			if x, y := place(p); i == 0 {
				path.MoveTo(x, y)
			} else {
				path.LineTo(x, y)
			}
		}
		path.Close()
		d.ctx.DrawPath(0, 0, path)
	}
	d.scaleBar(bottom-4, by)
}

func (d *drawer) scaleBar(y, by float64) {
	const long = 50.0
	d.ctx.SetStrokeColor(ink)
	d.ctx.SetStrokeWidth(0.25)
	bar := &canvas.Path{}
	bar.MoveTo(margin, y+1.5)
	bar.LineTo(margin, y)
	bar.LineTo(margin+long, y)
	bar.LineTo(margin+long, y+1.5)
	d.ctx.DrawPath(0, 0, bar)
	says := "50 mm on paper: true size, seen from below"
	if by != 1 {
		says = fmt.Sprintf("50 mm on paper = %g mm: drawn at 1 : %g, seen from below", long*by, by)
	}
	d.text(margin+long+3, y, 8, canvas.FontRegular, faint, says)
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
	d.text(x, y, 9.5, canvas.FontBold, ink, name)
	for i, row := range rows {
		y -= lineHeight
		if i == most-1 && len(rows) > most {
			d.text(x, y, 8, canvas.FontRegular, faint, fmt.Sprintf("and %d more", len(rows)-i))
			return
		}
		value := d.fit(row.Value, 8, canvas.FontRegular, width*0.6)
		w := d.width(8, canvas.FontRegular, value)
		d.text(x, y, 8, canvas.FontRegular, faint, d.fit(row.Name, 8, canvas.FontRegular, width-w-2))
		d.text(x+width-w, y, 8, canvas.FontRegular, ink, value)
	}
}

func (d *drawer) paragraphs(c Content) {
	y := margin + textBlock - 13*lineHeight
	d.text(margin, y, 9.5, canvas.FontBold, ink, "Before you print")
	for _, caution := range c.Cautions {
		for i, line := range d.wrap(caution, 8, d.paper.Width-2*margin-4) {
			y -= lineHeight
			if y < margin+2*lineHeight {
				break
			}
			if i == 0 {
				d.text(margin, y, 8, canvas.FontRegular, faint, "–")
			}
			d.text(margin+4, y, 8, canvas.FontRegular, ink, line)
		}
	}
	if c.Link == "" {
		return
	}
	y = margin + lineHeight
	for _, line := range d.wrapAnywhere("Settings: "+c.Link, 6, d.paper.Width-2*margin, 3) {
		d.text(margin, y, 6, canvas.FontRegular, faint, line)
		y -= 2.6
	}
}

// wrap breaks a text at blanks into lines of at most width mm.
func (d *drawer) wrap(s string, points, width float64) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(s) {
		next := strings.TrimSpace(line + " " + word)
		if line != "" && d.width(points, canvas.FontRegular, next) > width {
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
		for n > 1 && d.width(points, canvas.FontRegular, string(rest[:n])) > width {
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
