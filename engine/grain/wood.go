package grain

import (
	"math"

	"sheenlay/engine/plane"
)

// Knot is an eye in the grain: a lens with its points on one grain line, rings
// inside, and the grain wrapped round it. Given in the wood's own frame, grain
// along X.
type Knot struct {
	At   plane.Point // middle
	Half float64     // half its length along the grain, mm
}

// eyeSlant is the angle at a knot's points between its border and the grain.
// Half of it is the largest turn that the wrap has to blend, so |∇Level| there
// stays above cos(eyeSlant/2) times what the smooth minimum takes.
const eyeSlant = 50 * math.Pi / 180

// blend is the width of the smooth minimum as a share of the distances that it
// joins; 1/10 of it is the most it takes from |∇Level|.
const blend = 0.3

// fadeRange is how far a knot bends the grain across it, in heights of the
// knot. Reason: the push of one height fades over it, which changes |∇Level|
// by at most 0.65/fadeRange.
const fadeRange = 5.0

// archPoint is the width of an arch over twice its length: near the bark of a stem
// that tapers, growth rings run out in points. Reason: |∇Level| along an arch lies
// between this and 1; less would leave no room for knots within
// MinSlope..MaxSlope.
const archPoint = 0.65

// calmMM is how far from the axis of arched grain waves are at their full height.
const calmMM = 10.0

// Wood, made by NewWood, is grain with knots: growth rings cut along the stem appear as level
// sets of growth time plus noise (Perlin, Peachey 1985), and a knot joins by a
// smooth minimum with the field of its own branch (after Larsson et al., ACM
// TOG 41, 2022, DOI 10.1145/3528223.3530081). In place of growth time all
// parts are distances here, so that lines keep a printable spacing.
type Wood struct {
	Origin   plane.Point
	Turn     float64 // direction of the grain, radians from +X
	Arched   bool    // arches about the axis to the right of the origin, else straight
	WaveMM   float64 // height of the waves, mm
	LengthMM float64 // length of a wave along the grain, mm
	Seed     uint64
	Scale    float64 // brings |∇Level| to both sides of 1
	frame    axis
	knots    []placedKnot
}

type placedKnot struct {
	Knot
	side           float64 // -1 for a knot below the axis of arched grain, else 1
	base           float64 // level of the grain line through it
	radius, centre float64 // of the lens's arcs; centre is how far beyond the grain line
	height         float64
}

// Level returns the level in mm.
func (w *Wood) Level(p plane.Point) float64 {
	return w.Scale * w.local(w.frame.local(p))
}

// local is the level before scaling, in the wood's own frame.
func (w *Wood) local(q plane.Point) float64 {
	wave := w.wave(q)
	level := w.plain(q) + wave
	for i := range w.knots {
		k := &w.knots[i]
		// Across the grain as the knot sees it: on its own side of the axis
		// that is the level itself, and it runs on beyond the axis.
		across := q.Y
		if w.Arched {
			across *= k.side
		}
		u, x := across+wave-k.base, q.X-k.At.X
		push, inside := k.push(x, u)
		if inside {
			// Rings: the whole border has the grain line's own level.
			level += push - u
			continue
		}
		level += push
	}
	return level
}

// plain is the grain without waves and knots.
func (w *Wood) plain(q plane.Point) float64 {
	switch {
	case !w.Arched:
		return q.Y
	case q.X > 0:
		return plane.Point{X: archPoint * q.X, Y: q.Y}.Norm()
	default:
		return math.Abs(q.Y)
	}
}

// wave is what the waves add. They are long across the grain too, so that
// neighbouring lines wave together. They fade towards the axis of arched grain,
// whose two sides would wave against each other there.
func (w *Wood) wave(q plane.Point) float64 {
	if w.WaveMM == 0 {
		return 0
	}
	wave := float64(w.WaveMM * octaves(w.Seed, q.X/w.LengthMM, q.Y/(0.75*w.LengthMM)))
	if a := math.Abs(q.Y) / calmMM; w.Arched && a < 1 {
		wave *= a * a * (3 - 2*a)
	}
	return wave
}

// push returns what a knot adds to the grain at x along and u across from it.
// Outside the lens that is the difference between the distance to "grain line
// or lens" and the distance to the grain line, faded with u. Inside, it is the
// (negative) distance to the border, in place of u.
func (k *placedKnot) push(x, u float64) (float64, bool) {
	a := math.Abs(u)
	b := plane.Point{X: x, Y: a + k.centre}.Norm() - k.radius
	if b <= 0 {
		return b, true
	}
	g := math.Min(a, b)
	// Smooth minimum min − (w−|a−b|)²/4w (from memory) with w = blend·(a+b):
	// it vanishes on the border and on the grain line, where both sides meet.
	if width := blend * (a + b); math.Abs(a-b) < width {
		g -= (width - math.Abs(a-b)) * (width - math.Abs(a-b)) / (4 * width)
	}
	d := g - a
	if q := (a - k.height) / (fadeRange * k.height); q > 0 {
		d /= 1 + float64(q*q)
	}
	if u < 0 {
		d = -d
	}
	return d, false
}

// setKnots places knots; each must lie on straight grain.
func (w *Wood) setKnots(knots []Knot) {
	w.knots = w.knots[:0]
	for _, k := range knots {
		// A lens with half length h and slant t at its points: radius h/sin t,
		// arc centres h/tan t beyond the grain line.
		p := placedKnot{Knot: k, base: w.plain(k.At) + w.wave(k.At), side: 1}
		if w.Arched && k.At.Y < 0 {
			p.side = -1
		}
		p.radius = k.Half / math.Sin(eyeSlant)
		p.centre = k.Half / math.Tan(eyeSlant)
		p.height = p.radius - p.centre
		w.knots = append(w.knots, p)
	}
}

// Knots returns the knots that were placed, in the wood's own frame.
func (w *Wood) Knots() []Knot {
	var out []Knot
	for _, k := range w.knots {
		out = append(out, k.Knot)
	}
	return out
}

// WoodOptions is what NewWood is asked for.
type WoodOptions struct {
	Turn     float64 // radians
	Arched   bool
	WaveMM   float64
	LengthMM float64
	Knots    int     // at most; fewer where they would crowd
	KnotMM   float64 // length of a knot
}

// NewWood returns wood over box about origin. Knots are placed at random so
// that none touches another's rings; waves are lowered until |∇Level| keeps
// within MinSlope..MaxSlope, Outlier aside. The measure tells what was reached.
func NewWood(origin plane.Point, o WoodOptions, seed uint64, box plane.Box) (*Wood, Measure) {
	w := &Wood{
		Origin: origin, Turn: o.Turn, Arched: o.Arched,
		LengthMM: o.LengthMM, Seed: seed, Scale: 1,
	}
	local := localBox(box, origin, o.Turn)
	knots := placeKnots(local, o, seed)
	at := func(wave float64) (*Wood, Measure) {
		g := &Wood{Arched: o.Arched, WaveMM: wave, LengthMM: o.LengthMM, Seed: seed, Scale: 1, frame: axisAt(plane.Point{}, 0)}
		g.setKnots(knots)
		m := MeasureSlope(g, local, measureSteps)
		if m.Min > 0 {
			g.Scale = 1 / math.Sqrt(m.Min*m.Max)
		}
		m.Min, m.Max = m.Min*g.Scale, m.Max*g.Scale
		return g, m
	}
	w.WaveMM = strongest(o.WaveMM, func(wave float64) bool {
		_, m := at(wave)
		return m.Min >= MinSlope && m.Max <= MaxSlope
	})
	g, _ := at(w.WaveMM)
	w.Scale = g.Scale
	w.frame = axisAt(origin, o.Turn)
	w.setKnots(knots)
	return w, MeasureSlope(w, box, measureSteps)
}

// placeKnots throws knots at the box and keeps those that stand clear: one and
// a half lengths apart along the grain or three heights across it.
func placeKnots(local plane.Box, o WoodOptions, seed uint64) []Knot {
	var out []Knot
	size := local.Size()
	for try := 0; try < 40*o.Knots && len(out) < o.Knots; try++ {
		k := Knot{
			At: plane.Point{
				X: local.Min.X + float64(size.X*Draw(seed, 3*try, 7)),
				Y: local.Min.Y + float64(size.Y*Draw(seed, 3*try+1, 7)),
			},
			Half: o.KnotMM / 2 * (0.7 + float64(0.6*Draw(seed, 3*try+2, 7))),
		}
		if o.Arched && (k.At.X > -k.Half*1.5 || math.Abs(k.At.Y) < k.Half*1.5) {
			continue
		}
		clear := true
		for _, m := range out {
			d := k.At.Sub(m.At)
			reach := k.Half + m.Half
			if math.Abs(d.X) < 1.5*reach && math.Abs(d.Y) < 1.5*reach {
				clear = false
			}
		}
		if clear {
			out = append(out, k)
		}
	}
	return out
}
