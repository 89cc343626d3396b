package drawing

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"sheenlay/engine/finding"
	"sheenlay/engine/internal/limits"
	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// FuzzRead: whatever the bytes, reading ends without a panic, every figure is
// a number within reach, clipped lines stay on the page's side of their
// points, and a stop leaves nothing behind. Zones and chains of the result are
// made too.
func FuzzRead(f *testing.F) {
	folder := filepath.Join("..", "..", "testdata", "drawings")
	names, _ := filepath.Glob(filepath.Join(folder, "*.svg"))
	rendered, _ := filepath.Glob(filepath.Join(folder, "rendered", "*.svg"))
	for _, name := range append(names, rendered...) {
		if data, err := os.ReadFile(name); err == nil {
			f.Add(data)
		}
	}
	for _, content := range []string{
		`<path d="M0,0a25,25 0 1125,25 zS1 2 3 4T5,6" stroke="red"/>`,
		`<g transform="skewX(45) matrix(1 2 3 4 5 6)"><use href="#a" width="5"/><symbol id="a" viewBox="0 0 1 1"><rect rx="3" width="9" height="9" stroke="red"/></symbol></g>`,
		`<clipPath id="c"><circle r="5"/></clipPath><line x2="9" stroke="red" clip-path="url(#c)"/>`,
		`<style>g > .a ~ b{stroke:red !important}</style><switch><line systemLanguage="en"/></switch>`,
	} {
		f.Add([]byte(page(content)))
	}
	f.Add([]byte("<!DOCTYPE svg [<!ENTITY a '<g/>'><!ENTITY b \"&a;&#65;\">]><svg>&b;</svg>"))
	f.Add([]byte("\xff\xfe<\x00s\x00"))
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) <= 1<<16 {
			limits.Reader(t, func() { tryRead(t, data) })
		}
	})
}

// tryRead reads a drawing as lines and as zones and holds what comes out to what
// is promised.
func tryRead(t *testing.T, data []byte) {
	d := Read(context.Background(), data, Options{StrokesAsShapes: true})
	if d.Findings.Worst() == finding.Stop && (len(d.Lines) > 0 || len(d.Shapes) > 0) {
		t.Fatal("a refused drawing left something behind")
	}
	check := func(p plane.Point) {
		if !p.Finite() || p.Norm() > 4*tol.DrawingReach {
			t.Fatalf("a point out of reach: %v", p)
		}
	}
	points := 0
	for _, l := range d.Lines {
		if len(l.Points) < 2 || l.Closed && len(l.Points) < 3 {
			t.Fatal("a line without length")
		}
		for _, p := range l.Points {
			check(p)
		}
		points += len(l.Points)
	}
	for _, s := range d.Shapes {
		for _, r := range s.Rings {
			for _, p := range r {
				check(p)
			}
			points += len(r)
		}
	}
	if points > 50_000 {
		return
	}
	laid, drawn := 0, 0
	for _, c := range Chain(d.Lines, 0) {
		laid += len(c.Parts)
	}
	drawn = len(d.Lines)
	if laid != drawn {
		t.Fatalf("%d of %d lines chained", laid, drawn)
	}
	Check(d.Lines, 0.4, 0.42)
	Zones(context.Background(), d)
}

// FuzzPath: path data never panics, and what it gives is the same when read
// again from its well-formed part.
func FuzzPath(f *testing.F) {
	for _, s := range []string{"", "M0,0", "M 0.6.5L1e1-2", "m1,1a25,25 0 1125,25zt1 1", "M0 0H1V2h3v4z#"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, data string) {
		limits.Reader(t, func() {
			whole, fault := parsePath(data)
			if fault == nil {
				return
			}
			if fault.Offset < 0 || fault.Offset > len(data) {
				t.Fatalf("fault at %d of %d", fault.Offset, len(data))
			}
			part, _ := parsePath(data[:fault.Offset])
			if written(part) != written(whole) {
				t.Fatalf("%q: %s or %s", data, written(part), written(whole))
			}
		})
	})
}
