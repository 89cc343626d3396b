// Package strand holds the product of the fill: beads as centre lines with a
// width for every segment. A strand is laid without lifting; between two
// strands lies a travel.
package strand

import "sheenlay/engine/plane"

// Connector marks, in Strand.Zone, a segment that belongs to no zone: a link
// between loops, or a piece that follows a border.
const Connector int32 = -1

// Ground marks, in Strand.Zone, a line of the pattern's ground: of what no
// zone covers.
const Ground int32 = -2

// Strand is one unbroken bead.
//
// Points has n ≥ 2 entries; Width and Zone have n−1, one for each segment.
// Zone may be nil when the strand comes from a drawing of plain lines.
type Strand struct {
	Points []plane.Point // centre line, bed frame, mm
	Width  []float64     // bead width of each segment, mm
	Zone   []int32       // index into Pattern.Zones, or Connector
	Island int           // index of the island of the face it lies on, from 0
}

// Length returns the length of the centre line in mm.
func (s Strand) Length() float64 { return plane.Polyline(s.Points).Length() }

// Bounds returns the box of the centre line, without the bead's width.
func (s Strand) Bounds() plane.Box { return plane.Polyline(s.Points).Bounds() }

// Reversed returns a copy laid the other way.
func (s Strand) Reversed() Strand {
	out := Strand{Points: plane.Polyline(s.Points).Reversed(), Island: s.Island}
	for i := len(s.Width) - 1; i >= 0; i-- {
		out.Width = append(out.Width, s.Width[i])
	}
	for i := len(s.Zone) - 1; i >= 0; i-- {
		out.Zone = append(out.Zone, s.Zone[i])
	}
	return out
}

// LaidArea returns the sum of length × width over all segments in mm²: the
// area the bead is meant to cover.
func (s Strand) LaidArea() float64 {
	sum := 0.0
	for i := 1; i < len(s.Points); i++ {
		// Rounded before it is added: the same on every machine.
		sum += float64(s.Points[i].Dist(s.Points[i-1]) * s.Width[i-1])
	}
	return sum
}
