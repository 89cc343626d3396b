// Package picture turns pictures into zones: by levels of tone or of colour,
// with smooth outlines, each level with a lay of its own. Results are in mm
// with the origin at the lower left corner of the picture, Y up.
//
// The zones are painted over one another: the first is the whole picture, each
// later one is what is lighter than a threshold. So neighbouring levels share
// their border by construction and no gap can open between them.
//
// Sources: IEC 61966-2-1 (sRGB to linear light), CIE 15 (lightness L*, Lab),
// W. Lorensen and H. Cline, Marching cubes, 1987, in two dimensions.
package picture

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/draw"
	_ "image/jpeg" // formats that Decode reads
	_ "image/png"
	"math"

	"sheenlay/engine/finding"
	"sheenlay/engine/overlay"
	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
	"sheenlay/engine/raster"
	"sheenlay/engine/tol"
)

// Picture is a raster of sRGB pixels: 4 bytes each (red, green, blue, alpha,
// not multiplied), rows from the top, as a browser's ImageData has them.
type Picture struct {
	Width, Height int
	RGBA          []byte
}

// Basis says what is divided into levels.
type Basis uint8

// The two bases.
const (
	Tone   Basis = iota // lightness L*
	Colour              // colour in Lab; levels are ordered by lightness
)

// Division says where thresholds of tone are set. Levels by colour are always
// clusters.
type Division uint8

// The two divisions.
const (
	Even     Division = iota // equal steps of L* between the darkest and the lightest tone
	Clusters                 // the levels that fit the tones best (least squares)
)

// The limits of Options.
const (
	MinLevels = 2
	MaxLevels = 8
)

// Options steer the tracing. Zero values stand for the defaults.
type Options struct {
	WidthMM     float64 // width of the result; 0 = 100
	Levels      int     // MinLevels to MaxLevels; 0 = 4
	Basis       Basis
	Division    Division
	SmoothMM    float64 // standard deviation of the blur; 0 = 0.4, negative = none
	SpeckMM2    float64 // zones smaller than this are merged; 0 = tol.PictureSpeck, negative = none
	StepMM      float64 // distance of samples; 0 = tol.PictureStep
	FromDegrees float64 // lay angle of the darkest level
	ToDegrees   float64 // lay angle of the lightest level; equal to FromDegrees = 90° beyond it
}

// Level is one level of the result, darkest first.
type Level struct {
	Lightness float64 // mean L* of its pixels, 0 to 100
	Colour    string  // mean colour, "#rrggbb"
	AreaMM2   float64 // what is seen of it
	Degrees   float64 // its lay angle, in [0, 180)
}

// Traced is a picture as a pattern.
type Traced struct {
	Pattern  pattern.Pattern // zones in painting order; Kind is the level
	Levels   []Level
	SizeMM   plane.Point
	Findings finding.List
}

// Decode reads a PNG or JPEG file. When it cannot, the picture is empty and
// the finding of level stop says why.
func Decode(data []byte) (Picture, finding.List) {
	refuse := func(code, text, remedy string) (Picture, finding.List) {
		return Picture{}, finding.List{{Code: code, Level: finding.Stop, Text: text, Remedy: remedy, Place: &finding.Place{File: "artwork"}}}
	}
	if len(data) == 0 {
		return refuse("picture-empty", "The file is empty.", "Choose another file.")
	}
	config, _, err := image.DecodeConfig(bytes.NewReader(data))
	if err != nil {
		return refuse("picture-unknown", "The file is not a PNG or JPEG picture, or its beginning is damaged.", "Choose a PNG or JPEG file.")
	}
	if config.Width <= 0 || config.Height <= 0 || config.Width > tol.PicturePixels/config.Height {
		return refuse("picture-too-large", fmt.Sprintf("The picture has %d × %d pixels; %d million can be read.", config.Width, config.Height, tol.PicturePixels/1_000_000),
			"Scale it down; a thousand pixels each way are plenty.")
	}
	decoded, _, err := image.Decode(bytes.NewReader(data))
	if err != nil {
		return refuse("picture-damaged", "The picture is damaged or cut short.", "Save or download it again.")
	}
	b := decoded.Bounds()
	out := image.NewNRGBA(image.Rect(0, 0, b.Dx(), b.Dy()))
	draw.Draw(out, out.Bounds(), decoded, b.Min, draw.Src)
	return Picture{Width: b.Dx(), Height: b.Dy(), RGBA: out.Pix}, nil
}

// filled puts defaults in and holds the options to their limits.
func (o Options) filled() Options {
	or := func(v, otherwise float64) float64 {
		switch {
		case v == 0 || math.IsNaN(v) || math.IsInf(v, 0):
			return otherwise
		case v < 0:
			return 0
		}
		return v
	}
	o.WidthMM = math.Min(or(math.Abs(o.WidthMM), 100), 2000)
	if o.Levels == 0 {
		o.Levels = 4
	}
	o.Levels = max(MinLevels, min(MaxLevels, o.Levels))
	o.SmoothMM = math.Min(or(o.SmoothMM, 0.4), o.WidthMM)
	o.SpeckMM2 = or(o.SpeckMM2, tol.PictureSpeck)
	o.StepMM = or(math.Abs(o.StepMM), tol.PictureStep)
	if o.FromDegrees == o.ToDegrees || math.IsNaN(o.ToDegrees-o.FromDegrees) || math.IsInf(o.ToDegrees-o.FromDegrees, 0) {
		if math.IsNaN(o.FromDegrees) || math.IsInf(o.FromDegrees, 0) {
			o.FromDegrees = 0
		}
		o.ToDegrees = o.FromDegrees + 90
	}
	return o
}

// Trace turns a picture into zones. progress may be nil. When the picture
// cannot be used or ctx is cancelled, the pattern is empty and a finding of
// level stop says so.
func Trace(ctx context.Context, p Picture, options Options, progress func(share float64)) Traced {
	o := options.filled()
	refuse := func(code, text, remedy string) Traced {
		return Traced{Findings: finding.List{{Code: code, Level: finding.Stop, Text: text, Remedy: remedy, Place: &finding.Place{File: "artwork"}}}}
	}
	if p.Width <= 0 || p.Height <= 0 || p.Width > tol.PicturePixels/p.Height {
		return refuse("picture-size", fmt.Sprintf("A picture of %d × %d pixels cannot be read.", p.Width, p.Height), "Choose a picture of up to 64 million pixels.")
	}
	if len(p.RGBA) != 4*p.Width*p.Height {
		return refuse("picture-size", "The picture does not hold as many pixels as it says.", "Load it again.")
	}
	if ratio := float64(p.Height) / float64(p.Width); ratio > 100 || ratio < 0.01 {
		return refuse("picture-narrow", "The picture is more than a hundred times as long as it is wide.", "Crop it.")
	}
	if progress == nil {
		progress = func(float64) {}
	}
	cancelled := func() Traced { return refuse("picture-cancelled", "Tracing the picture was stopped.", "") }

	g := newGrid(p, o)
	light := sampleLight(ctx, p, g)
	if light == nil {
		return cancelled()
	}
	progress(0.4)
	layers := divide(light, g, o)
	t := Traced{SizeMM: g.size, Levels: layers.levels}
	t.Pattern.ReadsOneWay = true
	if len(layers.levels) < o.Levels {
		t.Findings.Add(finding.Finding{Code: "picture-few-levels", Level: finding.Note, Value: float64(len(layers.levels)), Unit: "levels",
			Text: fmt.Sprintf("The picture holds only %d levels.", len(layers.levels)), Place: &finding.Place{File: "artwork"}})
	}
	if layers.label == nil {
		// One field serves all thresholds of tone.
		if layers.tone = blur(ctx, layers.tone, g, o.SmoothMM/g.step); layers.tone == nil {
			return cancelled()
		}
		if layers.rims = findRims(ctx, layers.tone, layers.thresholds, g); layers.rims == nil {
			return cancelled()
		}
	}
	specks := speckCount{}
	for k := range layers.levels {
		if ctx.Err() != nil {
			return cancelled()
		}
		var region plane.Region
		if k == 0 {
			region = plane.Region{{{}, {X: g.size.X}, g.size, {Y: g.size.Y}}}
		} else {
			field, threshold := layers.field(k)
			if layers.label != nil {
				if field = blur(ctx, field, g, o.SmoothMM/g.step); field == nil {
					return cancelled()
				}
			}
			region = outline(field, g, threshold, o.SpeckMM2, &specks)
		}
		level := &t.Levels[k]
		turn := 0.0
		if n := len(layers.levels); n > 1 {
			turn = float64(k) / float64(n-1)
		}
		angle := plane.NormalLay((o.FromDegrees + (o.ToDegrees-o.FromDegrees)*turn) * math.Pi / 180)
		level.Degrees = angle * 180 / math.Pi
		level.AreaMM2 = region.Area()
		if k > 0 {
			t.Levels[k-1].AreaMM2 -= level.AreaMM2
		}
		if len(region) > 0 {
			t.Pattern.Zones = append(t.Pattern.Zones, pattern.Zone{Region: region, Lay: pattern.Lay{Angle: angle}, Kind: k, Name: fmt.Sprintf("level %d", k+1)})
		}
		progress(0.4 + 0.6*float64(k+1)/float64(len(layers.levels)))
	}
	t.Pattern.Ground = pattern.Lay{Angle: plane.NormalLay(o.FromDegrees * math.Pi / 180)}
	if specks.count > 0 {
		t.Findings.Add(finding.Finding{Code: "picture-specks", Level: finding.Note, Value: float64(specks.count), Unit: "specks", Place: &finding.Place{File: "artwork"},
			Text: fmt.Sprintf("%d specks smaller than %.3g mm² (%.3g mm² in all) are merged with what surrounds them.", specks.count, o.SpeckMM2, specks.area)})
	}
	return t
}

// outline returns where field ≥ threshold, in normal form, specks left out.
func outline(field []float64, g grid, threshold, speck float64, specks *speckCount) plane.Region {
	rings := contours(field, g, threshold)
	kept := rings[:0]
	for _, r := range rings {
		if area := math.Abs(r.Area()); area < speck {
			if area > 0 {
				specks.count++
				specks.area += area
			}
			continue
		}
		kept = append(kept, raster.Straighten(r, tol.PictureOutline))
	}
	// Thinned rings may cross where they came near; outer rings count up and
	// holes count down, so what both claim is settled once.
	return overlay.Normalize(kept, overlay.Positive)
}

// speckCount sums what was merged.
type speckCount struct {
	count int
	area  float64 // mm²
}
