// Package lettering turns text into zones, one for each letter, in an open
// font. Results are in mm, Y up, the lower left corner of what is drawn at the
// origin.
//
// The fonts are the regular and bold faces that golang.org/x/image carries
// (BSD licence): Latin, Greek and Cyrillic letters, figures and signs. Their
// outlines and measures are read from the font's own tables (OpenType:
// cmap, glyf, hmtx, kern, OS/2).
package lettering

import (
	"context"
	"fmt"
	"math"
	"strings"
	"sync"
	"unicode"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"

	"sheenlay/engine/drawing/bezier"
	"sheenlay/engine/finding"
	"sheenlay/engine/overlay"
	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// Face is one of the fonts.
type Face uint8

// The faces.
const (
	Regular Face = iota
	Bold
)

// Align says where shorter lines of a text stand.
type Align uint8

// The alignments.
const (
	Left Align = iota
	Centre
	Right
)

// Options steer the setting. Zero values stand for the defaults.
type Options struct {
	Face          Face
	CapHeightMM   float64 // height of a capital H; 0 = 10; held to 0.5…1000
	Align         Align
	LineSpacing   float64 // distance of baselines in units of the font's own; 0 = 1; held to 0.2…5
	TrackingMM    float64 // added between letters, may be negative; held to ± one cap height
	ToleranceMM   float64 // of flattened outlines; 0 = tol.FlattenCurve
	LineWidthMM   float64 // of the bead, to warn of thin letters; 0 = no warning
	LetterDegrees float64 // lay angle of the letters
	GroundDegrees float64 // lay angle around them; equal to LetterDegrees = 90° beyond it
}

// Lettered is a text as a pattern.
type Lettered struct {
	Pattern  pattern.Pattern // a zone for each letter that draws something, all of Kind 0
	SizeMM   plane.Point     // of what is drawn
	StrokeMM float64         // mean width of the strokes of the letters: 2 × area / border
	Findings finding.List
}

// typeface is a parsed font with its scale. Lengths are font units.
type typeface struct {
	font      *sfnt.Font
	ppem      fixed.Int26_6 // makes sfnt answer in font units
	capHeight float64
	lineDown  float64 // from one baseline to the next
}

var load = [...]func() *typeface{
	Regular: sync.OnceValue(func() *typeface { return parse(goregular.TTF) }),
	Bold:    sync.OnceValue(func() *typeface { return parse(gobold.TTF) }),
}

// parse reads a font that is part of the program; failure to do so is a fault
// of the program.
func parse(data []byte) *typeface {
	f, err := sfnt.Parse(data)
	if err != nil {
		panic("lettering: the built-in font cannot be read: " + err.Error())
	}
	t := &typeface{font: f, ppem: fixed.I(int(f.UnitsPerEm()))}
	m, err := f.Metrics(nil, t.ppem, font.HintingNone)
	if err != nil {
		panic("lettering: the built-in font has no measures: " + err.Error())
	}
	t.capHeight, t.lineDown = units(m.CapHeight), units(m.Height)
	return t
}

// units turns the 26.6 fixed point of sfnt into font units.
func units(v fixed.Int26_6) float64 { return float64(v) / 64 }

// letter is one character in its place.
type letter struct {
	char  rune
	at    plane.Point // of its origin, font units
	rings []plane.Ring
}

func (o Options) filled() Options {
	held := func(v, otherwise, low, high float64) float64 {
		if v == 0 || math.IsNaN(v) || math.IsInf(v, 0) {
			v = otherwise
		}
		return math.Min(high, math.Max(low, v))
	}
	if int(o.Face) >= len(load) {
		o.Face = Regular
	}
	o.CapHeightMM = held(o.CapHeightMM, 10, 0.5, 1000)
	o.LineSpacing = held(o.LineSpacing, 1, 0.2, 5)
	o.TrackingMM = held(o.TrackingMM, 0, -o.CapHeightMM, o.CapHeightMM)
	o.ToleranceMM = held(o.ToleranceMM, tol.FlattenCurve, 1e-4, o.CapHeightMM/10)
	angle := func(v float64) float64 {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return 0
		}
		return plane.NormalLay(v * math.Pi / 180)
	}
	o.LetterDegrees, o.GroundDegrees = angle(o.LetterDegrees), angle(o.GroundDegrees)
	if math.Abs(o.LetterDegrees-o.GroundDegrees) < tol.LayAngle {
		o.GroundDegrees = plane.NormalLay(o.LetterDegrees + math.Pi/2)
	}
	return o
}

// Set lays out a text of one or more lines (parted by "\n") and returns its
// letters as zones. Characters that the font does not have are left out and
// reported. A text that draws nothing gives an empty pattern and says so.
func Set(ctx context.Context, text string, options Options) Lettered {
	o := options.filled()
	var out Lettered
	if n := len([]rune(text)); n > tol.LetteringRunes {
		out.Findings.Add(finding.Finding{Code: "lettering-too-long", Level: finding.Stop, Value: float64(n), Unit: "characters",
			Text: fmt.Sprintf("The text has %d characters; %d can be set.", n, tol.LetteringRunes), Remedy: "Shorten the text."})
		return out
	}
	face := load[o.Face]()
	scale := o.CapHeightMM / face.capHeight
	letters, unknown := face.layout(text, o, scale)
	if len(unknown) > 0 {
		out.Findings.Add(unknownCharacters(unknown))
	}
	box := plane.EmptyBox()
	for i := range letters {
		l := &letters[i]
		if ctx.Err() != nil {
			return Lettered{Findings: finding.List{{Code: "lettering-cancelled", Level: finding.Stop, Text: "Setting the text was stopped."}}}
		}
		rings, err := face.outline(l.char, plane.Affine{A: scale, D: scale, E: l.at.X * scale, F: l.at.Y * scale}, o.ToleranceMM)
		if err != nil {
			out.Findings.Add(finding.Finding{Code: "lettering-outline", Level: finding.Caution, Text: fmt.Sprintf("The character %q of the font cannot be read and is left out.", l.char),
				Remedy: "Choose another character."})
			continue
		}
		l.rings = rings
		for _, r := range rings {
			box = box.Union(r.Bounds())
		}
	}
	out.Pattern.ReadsOneWay = true
	out.Pattern.Ground = pattern.Lay{Angle: o.GroundDegrees}
	if box.Empty() {
		out.Findings.Add(finding.Finding{Code: "lettering-nothing", Level: finding.Caution, Text: "The text draws nothing.", Remedy: "Type letters or figures."})
		return out
	}
	out.SizeMM = box.Size()
	area, border := 0.0, 0.0
	for _, l := range letters {
		for _, r := range l.rings {
			for i := range r {
				r[i] = r[i].Sub(box.Min)
			}
		}
		// Outlines of a font may overlap, in accented letters for one: the
		// nonzero rule joins them (OpenType, glyf).
		region := overlay.Normalize(l.rings, overlay.NonZero)
		if len(region) == 0 {
			continue
		}
		area, border = area+region.Area(), border+region.Length()
		out.Pattern.Zones = append(out.Pattern.Zones, pattern.Zone{Region: region, Lay: pattern.Lay{Angle: o.LetterDegrees}, Name: string(l.char)})
	}
	if border > 0 {
		out.StrokeMM = 2 * area / border
	}
	if o.LineWidthMM > 0 && out.StrokeMM < 2*o.LineWidthMM {
		out.Findings.Add(finding.Finding{Code: "lettering-thin", Level: finding.Caution, Value: out.StrokeMM, Unit: "mm",
			Text:   fmt.Sprintf("The strokes of the letters are %.2g mm wide, less than two lines of %.3g mm; they hardly show a direction.", out.StrokeMM, o.LineWidthMM),
			Remedy: "Make the letters larger or choose the bold face."})
	}
	return out
}

// layout places the characters of all lines, kerned and aligned, in font
// units. Characters without a glyph are returned in the order met, each once.
func (t *typeface) layout(text string, o Options, scale float64) (letters []letter, unknown []rune) {
	var buffer sfnt.Buffer
	seen := map[rune]bool{}
	lines := strings.Split(strings.ReplaceAll(text, "\r\n", "\n"), "\n")
	widths := make([]float64, len(lines))
	starts := make([]int, len(lines)+1)
	widest := 0.0
	for i, line := range lines {
		x := 0.0
		previous, started := sfnt.GlyphIndex(0), false
		for _, char := range line {
			if char == '\t' {
				char = ' '
			}
			if isInvisible(char) {
				continue
			}
			glyph, err := t.font.GlyphIndex(&buffer, char)
			if err != nil || glyph == 0 {
				if !seen[char] {
					seen[char] = true
					unknown = append(unknown, char)
				}
				continue
			}
			if started {
				x += o.TrackingMM / scale
				// A font without kerning says so by an error.
				if k, err := t.font.Kern(&buffer, previous, glyph, t.ppem, font.HintingNone); err == nil {
					x += units(k)
				}
			}
			letters = append(letters, letter{char: char, at: plane.Point{X: x, Y: -float64(i) * t.lineDown * o.LineSpacing}})
			if advance, err := t.font.GlyphAdvance(&buffer, glyph, t.ppem, font.HintingNone); err == nil {
				x += units(advance)
			}
			previous, started = glyph, true
		}
		widths[i], starts[i+1] = x, len(letters)
		widest = math.Max(widest, x)
	}
	for i := range lines {
		shift := 0.0
		switch o.Align {
		case Centre:
			shift = (widest - widths[i]) / 2
		case Right:
			shift = widest - widths[i]
		}
		for k := starts[i]; k < starts[i+1]; k++ {
			letters[k].at.X += shift
		}
	}
	return letters, unknown
}

// isInvisible reports whether a character steers the text and draws nothing.
func isInvisible(char rune) bool {
	return unicode.IsControl(char) || unicode.Is(unicode.Cf, char) || unicode.Is(unicode.Variation_Selector, char)
}

// outline returns the rings of a character, flattened and mapped to mm.
func (t *typeface) outline(char rune, m plane.Affine, tolerance float64) ([]plane.Ring, error) {
	var buffer sfnt.Buffer
	glyph, err := t.font.GlyphIndex(&buffer, char)
	if err != nil {
		return nil, err
	}
	segments, err := t.font.LoadGlyph(&buffer, glyph, t.ppem, nil)
	if err != nil {
		return nil, err
	}
	var rings []plane.Ring
	var ring plane.Ring
	finish := func() {
		if n := len(ring); n > 1 && ring[0] == ring[n-1] {
			ring = ring[:n-1]
		}
		if len(ring) > 2 {
			rings = append(rings, ring)
		}
		ring = nil
	}
	for _, s := range segments {
		var p [3]plane.Point
		for i, a := range s.Args {
			p[i] = m.Apply(plane.Point{X: units(a.X), Y: -units(a.Y)}) // sfnt counts Y downwards
		}
		if s.Op == sfnt.SegmentOpMoveTo {
			finish()
			ring = plane.Ring{p[0]}
			continue
		}
		at := ring[len(ring)-1]
		switch s.Op {
		case sfnt.SegmentOpLineTo:
			ring = append(ring, p[0])
		case sfnt.SegmentOpQuadTo:
			n := int(math.Ceil(bezier.QuadSteps(at, p[0], p[1], tolerance)))
			for i := 1; i < n; i++ {
				ring = append(ring, bezier.Quad(at, p[0], p[1], float64(i)/float64(n)))
			}
			ring = append(ring, p[1])
		case sfnt.SegmentOpCubeTo:
			n := int(math.Ceil(bezier.CubicSteps(at, p[0], p[1], p[2], tolerance)))
			for i := 1; i < n; i++ {
				ring = append(ring, bezier.Cubic(at, p[0], p[1], p[2], float64(i)/float64(n)))
			}
			ring = append(ring, p[2])
		}
	}
	finish()
	return rings, nil
}

// unknownCharacters reports what the font does not have, the first ten by
// name.
func unknownCharacters(chars []rune) finding.Finding {
	var names []string
	for i, c := range chars {
		if i == 10 {
			names = append(names, "…")
			break
		}
		names = append(names, fmt.Sprintf("%c (U+%04X)", c, c))
	}
	return finding.Finding{Code: "lettering-unknown", Level: finding.Caution, Value: float64(len(chars)), Unit: "characters",
		Text: "The font has no " + strings.Join(names, ", ") + "; left out.", Remedy: "Use other characters, or draw them as shapes in an SVG file."}
}
