package curves

import (
	"fmt"
	"math"

	"sheenlay/engine/finding"
	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
)

// MaxPoints bounds the points of a curve pattern. Reason: 64 MB; a 400 mm face
// at a pitch of 0.2 mm has 4 million.
const MaxPoints = 4_200_000

// Site says where a curve lies: its middle, how far it is turned (radians) and
// the box it has to cover. A curve is made for the box Whole, which holds Box;
// one of no size stands for Box.
type Site struct {
	Anchor plane.Point
	Turn   float64
	Box    plane.Box
	Whole  plane.Box
}

// reach returns how far, in steps of stepMM about the anchor, the curve has to
// go on either axis.
func (s Site) reach(stepMM float64) float64 {
	if s.Whole != (plane.Box{}) {
		s.Box = s.Whole
	}
	b := s.local(stepMM)
	return math.Max(math.Max(-b.Min.X, b.Max.X), math.Max(-b.Min.Y, b.Max.Y))
}

// local returns the box, in steps of stepMM about the anchor, that holds the
// site's box and one step more, so that the lines beside its border are whole.
func (s Site) local(stepMM float64) plane.Box {
	out := plane.EmptyBox()
	b := s.Box
	for _, p := range []plane.Point{b.Min, b.Max, {X: b.Min.X, Y: b.Max.Y}, {X: b.Max.X, Y: b.Min.Y}} {
		out = out.Include(p.Sub(s.Anchor).Turn(-s.Turn).Mul(1 / stepMM))
	}
	return out.Grow(1)
}

// lay brings pieces in steps about middle to the site. Dot rounds its products
// one by one, so curves are the same on every machine.
func (s Site) lay(pieces [][]plane.Point, middle plane.Point, stepMM float64, closed bool) []pattern.Curve {
	x := plane.Point{X: stepMM}.Turn(-s.Turn)
	y := x.Left()
	out := make([]pattern.Curve, len(pieces))
	for i, piece := range pieces {
		points := make([]plane.Point, len(piece))
		for k, p := range piece {
			d := p.Sub(middle)
			points[k] = s.Anchor.Add(plane.Point{X: x.Dot(d), Y: y.Dot(d)})
		}
		out[i] = pattern.Curve{Points: points, Closed: closed}
	}
	return out
}

// check refuses a box that would need more than MaxPoints points at a pitch.
func check(s Site, pitchMM float64) error {
	size := s.Box.Size()
	n := (size.X/pitchMM + 1) * (size.Y/pitchMM + 1)
	if n <= MaxPoints {
		return nil
	}
	return finding.Finding{
		Code: "curves-too-long", Level: finding.Stop,
		Text:   fmt.Sprintf("A curve at a pitch of %g mm would have about %.0f corners on this face; at most %d can be laid.", pitchMM, n, MaxPoints),
		Remedy: fmt.Sprintf("Choose a pitch of at least %.2f mm.", math.Ceil(105*pitchMM*math.Sqrt(n/MaxPoints))/100),
		Value:  n,
	}
}

// fill traces the lowest level of a system that covers the site, its middle on
// the anchor. reach tells the half width (in steps) of a box about the middle
// that the curve of a level is sure to cover.
func (s Site) fill(system System, pitchMM, stepMM float64, reach func(level int) float64) ([]pattern.Curve, error) {
	if err := check(s, pitchMM); err != nil {
		return nil, err
	}
	want := s.local(stepMM)
	level := 1
	for need := s.reach(stepMM); reach(level) < need; {
		level++
	}
	middle := system.Extent(level).Centre()
	pieces := system.Trace(level, plane.Box{Min: want.Min.Add(middle), Max: want.Max.Add(middle)})
	return s.lay(pieces, middle, stepMM, false), nil
}

// Hilbert returns Hilbert's curve: a square grid of pitchMM visited point by
// point, half of the steps along each axis.
func Hilbert(pitchMM float64, s Site) ([]pattern.Curve, error) {
	return s.fill(HilbertSystem, pitchMM, pitchMM, func(level int) float64 {
		return (math.Ldexp(1, level) - 1) / 2
	})
}

// Peano returns Peano's curve on a square grid of pitchMM; three of four steps
// run along one axis, so it leans that way.
func Peano(pitchMM float64, s Site) ([]pattern.Curve, error) {
	return s.fill(PeanoSystem, pitchMM, pitchMM, func(level int) float64 {
		return (math.Pow(3, float64(level)) - 1) / 2
	})
}

// gosperReach is the half width of a square about the middle of the box of
// Gosper's curve that the curve covers, as a share of √7ⁿ steps; measured on
// levels 2 to 6, see the test, and rounded down.
const gosperReach = 0.25

// Gosper returns Gosper's curve. It visits every point of a triangular grid,
// which has √3/2·step² of room for each, so steps of 2/√3·pitch keep the mean
// distance of its lines at pitchMM.
func Gosper(pitchMM float64, s Site) ([]pattern.Curve, error) {
	return s.fill(GosperSystem, pitchMM, pitchMM*2/math.Sqrt(3), func(level int) float64 {
		return gosperReach * math.Pow(7, float64(level)/2)
	})
}

// Spiral returns the spiral of Archimedes, r = pitch·turns, from the anchor
// outwards until it has left the site's box. Chords stay within tolMM of it.
// Where the anchor lies outside the box, the turns that do not reach the box are
// left out.
func Spiral(pitchMM, tolMM float64, s Site) ([]pattern.Curve, error) {
	far := 0.0
	b := s.Box
	for _, p := range []plane.Point{b.Min, b.Max, {X: b.Min.X, Y: b.Max.Y}, {X: b.Max.X, Y: b.Min.Y}} {
		far = math.Max(far, p.Dist(s.Anchor))
	}
	near := plane.Point{X: outside(s.Anchor.X, b.Min.X, b.Max.X), Y: outside(s.Anchor.Y, b.Min.Y, b.Max.Y)}.Norm()
	return spiralTo(pitchMM, tolMM, math.Max(near-pitchMM, 0), far+pitchMM, s)
}

// outside returns how far v lies outside a range.
func outside(v, low, high float64) float64 { return math.Max(math.Max(low-v, v-high), 0) }

// spiralTo returns the turns of the spiral from one radius to another.
func spiralTo(pitchMM, tolMM, from, radius float64, s Site) ([]pattern.Curve, error) {
	perRadian := pitchMM / (2 * math.Pi)
	first, last := from/perRadian, radius/perRadian
	// ∫ √(r/8tol) dθ chords, r = perRadian·θ.
	if n := math.Sqrt(perRadian/(8*tolMM)) * (math.Pow(last, 1.5) - math.Pow(first, 1.5)) / 1.5; !(n < MaxPoints) {
		return nil, finding.Finding{
			Code: "curves-too-long", Level: finding.Stop,
			Text:   fmt.Sprintf("A spiral at a pitch of %g mm would have about %.0f corners on this face; at most %d can be laid.", pitchMM, n, MaxPoints),
			Remedy: "Choose a larger pitch.", Value: n,
		}
	}
	var points []plane.Point
	for theta := 0.0; ; {
		// A chord over dθ at radius of curvature ρ leaves its arc by ρ·dθ²/8.
		rho := math.Max(perRadian*(theta+0.5), perRadian)
		next := theta + math.Min(math.Sqrt(8*tolMM/rho), 0.5)
		if next > first { // chords are the same wherever one begins to look
			at := math.Min(theta, last)
			points = append(points, s.Anchor.Add(plane.Point{X: perRadian * at}.Turn(at+s.Turn)))
		}
		if theta >= last {
			break
		}
		theta = next
	}
	return []pattern.Curve{{Points: points}}, nil
}
