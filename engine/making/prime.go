package making

import (
	"math"

	"sheenlay/engine/finding"
	"sheenlay/engine/job"
	"sheenlay/engine/machine"
	"sheenlay/engine/plane"
)

// side is one side of the piece on which a prime line may lie.
type side struct {
	name string
	line func(around plane.Box, gap, length float64) (from, to plane.Point)
}

// sides in the order in which they are tried: the front is nearest to the
// maker's hand.
var sides = []side{
	{"front", func(b plane.Box, gap, length float64) (plane.Point, plane.Point) {
		x := b.Centre().X
		return plane.Point{X: x - length/2, Y: b.Min.Y - gap}, plane.Point{X: x + length/2, Y: b.Min.Y - gap}
	}},
	{"left", func(b plane.Box, gap, length float64) (plane.Point, plane.Point) {
		y := b.Centre().Y
		return plane.Point{X: b.Min.X - gap, Y: y - length/2}, plane.Point{X: b.Min.X - gap, Y: y + length/2}
	}},
	{"right", func(b plane.Box, gap, length float64) (plane.Point, plane.Point) {
		y := b.Centre().Y
		return plane.Point{X: b.Max.X + gap, Y: y - length/2}, plane.Point{X: b.Max.X + gap, Y: y + length/2}
	}},
	{"back", func(b plane.Box, gap, length float64) (plane.Point, plane.Point) {
		x := b.Centre().X
		return plane.Point{X: x - length/2, Y: b.Max.Y + gap}, plane.Point{X: x + length/2, Y: b.Max.Y + gap}
	}},
}

// placePrime finds room for the prime line beside everything that the first
// layer lays. The line is slid along its side to stay on the bed and, where
// the bed is too narrow, shortened to no less than a third; a side without
// room is passed over. The result ends at its end nearer to the piece's
// middle. Nil with a caution where no side has room.
func placePrime(p job.Prime, around plane.Box, bed machine.Machine, halfWidth float64) ([]plane.Point, finding.List) {
	if p.Source != "own" || around.Empty() {
		return nil, nil
	}
	for _, s := range sides {
		if p.Side != "auto" && p.Side != s.name {
			continue
		}
		for _, share := range []float64{1, 2. / 3, 1. / 3} {
			from, to := s.line(around, p.GapMM+halfWidth, p.LengthMM*share)
			if line, ok := slideOnto(from, to, bed, halfWidth); ok {
				var found finding.List
				if share < 1 {
					found.Add(finding.Finding{Code: "prime-shortened", Level: finding.Note,
						Text: "The bed has no room for the whole prime line; it is shorter.", Value: p.LengthMM * share, Unit: "mm",
						Place: &finding.Place{Element: "prime.lengthMM"}})
				}
				return line, found
			}
		}
	}
	return nil, finding.List{{Code: "prime-no-room", Level: finding.Caution,
		Text:   "There is no room on the bed for a prime line beside the piece, so the pattern starts with a nozzle that may not be full.",
		Remedy: "Move the piece away from the edge when slicing, make the prime line shorter, or choose another side.",
		Place:  &finding.Place{Element: "prime.side"}}}
}

// slideOnto moves a line along itself until its bead lies on the bed and
// outside all keep-out areas.
func slideOnto(from, to plane.Point, bed machine.Machine, margin float64) ([]plane.Point, bool) {
	d := to.Sub(from)
	const tries = 8 // each way, by an eighth of the length
	for k := 0; k <= 2*tries; k++ {
		shift := float64((k+1)/2) / tries
		if k%2 == 0 {
			shift = -shift
		}
		a, b := from.Add(d.Mul(shift)), to.Add(d.Mul(shift))
		box := plane.EmptyBox().Include(a).Include(b).Grow(margin)
		if bed.ContainsBox(box) && !touchesKeepOut(box, bed.KeepOut) {
			return []plane.Point{a, b}, true
		}
	}
	return nil, false
}

func touchesKeepOut(box plane.Box, areas machine.Boxes) bool {
	for _, area := range areas {
		if area.Intersects(box) {
			return true
		}
	}
	return false
}

// endNear turns a line so that it ends at its end nearer to p.
func endNear(line []plane.Point, p plane.Point) []plane.Point {
	if len(line) == 0 || line[len(line)-1].Dist(p) <= line[0].Dist(p) {
		return line
	}
	return plane.Polyline(line).Reversed()
}

// nearestPoint returns the point of the region's border nearest to p.
func nearestPoint(g plane.Region, p plane.Point) (plane.Point, bool) {
	best, at := math.Inf(1), plane.Point{}
	for _, ring := range g {
		for i, a := range ring {
			b := ring[(i+1)%len(ring)]
			q := nearestOnSegment(a, b, p)
			if d := q.Dist(p); d < best {
				best, at = d, q
			}
		}
	}
	return at, !math.IsInf(best, 1)
}

func nearestOnSegment(a, b, p plane.Point) plane.Point {
	d := b.Sub(a)
	n := d.Dot(d)
	if n == 0 {
		return a
	}
	return a.Lerp(b, math.Min(math.Max(p.Sub(a).Dot(d)/n, 0), 1))
}
