package fill

import (
	"context"
	"fmt"
	"math"

	"sheenlay/engine/fill/loops"
	"sheenlay/engine/finding"
	"sheenlay/engine/overlay"
	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
	"sheenlay/engine/scan"
	"sheenlay/engine/strand"
)

// Request says what to lay. Lengths in mm.
type Request struct {
	Face    plane.Region // normal form, bed frame
	Pattern pattern.Pattern

	WidthMM    float64 // nominal bead width
	SpacingMM  float64 // nominal distance of rows; 0 = WidthMM
	MinWidthMM float64 // limits of the adapted width; 0 = 0.7 and 1.3 of WidthMM
	MaxWidthMM float64

	// Start is where the line before ends; the first bead begins near it. Nil
	// leaves the choice open.
	Start *plane.Point
	// Coarse asks for a preview: rows as they are, not joined.
	Coarse bool
	// Progress, if not nil, is told the share done, 0 to 1, rising.
	Progress func(share float64)
	// Threader lays fields and curves; without one they are reported.
	Threader Threader
}

// Result of Fill.
type Result struct {
	Strands  []strand.Strand // in the order of laying
	Findings finding.List
	Stats    Stats
}

// Stats are the figures of a result.
type Stats struct {
	LengthMM  float64 // of all beads
	Islands   int     // connected parts of the face
	Strands   int
	Travels   int // strands beyond one for each island that has any
	Crossings int // places where bead would cross bead: 0 in every result
	Zones     int // zones with bead in them
	Cells     int
	Bridges   int     // pairs of loops joined
	Spines    int     // pieces of border bead that close zigzags
	Combs     int     // cells closed by a whole spine of their own
	SpineMM   float64 // length of all spines
	LinkMM    float64 // length of bridges and links
	// LeftOutMM2 is the area of parts that hold no bead, mm²; findings say where.
	LeftOutMM2 float64
	// ShareOfLayWithin1Deg is the share of the length that runs within 1° of
	// its zone's lay, connectors included, fields left out.
	ShareOfLayWithin1Deg float64
}

// add sums the figures that are counted while building.
func (s *Stats) add(o Stats) {
	s.Cells += o.Cells
	s.Bridges += o.Bridges
	s.Spines += o.Spines
	s.Combs += o.Combs
	s.SpineMM += o.SpineMM
	s.LinkMM += o.LinkMM
	s.LeftOutMM2 += o.LeftOutMM2
}

// Area is a zone as a Threader sees it: the face and the zone it must lie
// inside of, and what lies above, each with the clearance of centre lines.
type Area struct {
	Zone    int32 // index into Pattern.Zones, or strand.Ground
	Lay     pattern.Lay
	Phase   float64
	Spacing float64 // resolved: the zone's or the job's
	Width   float64 // nominal width at Spacing
	Min     float64 // limits of the adapted width
	Max     float64
	Covers  []scan.Cover
}

// Threader lays what rows cannot. Both methods return closed beads (at most
// one open) that lie in the given area, cross neither themselves nor each
// other, and have widths and zones set; the rest is for fill to join.
type Threader interface {
	Zone(ctx context.Context, area Area) ([]loops.Loop, finding.List, error)
	Curves(ctx context.Context, island plane.Region, curves []pattern.Curve, area Area) ([]loops.Loop, finding.List, error)
}

// Limits of a request.
const (
	maxZones   = 200_000
	maxMetres  = 2000 // of bead: a 400 mm face takes 400 m
	minSpacing = 0.05 // mm
	maxSpacing = 20   // mm
)

// Fill lays the pattern on the face. An empty face gives an empty result with
// a note. Errors are findings (level stop) for requests that cannot be met,
// and the context's error when it ends first; then Result is empty.
func Fill(ctx context.Context, req Request) (Result, error) {
	req, err := req.resolved()
	if err != nil {
		return Result{}, err
	}
	req, home := req.atHome()
	var res Result
	islands := overlay.Islands(req.Face)
	res.Stats.Islands = len(islands)
	if len(islands) == 0 {
		res.Findings.Add(finding.Finding{
			Code: "fill-empty-face", Level: finding.Note,
			Text:   "The face is empty, so there is nothing to lay.",
			Remedy: "Check which part of the layer was chosen as the face.",
		})
		return res, nil
	}
	report := func(share float64) {
		if req.Progress != nil {
			req.Progress(share)
		}
	}
	at := req.Start
	for i, island := range islands {
		w := &worker{req: req, island: island, index: i, res: &res, ctx: ctx}
		w.progress = func(share float64) { report((float64(i) + share) / float64(len(islands))) }
		strands, err := w.lay(at)
		if err != nil {
			return Result{}, err
		}
		if n := len(strands); n > 0 {
			last := strands[n-1].Points
			at = &last[len(last)-1]
			res.Stats.Travels += n - 1
		}
		res.Strands = append(res.Strands, strands...)
	}
	res.measure(req.Pattern)
	res.moveOut(home)
	report(1)
	return res, nil
}

// resolved checks the request and fills in defaults.
func (r Request) resolved() (Request, error) {
	refuse := func(code, text, remedy string, value float64) (Request, error) {
		return r, finding.Finding{Code: code, Level: finding.Stop, Text: text, Remedy: remedy, Value: value, Unit: "mm"}
	}
	finite := func(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
	if !(r.WidthMM >= minSpacing && r.WidthMM <= maxSpacing) {
		return refuse("fill-width", fmt.Sprintf("A bead %g mm wide cannot be laid.", r.WidthMM),
			fmt.Sprintf("Give a width from %g to %d mm.", minSpacing, maxSpacing), r.WidthMM)
	}
	if r.SpacingMM == 0 {
		r.SpacingMM = r.WidthMM
	}
	if !(r.SpacingMM >= minSpacing && r.SpacingMM <= maxSpacing) {
		return refuse("fill-spacing", fmt.Sprintf("Lines %g mm apart cannot be laid.", r.SpacingMM),
			fmt.Sprintf("Give a spacing from %g to %d mm.", minSpacing, maxSpacing), r.SpacingMM)
	}
	if !(r.MinWidthMM > 0) {
		r.MinWidthMM = 0.7 * r.WidthMM
	}
	if !(r.MaxWidthMM > 0) {
		r.MaxWidthMM = 1.3 * r.WidthMM
	}
	r.MinWidthMM = min(r.MinWidthMM, r.WidthMM)
	r.MaxWidthMM = max(r.MaxWidthMM, r.WidthMM)
	if len(r.Pattern.Zones) > maxZones {
		return refuse("fill-too-many-zones", fmt.Sprintf("The pattern has %d zones; at most %d can be laid.", len(r.Pattern.Zones), maxZones),
			"Use a larger tile.", float64(len(r.Pattern.Zones)))
	}
	for _, ring := range r.Face {
		for _, p := range ring {
			if !p.Finite() {
				return refuse("fill-face", "The outline of the face holds a coordinate that is not a number.",
					"Slice the piece again.", 0)
			}
		}
	}
	if metres := math.Abs(r.Face.Area()) / r.SpacingMM / 1000; !(metres <= maxMetres) {
		return refuse("fill-too-long", fmt.Sprintf("The face would take %.0f m of bead; at most %d m can be laid.", metres, maxMetres),
			"Use a smaller face or wider lines.", metres*1000)
	}
	if r.Start != nil && !r.Start.Finite() {
		r.Start = nil
	}
	zones := make([]pattern.Zone, len(r.Pattern.Zones))
	copy(zones, r.Pattern.Zones)
	for i := range zones {
		z := &zones[i]
		if !finite(z.Lay.Angle) {
			z.Lay.Angle = 0
		}
		if !finite(z.Phase) {
			z.Phase = 0
		}
		if !(z.Spacing >= minSpacing && z.Spacing <= maxSpacing) {
			z.Spacing = r.SpacingMM
		}
	}
	r.Pattern.Zones = zones
	if !finite(r.Pattern.Ground.Angle) {
		r.Pattern.Ground.Angle = 0
	}
	if !finite(r.Pattern.GroundPhase) {
		r.Pattern.GroundPhase = 0
	}
	return r, nil
}

// measure fills in the figures that follow from the strands.
func (r *Result) measure(p pattern.Pattern) {
	along, straight := 0.0, 0.0
	seen := map[int32]bool{}
	for _, s := range r.Strands {
		for i := range s.Width {
			d := s.Points[i+1].Sub(s.Points[i])
			length := d.Norm()
			r.Stats.LengthMM += length
			lay := p.Ground
			if z := s.Zone[i]; z >= 0 {
				seen[z] = true
				lay = p.Zones[z].Lay
			} else if z == strand.Connector {
				straight += length
				continue
			}
			if lay.Field != nil {
				continue
			}
			straight += length
			sin, cos := math.Sincos(lay.Angle)
			if math.Abs(d.X*sin-d.Y*cos) <= math.Sin(math.Pi/180)*length {
				along += length
			}
		}
	}
	r.Stats.Strands = len(r.Strands)
	r.Stats.Zones = len(seen)
	if straight > 0 {
		r.Stats.ShareOfLayWithin1Deg = along / straight
	}
}
