package sheet

import (
	"bytes"
	"encoding/xml"
	"fmt"

	"sheenlay/engine/plane"
)

// svgPage writes one page of lines and text as SVG in millimetres.
type svgPage struct {
	paper Paper
	body  bytes.Buffer
	title string
}

func newSVG(paper Paper, title string) *svgPage { return &svgPage{paper: paper, title: title} }

func (p *svgPage) stroke(points []plane.Point, closed bool, widthMM float64, c ink) {
	if len(points) < 2 {
		return
	}
	fmt.Fprintf(&p.body, "<path stroke=\"%s\" stroke-width=\"%s\" d=\"", c.hex(), short(widthMM))
	for i, q := range points {
		op := "L"
		if i == 0 {
			op = "M"
		}
		fmt.Fprintf(&p.body, "%s%s %s", op, short(q.X), short(p.paper.Height-q.Y))
	}
	if closed {
		p.body.WriteString("z")
	}
	p.body.WriteString("\"/>\n")
}

// text states the length it was laid out with, so that another font on the
// reader's machine keeps its place.
func (p *svgPage) text(x, y, points float64, weight int, c ink, s string) {
	if s == "" {
		return
	}
	all, _ := faces()
	style := "normal"
	if weight == bold {
		style = "bold"
	}
	fmt.Fprintf(&p.body, "<text x=\"%s\" y=\"%s\" font-size=\"%s\" font-weight=\"%s\" fill=\"%s\" textLength=\"%s\" lengthAdjust=\"spacingAndGlyphs\">",
		short(x), short(p.paper.Height-y), short(points*mmPerPoint), style, c.hex(), short(all[weight].width(points, s)))
	xml.EscapeText(&p.body, []byte(s))
	p.body.WriteString("</text>\n")
}

func (p *svgPage) finish() ([]byte, error) {
	var out bytes.Buffer
	w, h := short(p.paper.Width), short(p.paper.Height)
	fmt.Fprintf(&out, "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"%smm\" height=\"%smm\" viewBox=\"0 0 %s %s\" font-family=\"sans-serif\" fill=\"none\" stroke-linejoin=\"round\" stroke-linecap=\"round\">\n<title>", w, h, w, h)
	xml.EscapeText(&out, []byte(p.title))
	fmt.Fprintf(&out, "</title>\n<rect width=\"%s\" height=\"%s\" fill=\"#fff\"/>\n", w, h)
	out.Write(p.body.Bytes())
	out.WriteString("</svg>\n")
	return out.Bytes(), nil
}
