package grain

import (
	"math"

	"sheenlay/engine/plane"
)

// Flowing, made by NewFlowing, is a family of lines that run along X in the large and swing to both
// sides as soft noise asks: Level = Scale·(y + Strength·noise(x/FeatureMM,
// y/(3·FeatureMM))). The noise varies mostly along the lines, which turns them
// without squeezing them.
type Flowing struct {
	Origin    plane.Point
	Turn      float64 // radians from +X
	FeatureMM float64
	Strength  float64 // mm
	Scale     float64 // brings |∇Level| to both sides of 1
	Seed      uint64
	frame     axis
}

// axis is a frame of its own for a field: an origin and a unit vector along X.
type axis struct{ origin, x plane.Point }

func axisAt(origin plane.Point, turn float64) axis {
	return axis{origin, plane.Point{X: 1}.Turn(turn)}
}

// local returns p in the frame.
func (a axis) local(p plane.Point) plane.Point {
	d := p.Sub(a.origin)
	return plane.Point{X: a.x.Dot(d), Y: a.x.Cross(d)}
}

// Level returns the level in mm.
func (f Flowing) Level(p plane.Point) float64 {
	q := f.frame.local(p)
	n := octaves(f.Seed, q.X/f.FeatureMM, q.Y/(3*f.FeatureMM))
	return f.Scale * (q.Y + float64(f.Strength*n))
}

// NewFlowing returns a flowing field over box whose lines swing by at most
// swing radians to either side (measured on a grid; at most 60°), or less
// where |∇Level| would leave MinSlope..MaxSlope. The measure tells what was
// reached.
func NewFlowing(origin plane.Point, turn, featureMM, swing float64, seed uint64, box plane.Box) (Flowing, Measure) {
	f := Flowing{Origin: origin, Turn: turn, FeatureMM: featureMM, Scale: 1, Seed: seed, frame: axisAt(origin, turn)}
	local := localBox(box, origin, turn)
	at := func(strength float64) (Flowing, Measure) {
		g := Flowing{FeatureMM: featureMM, Strength: strength, Scale: 1, Seed: seed, frame: axisAt(plane.Point{}, 0)}
		m := MeasureSlope(g, local, measureSteps)
		// The geometric middle of the range goes to 1.
		if m.Min > 0 {
			g.Scale = 1 / math.Sqrt(m.Min*m.Max)
		}
		m.Min, m.Max = m.Min*g.Scale, m.Max*g.Scale
		return g, m
	}
	swing = math.Min(swing, math.Pi/3)
	f.Strength = strongest(4*featureMM, func(strength float64) bool {
		_, m := at(strength)
		return m.Swing <= swing && m.Min >= MinSlope && m.Max <= MaxSlope
	})
	g, _ := at(f.Strength)
	f.Scale = g.Scale
	return f, MeasureSlope(f, box, measureSteps)
}

// localBox returns the box, in the frame at origin turned by turn, that holds
// box.
func localBox(box plane.Box, origin plane.Point, turn float64) plane.Box {
	out := plane.EmptyBox()
	for _, p := range []plane.Point{box.Min, box.Max, {X: box.Min.X, Y: box.Max.Y}, {X: box.Max.X, Y: box.Min.Y}} {
		out = out.Include(p.Sub(origin).Turn(-turn))
	}
	return out
}
