// Package pattern holds the one model that every picture of the face is
// brought to, whatever it came from (generator, drawing, photograph,
// lettering): zones with a lay, or curves to follow.
package pattern

import "sheenlay/engine/plane"

// Pattern is what is to be laid on a face. Exactly one of Zones and Curves is
// used; both empty is legal and lays nothing.
type Pattern struct {
	// Zones partition the plane (or as much of it as the face needs). Where
	// two overlap, the later one lies above and wins. What no zone covers is
	// background and takes Ground.
	Zones []Zone

	// Curves are centre lines to follow as they are, already one bead apart
	// (space-filling curves, spirals). They may reach beyond the face.
	Curves []Curve

	// Ground is the lay of whatever no zone covers, GroundPhase the offset of
	// its first line across the lay, mm.
	Ground      Lay
	GroundPhase float64

	// ReadsOneWay says that the pattern is wrong when mirrored (lettering,
	// a picture); the placement then mirrors it so that it reads right from
	// below.
	ReadsOneWay bool
}

// Zone is a region with a lay.
type Zone struct {
	Region  plane.Region // normal form
	Lay     Lay
	Phase   float64 // offset of the first line across the lay, mm
	Spacing float64 // distance of neighbouring lines, mm; 0 = the job's
	Flow    float64 // factor on the job's flow; 0 = 1
	Speed   float64 // mm/s; 0 = the job's
	Name    string  // what the person calls it: element id, tile kind; may be ""
	Kind    int     // zones of one kind share their lay when the person drags it
}

// Lay is the direction of the lines in a zone (ASME B46.1, ISO 21920-1).
// Either a fixed angle, or lines that follow the level sets of Field.
type Lay struct {
	Angle float64 // radians in [0, π) from +X, counter-clockwise, seen from above
	Field Field   // nil for a fixed angle
}

// Field is a scalar function of the place, in mm, whose level sets the lines
// follow: line k runs where Level = Phase + k·spacing. Where |∇Level| = 1 the
// lines are one spacing apart; elsewhere the local distance is
// spacing/|∇Level|, and the bead's width follows it within its limits.
//
// Level must be finite and continuous on the whole plane; its gradient may
// vanish at single points and jump across single lines. It must be safe for
// concurrent use and cheap (called for every raster node).
type Field interface {
	Level(p plane.Point) float64
}

// Curve is a centre line of a curve pattern.
type Curve struct {
	Points []plane.Point // mm
	Closed bool
}

// Threaded reports whether lines follow a field or curves somewhere, so that
// straight rows alone cannot show the pattern.
func (p Pattern) Threaded() bool {
	if len(p.Curves) > 0 || p.Ground.Field != nil {
		return true
	}
	for i := range p.Zones {
		if p.Zones[i].Lay.Field != nil {
			return true
		}
	}
	return false
}
