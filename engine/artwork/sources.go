package artwork

import (
	"context"

	"sheenlay/engine/drawing"
	"sheenlay/engine/finding"
	"sheenlay/engine/generators"
	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
	"sheenlay/engine/trial"
)

// generated builds a pattern over the box that the face takes in the pattern's
// own frame, so that scaling and turning leave no bare corner. The pattern is
// made for the box about its own middle that reaches as far, but no more of it
// than the face needs.
func generated(in Input, placed plane.Affine) (source, error) {
	g, err := generators.ByID(in.Art.Generator)
	if err != nil {
		return source{}, err
	}
	part := plane.EmptyBox()
	back := backward(placed)
	if face := in.Face.Bounds(); !face.Empty() {
		for _, corner := range corners(face) {
			part = part.Include(back.Apply(corner))
		}
	}
	about := part
	if !part.Empty() {
		about = about.Include(part.Min.Mul(-1)).Include(part.Max.Mul(-1)) // centred on zero: the pattern is
	}
	spacing := in.WidthMM / in.Placement.Scale
	p, err := g.BuildPart(g.WithSpacing(in.Art.Params, spacing), in.Art.Seed, about, part)
	if err != nil {
		return source{}, err
	}
	return source{pattern: p, box: plane.EmptyBox()}, nil
}

// backward returns the map that undoes m, which is a placement and so never
// flattens the plane.
func backward(m plane.Affine) plane.Affine {
	d := m.Det()
	out := plane.Affine{A: m.D / d, B: -m.B / d, C: -m.C / d, D: m.A / d}
	out.E = -(out.A*m.E + out.C*m.F)
	out.F = -(out.B*m.E + out.D*m.F)
	return out
}

// drawn reads an SVG: its strokes as lines to follow, or its shapes as zones.
func drawn(ctx context.Context, in Input, found *finding.List) (source, error) {
	if in.Art.SVG == "" {
		return source{}, finding.Finding{Code: "artwork-no-drawing", Level: finding.Stop, Text: "The job has no drawing yet.",
			Remedy: "Drop an SVG file on the page, or choose a built-in pattern.", Place: &finding.Place{File: "job", Element: "art.svg"}}
	}
	d := drawing.Read(ctx, []byte(in.Art.SVG), drawing.Options{MMPerUserUnit: in.Art.MMPerUnit, NozzleMM: in.NozzleMM,
		LineWidthMM: in.WidthMM, FaceMM: in.Face.Bounds().Size(), Shapes: in.Art.Kind == "shapes", StrokesAsShapes: in.Art.Kind == "shapes" && in.Art.Strokes})
	if stop := takeStop(d.Findings, found); stop != nil {
		return source{}, *stop
	}
	box := d.Bounds()
	if box.Empty() {
		return source{}, finding.Finding{Code: "artwork-empty", Level: finding.Stop, Text: "The drawing holds nothing that can be laid.",
			Remedy: "Give its lines a stroke, or its shapes a fill.", Place: &finding.Place{File: "artwork"}}
	}
	centre := plane.Translate(-box.Centre().X, -box.Centre().Y)
	out := source{box: plane.Box{Min: centre.Apply(box.Min), Max: centre.Apply(box.Max)}}
	if in.Art.Kind == "lines" {
		return drawnLines(in, d, centre, out, found)
	}
	zoned := drawing.Zones(ctx, d)
	if stop := takeStop(zoned.Findings, found); stop != nil {
		return source{}, *stop
	}
	if len(zoned.Pattern.Zones) == 0 {
		return source{}, finding.Finding{Code: "artwork-no-shapes", Level: finding.Stop, Text: "The drawing has no filled shapes.",
			Remedy: "Give its shapes a fill, or take it as drawn lines.", Place: &finding.Place{File: "artwork"}}
	}
	out.pattern = pattern.Transform(zoned.Pattern, centre)
	out.pattern.Ground = pattern.Lay{Angle: radians(in.Art.GroundDeg)}
	out.pinned, out.assign = zoned.Pinned, in.Art.Assign == "auto"
	if !out.assign {
		laysByColour(&out, zoned.Colours, in.Art)
	}
	return out, nil
}

func drawnLines(in Input, d drawing.Drawing, centre plane.Affine, out source, found *finding.List) (source, error) {
	if len(d.Lines) == 0 {
		return source{}, finding.Finding{Code: "artwork-no-lines", Level: finding.Stop, Text: "The drawing has no stroked lines.",
			Remedy: "Give its lines a stroke, or take it as drawn shapes.", Place: &finding.Place{File: "artwork"}}
	}
	_, checked := drawing.Check(d.Lines, in.NozzleMM, in.WidthMM)
	*found = append(*found, checked...)
	for _, c := range drawing.Chain(d.Lines, 0) {
		out.drawn = append(out.drawn, pattern.Curve{Points: centre.ApplyLine(c.Points), Closed: c.Closed})
	}
	return out, nil
}

// takeStop moves findings over; one of level Stop ends the reading.
func takeStop(from finding.List, into *finding.List) *finding.Finding {
	for i := range from {
		if from[i].Level == finding.Stop {
			return &from[i]
		}
	}
	*into = append(*into, from...)
	return nil
}

// trialPlate lays out a trial plate, which places itself on the face.
func trialPlate(in Input) (Artwork, error) {
	a := in.Art
	plate, found := trial.Layout(in.Face, trial.Spec{
		Across:    trial.Axis{Quantity: trial.Quantity(a.TrialAcross), From: a.TrialAcrossFrom, To: a.TrialAcrossTo, Steps: a.TrialColumns},
		Down:      trial.Axis{Quantity: trial.Quantity(a.TrialDown), From: a.TrialDownFrom, To: a.TrialDownTo, Steps: a.TrialRows},
		SpacingMM: in.WidthMM, FlowPercent: in.FlowPercent, SpeedMMs: in.SpeedMMs, LayDegrees: a.TextDeg, HeightMM: in.HeightMM,
		NozzleMM: in.NozzleMM, Limits: in.Limits, Marks: trial.Marks(a.TrialMarks), FromBelow: in.Placement.ReadFromBelow,
	})
	out := Artwork{Placed: plane.Identity(), Box: plane.EmptyBox()}
	if stop := takeStop(found, &out.Findings); stop != nil {
		return Artwork{}, *stop
	}
	out.Pattern, out.Without, out.Plate, out.Mirrored = plate.Pattern, plate.Without, &plate, plate.FromBelow
	out.Kinds = kinds(plate.Pattern, plate.Pattern, a)
	return out, nil
}
