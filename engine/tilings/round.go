package tilings

import (
	"math"

	"sheenlay/engine/grain"
	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
)

// RayLines says how the lines run in the sectors of a Sunburst.
type RayLines int

// The choices.
const (
	AlongAndAcross RayLines = iota // in turn
	AlongRays
	AcrossRays
)

// Sunburst returns rays sectors (at least 6) about the site's anchor, each with
// one fixed lay along or across its first side, and a round hub of hubMM (0 for
// none) with lines round its centre. Every sector is a kind of its own. Lines along
// a side run out on the other one only; along the middle ray they would run out
// on both, at half the slant, and cover the face less well.
func Sunburst(rays int, hubMM float64, lines RayLines, s Site) []pattern.Zone {
	n := max(6, rays)
	if lines == AlongAndAcross {
		n += n % 2 // an odd ring would put two alike side by side
	}
	far := math.Max(0, hubMM)
	for _, corner := range rectangle(s.Box) {
		far = math.Max(far, corner.Dist(s.Anchor))
	}
	far = (far + 1) / math.Cos(math.Pi/float64(n))
	steps := 1
	if hubMM > 0 {
		steps = max(1, (arcSteps(hubMM, 2*math.Pi)+n-1)/n)
	}
	hub := make(plane.Ring, 0, n*steps)
	outer := make(plane.Ring, n)
	for k := 0; k < n; k++ {
		outer[k] = s.Anchor.Add(plane.Point{X: far}.Turn(2*math.Pi*float64(k)/float64(n) + s.Turn))
		for m := 0; m < steps && hubMM > 0; m++ {
			share := float64(k*steps+m) / float64(n*steps)
			hub = append(hub, s.Anchor.Add(plane.Point{X: hubMM}.Turn(float64(2*math.Pi*share)+s.Turn)))
		}
	}
	var out []pattern.Zone
	for k := 0; k < n; k++ {
		lay, name := 2*math.Pi*float64(k)/float64(n)+s.Turn, "ray along"
		if lines == AcrossRays || lines == AlongAndAcross && k%2 == 1 {
			lay, name = lay+math.Pi/2, "ray across"
		}
		ring := plane.Ring{outer[k], outer[(k+1)%n]}
		if hubMM > 0 {
			for m := steps; m >= 0; m-- {
				ring = append(ring, hub[(k*steps+m)%len(hub)])
			}
		} else {
			ring = append(ring, s.Anchor)
		}
		out = append(out, pattern.Zone{
			Region: plane.Region{ring}, Kind: k, Name: name, Lay: pattern.Lay{Angle: plane.NormalLay(lay)},
		})
	}
	if hubMM > 0 {
		out = append(out, pattern.Zone{
			Region: plane.Region{hub}, Kind: n, Name: "hub",
			Lay: pattern.Lay{Field: grain.Concentric{Centre: s.Anchor}},
		})
	}
	return out
}

// RingLines says how the lines run in Rings.
type RingLines int

// The choices.
const (
	RoundAll      RingLines = iota // one field of circles, no borders
	RoundAndPlain                  // circles and one fixed lay in turn
	Stepped                        // each ring one fixed lay, a step further than the last
)

// Rings returns rings of widthMM about the site's anchor. Kinds: 0 round, 1
// plain; with Stepped every ring is a kind of its own and turns by step
// (radians) against the one inside it.
func Rings(widthMM float64, lines RingLines, step float64, s Site) ([]pattern.Zone, error) {
	field := pattern.Lay{Field: grain.Concentric{Centre: s.Anchor}}
	if lines == RoundAll {
		return []pattern.Zone{{Region: plane.Region{rectangle(s.Box)}, Name: "face", Lay: field}}, nil
	}
	far := 0.0
	for _, corner := range rectangle(s.Box) {
		far = math.Max(far, corner.Dist(s.Anchor))
	}
	count := int(math.Min(math.Ceil((far+1)/widthMM)+1, MaxZones+1))
	if err := tooManyZones(count, widthMM); err != nil {
		return nil, err
	}
	var out []pattern.Zone
	var inner plane.Ring
	for k := 0; k < count; k++ {
		table := arcTable(float64(k+1)*widthMM, s.Turn, s.Turn+2*math.Pi)
		ring := make(plane.Ring, len(table)-1)
		for m := range ring {
			ring[m] = s.Anchor.Add(table[m])
		}
		z := pattern.Zone{Region: plane.Region{ring}}
		if inner != nil {
			z.Region = append(z.Region, inner.Reversed())
		}
		inner = ring
		switch {
		case lines == Stepped:
			z.Kind, z.Name, z.Lay.Angle = k, "ring", plane.NormalLay(s.Turn+float64(float64(k)*step))
		case k%2 == 0:
			z.Kind, z.Name, z.Lay = 0, "round ring", field
		default:
			z.Kind, z.Name, z.Lay.Angle = 1, "plain ring", plane.NormalLay(s.Turn)
		}
		if !(z.Region.Bounds().Intersects(s.Box)) {
			continue
		}
		out = append(out, z)
	}
	return out, nil
}
