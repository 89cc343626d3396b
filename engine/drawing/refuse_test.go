package drawing

import (
	"bytes"
	"compress/gzip"
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sheenlay/engine/finding"
	"sheenlay/engine/internal/limits"
	"sheenlay/engine/tol"
)

// refusal is a file that cannot be used and what is said of it.
type refusal struct {
	name, text, code string
	line             int
	element          string
}

func refusals() []refusal {
	var laughs strings.Builder
	laughs.WriteString(`<!DOCTYPE svg [<!ENTITY a0 "ha">`)
	for i := 1; i < 30; i++ {
		fmt.Fprintf(&laughs, `<!ENTITY a%d "%s">`, i, strings.Repeat(fmt.Sprintf("&a%d;", i-1), 10))
	}
	laughs.WriteString(`]><svg><desc>&a29;</desc></svg>`)
	quadratic := `<!DOCTYPE svg [<!ENTITY a "` + strings.Repeat("x", 100_000) + `">]><svg><desc>` + strings.Repeat("&a;", 100_000) + `</desc></svg>`
	var copies strings.Builder
	copies.WriteString(`<svg><defs><line id="u0" x2="1" stroke="red"/>`)
	for i := 1; i < 60; i++ {
		fmt.Fprintf(&copies, `<g id="u%d"><use href="#u%d"/><use href="#u%d"/></g>`, i, i-1, i-1)
	}
	copies.WriteString(`</defs><use href="#u59"/></svg>`)

	var packed bytes.Buffer
	w := gzip.NewWriter(&packed)
	for range tol.DrawingBytes>>10 + 1 {
		w.Write(bytes.Repeat([]byte(" "), 1<<10))
	}
	w.Close()

	return []refusal{
		{"empty", "", "drawing-empty", 0, ""},
		{"blanks", "  \n ", "drawing-not-svg", 1, ""},
		{"binary", "\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR", "drawing-not-svg", 1, ""},
		{"other commands", "G28\nG1 X10 Y10\n", "drawing-not-svg", 1, ""},
		{"another vocabulary", "<!DOCTYPE html>\n<html></html>", "drawing-not-svg", 2, "html"},
		{"packed so that it unpacks to too much", packed.String(), "drawing-too-large", 0, ""},
		{"DOCTYPE without end", "<!DOCTYPE svg [<!ENTITY a \"b\"\n<svg/>", "drawing-doctype", 1, ""},
		{"damaged gzip", "\x1f\x8bxx", "drawing-packed", 0, ""},
		{"cut short in a tag", "<svg>\n<g>\n<path d=\"M0,0", "drawing-cut-short", 3, ""},
		{"cut short between tags", "<svg>\n<g id=\"a\">\n", "drawing-cut-short", 2, "g#a"},
		{"wrong closing tag", "<svg>\n<g></svg>", "drawing-xml", 2, ""},
		{"not well-formed", "<svg>\n<g a=b/></svg>", "drawing-xml", 2, ""},
		{"entity that is not declared", "<svg>\n&none;</svg>", "drawing-xml", 2, ""},
		{"entity in itself", "<!DOCTYPE svg [<!ENTITY a \"&b;\"><!ENTITY b \"&a;\">]>\n<svg>&a;</svg>", "drawing-entity", 2, ""},
		{"a billion entities", laughs.String(), "drawing-entity", 1, ""},
		{"one large entity many times", quadratic, "drawing-entity", 1, ""},
		{"100,000 nested groups", "<svg>\n" + strings.Repeat("<g>", 100_000), "drawing-too-deep", 2, "g"},
		{"too many elements", "<svg>" + strings.Repeat("<g/>", 300_000) + "</svg>", "drawing-too-many-elements", 1, "g"},
		{"use of itself", "<svg>\n<use id=\"u\" href=\"#u\"/></svg>", "drawing-recursive-use", 2, "use#u"},
		{"use of a parent", "<svg>\n<g id=\"g\">\n<use href=\"#g\"/></g></svg>", "drawing-recursive-use", 3, "use"},
		{"use in a ring", "<svg><defs><g id=\"a\"><use id=\"x\" href=\"#b\"/></g><g id=\"b\"><use href=\"#a\"/></g></defs>\n<use href=\"#a\"/></svg>", "drawing-recursive-use", 1, "use#x"},
		{"copies of copies", copies.String(), "drawing-too-many-copies", 1, ""},
		{"clip path in itself", "<svg>\n<clipPath id=\"c\" clip-path=\"url(#c)\"/><line x2=\"1\" stroke=\"red\" clip-path=\"url(#c)\"/></svg>", "drawing-recursive-clip", 2, "clipPath#c"},
		{"points without end", page(`<path stroke="red" fill="none" d="M0,0` + strings.Repeat("C0,99 99,99 99,0 99,-99 0,-99 0,0", 300_000) + `"/>`), "drawing-too-many-points", 1, "path"},
	}
}

// Every refusal says what, where and what to do, within the limits for one
// input.
func TestRefusals(t *testing.T) {
	for _, c := range refusals() {
		t.Run(c.name, func(t *testing.T) {
			var d Drawing
			limits.Reader(t, func() { d = Read(context.Background(), []byte(c.text), Options{}) })
			require.NotEmpty(t, d.Findings)
			f := d.Findings[0]
			assert.Equal(t, c.code, f.Code, f.Text)
			assert.Equal(t, finding.Stop, f.Level)
			assert.NotEmpty(t, f.Text)
			assert.NotEmpty(t, f.Remedy)
			if c.line > 0 {
				require.NotNil(t, f.Place)
				assert.Equal(t, c.line, f.Place.Line)
			}
			if c.element != "" {
				assert.Equal(t, c.element, f.Place.Element)
			}
			assert.Empty(t, d.Lines)
		})
	}
}

// BenchmarkRefusal shows what the costliest refusals take.
func BenchmarkRefusal(b *testing.B) {
	for _, c := range refusals() {
		if len(c.text) < 2000 {
			continue
		}
		b.Run(strings.ReplaceAll(c.name, " ", "-"), func(b *testing.B) {
			for range b.N {
				if d := Read(context.Background(), []byte(c.text), Options{}); !d.Findings.Has(c.code) {
					b.Fatal("not refused")
				}
			}
		})
	}
}
