package bead

import (
	"math"

	"sheenlay/engine/finding"
	"sheenlay/engine/plane"
	"sheenlay/engine/strand"
)

// Speeds is how fast the bead is laid along its way, mm/s and mm.
type Speeds struct {
	BeadMMs       float64 // everywhere else
	StartMMs      float64 // over the first StartLengthMM of each strand
	StartLengthMM float64 // 0 = no slow start
	TurnMMs       float64 // where the path bends tighter than TurnRadiusMM
	TurnRadiusMM  float64 // 0 = no slow turns
	TravelMMs     float64
}

// Validate refuses speeds and lengths outside their permitted ranges.
func (s Speeds) Validate() finding.List {
	var found finding.List
	c := checker{&found, "bead-speed"}
	c.within("speed.beadMMs", "The bead's speed", s.BeadMMs, 1, 500, "mm/s")
	c.within("speed.startMMs", "The speed of the first length", s.StartMMs, 1, 500, "mm/s")
	c.within("speed.startLengthMM", "The first length", s.StartLengthMM, 0, 20000, "mm")
	c.within("speed.turnMMs", "The speed in small turns", s.TurnMMs, 1, 500, "mm/s")
	c.within("speed.turnRadiusMM", "The radius of a small turn", s.TurnRadiusMM, 0, 20, "mm")
	c.within("speed.travelMMs", "The travel speed", s.TravelMMs, 1, 1000, "mm/s")
	return found
}

// AppendFeeds appends the speed of every segment of s in mm/min to dst. A
// segment counts as a small turn when its length divided by half the turning
// at its two ends, the radius of the arc it stands for, is under TurnRadiusMM.
// A segment that begins within the first length is laid at StartMMs as a
// whole; where several speeds apply, the slowest does. zoneSpeed (mm/s) is
// asked for the zone's own speed, 0 = the job's; nil means none has one.
func (s Speeds) AppendFeeds(dst []float64, st strand.Strand, zoneSpeed func(zone int32) float64) []float64 {
	const perMinute = 60
	along, before := 0.0, 0.0
	for i := 1; i < len(st.Points); i++ {
		step := st.Points[i].Sub(st.Points[i-1])
		length := step.Norm()
		after := 0.0
		if i+1 < len(st.Points) {
			after = turn(step, st.Points[i+1].Sub(st.Points[i]))
		}
		speed := s.BeadMMs
		if zoneSpeed != nil && len(st.Zone) >= i {
			if v := zoneSpeed(st.Zone[i-1]); v > 0 {
				speed = v
			}
		}
		if along < s.StartLengthMM {
			speed = math.Min(speed, s.StartMMs)
		}
		if half := (before + after) / 2; half > 0 && length < s.TurnRadiusMM*half {
			speed = math.Min(speed, s.TurnMMs)
		}
		dst = append(dst, speed*perMinute)
		along += length
		before = after
	}
	return dst
}

// turn returns the angle (radians, 0..π) between two steps; 0 if either has no
// length.
func turn(a, b plane.Point) float64 {
	if a == (plane.Point{}) || b == (plane.Point{}) {
		return 0
	}
	return math.Abs(math.Atan2(a.Cross(b), a.Dot(b)))
}

// MergeShort returns a copy of s whose segments are at least smallestMM long;
// only the last one may be shorter, where the strand turns back on itself.
// Points are dropped, never moved; the first and the last stay. The width of a
// merged segment is such that the laid area stays the same, and its zone is
// that of its longest part. A strand comes back unchanged when it has two
// points or fewer, when it never gets smallestMM away from its start, and when
// smallestMM is not positive.
func MergeShort(s strand.Strand, smallestMM float64) strand.Strand {
	last := len(s.Points) - 1
	if last < 2 || !(smallestMM > 0) || len(s.Width) < last {
		return s
	}
	kept := []int{0}
	for i := 1; i < last; i++ {
		if s.Points[i].Dist(s.Points[kept[len(kept)-1]]) >= smallestMM {
			kept = append(kept, i)
		}
	}
	end := s.Points[last]
	top := len(kept) - 1
	if top == 0 && end.Dist(s.Points[0]) < smallestMM {
		return s
	}
	if top > 0 && end.Dist(s.Points[kept[top]]) < smallestMM && end.Dist(s.Points[kept[top-1]]) >= smallestMM {
		kept = kept[:top]
	}
	kept = append(kept, last)
	out := strand.Strand{Island: s.Island}
	for k, i := range kept {
		out.Points = append(out.Points, s.Points[i])
		if k == 0 {
			continue
		}
		area, longest, zone := 0.0, -1.0, int32(0)
		for j := kept[k-1]; j < i; j++ {
			d := s.Points[j+1].Dist(s.Points[j])
			area += d * s.Width[j]
			if d > longest {
				longest = d
				if len(s.Zone) > j {
					zone = s.Zone[j]
				}
			}
		}
		width := s.Width[kept[k-1]]
		if chord := s.Points[i].Dist(s.Points[kept[k-1]]); chord > 0 {
			width = area / chord
		}
		out.Width = append(out.Width, width)
		if s.Zone != nil {
			out.Zone = append(out.Zone, zone)
		}
	}
	return out
}

// Wipe returns the way back along the end of the bead over which the nozzle is
// drawn without feeding, from the bead's last point, lengthMM long or as long
// as the strand is. Empty for a length that is not positive or a strand
// without points.
func Wipe(s strand.Strand, lengthMM float64) plane.Polyline {
	if len(s.Points) == 0 || !(lengthMM > 0) {
		return nil
	}
	way := plane.Polyline{s.Points[len(s.Points)-1]}
	for i := len(s.Points) - 2; i >= 0; i-- {
		from := way[len(way)-1]
		d := from.Dist(s.Points[i])
		if d >= lengthMM {
			return append(way, from.Lerp(s.Points[i], lengthMM/d))
		}
		lengthMM -= d
		if d > 0 {
			way = append(way, s.Points[i])
		}
	}
	return way
}
