// Package artwork turns the artwork of a job, whatever it came from, into the
// one model of patterns, and puts it in its place on the face.
package artwork

import (
	"context"
	"fmt"
	"math"
	"strconv"
	"strings"

	"sheenlay/engine/bead"
	"sheenlay/engine/finding"
	"sheenlay/engine/job"
	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
	"sheenlay/engine/trial"
)

// Input is what artwork is made from.
type Input struct {
	Art       job.Art
	Placement job.Placement
	Face      plane.Region // bed frame; the artwork is centred on its box
	WidthMM   float64      // of the job's lines, = their spacing
	NozzleMM  float64
	HeightMM  float64
	FlowPercent,
	SpeedMMs float64
	Limits bead.Limits
}

// Artwork is the picture in its place.
type Artwork struct {
	// Pattern is in the bed frame. Zones keep their order; a zone's Kind is
	// what pins refer to.
	Pattern pattern.Pattern
	// Drawn is set for drawn lines, which are laid exactly as they are
	// instead of a pattern; bed frame.
	Drawn []pattern.Curve
	// Without is what must stay free of material, bed frame.
	Without plane.Region
	Plate   *trial.Plate // of a trial plate
	Kinds   []Kind
	// Box is the box of the artwork in the bed frame where it has one of its
	// own; empty for patterns that cover the plane.
	Box      plane.Box
	Placed   plane.Affine // from the artwork's frame (centred on zero) to the bed
	Mirrored bool         // placed mirrored, so that it reads right from below
	Bound    float64      // best possible smallest difference of neighbouring lays, degrees; 0 when not asked
	Reached  float64      // the smallest difference reached, degrees
	Findings finding.List
}

// Kind is a sort of zones that share their lay.
type Kind struct {
	Kind    int     `json:"kind"`
	Name    string  `json:"name"`
	Zones   int     `json:"zones"`
	LayDeg  float64 `json:"layDeg"` // bed frame, seen from above
	OwnDeg  float64 `json:"ownDeg"` // in the artwork's own frame: what a pin states
	Field   bool    `json:"field"`  // lines follow a field; the angle is its fallback
	Pinned  bool    `json:"pinned"`
	AreaMM2 float64 `json:"areaMM2"` // of its zones, before clipping
}

// source is artwork in its own frame, before placement.
type source struct {
	pattern pattern.Pattern
	drawn   []pattern.Curve
	pinned  []bool // per zone: stated by the artwork itself
	assign  bool   // lays that nothing states are to be assigned
	box     plane.Box
}

// Make makes the artwork of a job. The error is a finding of level Stop, or
// the context's error; the artwork then holds what else was found, which may
// say why.
func Make(ctx context.Context, in Input) (Artwork, error) {
	if in.Art.Kind == "trial" {
		return trialPlate(in)
	}
	var out Artwork
	placed, mirrored := placement(in)
	out.Placed, out.Mirrored = placed, mirrored
	src, err := read(ctx, in, placed, &out.Findings)
	if err != nil {
		return Artwork{Findings: out.Findings}, err
	}
	if err := ctx.Err(); err != nil {
		return Artwork{}, err
	}
	if err := pin(&src, in.Art); err != nil {
		return Artwork{}, err
	}
	if src.assign {
		assignLays(&src, in, &out)
	}
	turnLays(&src.pattern, in.Art.TurnLaysDeg*math.Pi/180)
	own := src.pattern
	out.Pattern = pattern.Transform(src.pattern, placed)
	out.Kinds = kinds(own, out.Pattern, in.Art)
	for _, c := range src.drawn {
		out.Drawn = append(out.Drawn, pattern.Curve{Points: placed.ApplyLine(c.Points), Closed: c.Closed})
	}
	out.Box = plane.EmptyBox()
	if !src.box.Empty() {
		for _, corner := range corners(src.box) {
			out.Box = out.Box.Include(placed.Apply(corner))
		}
	}
	if mirrored {
		out.Findings.Add(finding.Finding{Code: "artwork-mirrored", Level: finding.Note,
			Text: "The artwork is laid mirrored, so that it reads right on the finished face, which is seen from below."})
	}
	return out, nil
}

func read(ctx context.Context, in Input, placed plane.Affine, found *finding.List) (source, error) {
	switch in.Art.Kind {
	case "generator":
		return generated(in, placed)
	case "lines", "shapes":
		return drawn(ctx, in, found)
	case "picture":
		return pictured(ctx, in, found)
	case "lettering":
		return lettered(ctx, in, found)
	}
	return source{}, finding.Finding{Code: "artwork-kind", Level: finding.Stop,
		Text: fmt.Sprintf("There is no artwork of the kind %q.", in.Art.Kind), Remedy: "Choose a kind in the card of the pattern.", Place: &finding.Place{File: "job", Element: "art.kind"}}
}

// placement returns the map from the artwork's frame, centred on zero, to the
// bed: mirrored, scaled, turned, then moved from the middle of the face.
func placement(in Input) (plane.Affine, bool) {
	oneWay := in.Art.Kind == "lettering" || in.Art.Kind == "picture"
	mirrored := in.Placement.Mirror != (oneWay && in.Placement.ReadFromBelow)
	m := plane.Scale(in.Placement.Scale, in.Placement.Scale)
	if mirrored {
		m = plane.Scale(-in.Placement.Scale, in.Placement.Scale)
	}
	centre := in.Face.Bounds().Centre()
	if in.Face.Bounds().Empty() {
		centre = plane.Point{}
	}
	m = m.Then(plane.Rotate(in.Placement.TurnDeg * math.Pi / 180))
	return m.Then(plane.Translate(centre.X+in.Placement.XMM, centre.Y+in.Placement.YMM)), mirrored && oneWay
}

func corners(b plane.Box) [4]plane.Point {
	return [4]plane.Point{b.Min, {X: b.Max.X, Y: b.Min.Y}, b.Max, {X: b.Min.X, Y: b.Max.Y}}
}

// pin sets the lays that the person stated, by kind or by zone, and refuses
// names that mean nothing.
func pin(src *source, art job.Art) error {
	if len(src.pinned) != len(src.pattern.Zones) {
		src.pinned = make([]bool, len(src.pattern.Zones))
	}
	kinds, zones := map[int]float64{}, map[int]float64{}
	for name, degrees := range art.Lays {
		sort, number, _ := strings.Cut(name, ":")
		n, err := strconv.Atoi(number)
		switch {
		case err == nil && sort == "kind" && n >= 0:
			kinds[n] = degrees
		case err == nil && sort == "zone" && n >= 0:
			zones[n] = degrees
		case name == "ground":
			src.pattern.Ground = pattern.Lay{Angle: radians(degrees)}
		default:
			return finding.Finding{Code: "artwork-pin", Level: finding.Stop,
				Text:   fmt.Sprintf("A pinned lay is named %q.", name),
				Remedy: "Use \"kind:0\", \"zone:0\" or \"ground\".", Place: &finding.Place{File: "job", Element: "art.lays"}}
		}
	}
	for i := range src.pattern.Zones {
		z := &src.pattern.Zones[i]
		degrees, ok := zones[i]
		if !ok {
			degrees, ok = kinds[z.Kind]
		}
		if ok {
			z.Lay, src.pinned[i] = pattern.Lay{Angle: radians(degrees)}, true
		}
	}
	return nil
}

func radians(degrees float64) float64 { return plane.NormalLay(degrees * math.Pi / 180) }

func degrees(radians float64) float64 { return math.Round(radians*180/math.Pi*1e6) / 1e6 }

func turnLays(p *pattern.Pattern, by float64) {
	if by == 0 {
		return
	}
	p.Ground.Angle = plane.NormalLay(p.Ground.Angle + by)
	for i := range p.Zones {
		p.Zones[i].Lay.Angle = plane.NormalLay(p.Zones[i].Lay.Angle + by)
	}
}

func kinds(own, placed pattern.Pattern, art job.Art) []Kind {
	index := map[int]int{}
	var out []Kind
	for i, z := range own.Zones {
		k, ok := index[z.Kind]
		if !ok {
			k = len(out)
			index[z.Kind] = k
			_, pinned := art.Lays[fmt.Sprintf("kind:%d", z.Kind)]
			out = append(out, Kind{Kind: z.Kind, Name: z.Name, Pinned: pinned, Field: z.Lay.Field != nil,
				OwnDeg: degrees(z.Lay.Angle), LayDeg: degrees(placed.Zones[i].Lay.Angle)})
		}
		out[k].Zones++
		out[k].AreaMM2 += placed.Zones[i].Region.Area()
	}
	return out
}
