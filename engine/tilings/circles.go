package tilings

import (
	"math"

	"sheenlay/engine/grain"
	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// arcSteps returns the number of chords for an arc of the given radius and
// angle, so that none leaves it by more than tol.Flattening; at least 2.
func arcSteps(radius, angle float64) int {
	step := 2 * math.Acos(math.Max(0, 1-tol.Flattening/radius))
	return max(2, int(math.Ceil(math.Abs(angle)/step)))
}

// arcTable returns the points of an arc about the origin, both ends included.
func arcTable(radius, from, to float64) []plane.Point {
	n := arcSteps(radius, to-from)
	out := make([]plane.Point, n+1)
	for k := range out {
		s, c := math.Sincos(from + (to-from)*float64(k)/float64(n))
		out[k] = plane.Point{X: radius * c, Y: radius * s}
	}
	return out
}

// SevenTreasures returns interlaced circles (shippō): circles of radiusMM on a
// square grid of pitch radius·√2. Kinds: 0 lying petal, 1 standing petal, 2 star; a
// petal measures r²(π/2−1), a star (4−π)r². Lines run across the petals, where
// they meet the arcs at 45° to 90°: along them they would meet them at 0° to 45°,
// and turns leave about twice as much bare there. The star's lines run at 45°,
// or round its centre with roundStars.
func SevenTreasures(radiusMM float64, roundStars bool, s Site) ([]pattern.Zone, error) {
	half := radiusMM * math.Sqrt2 / 2
	if err := tooMany(s.Box, 4*half*half/3, radiusMM); err != nil {
		return nil, err
	}
	// Half the pitch as unit: circles at (2i, 2j), petal tips at odd places.
	f := frameOf(s, plane.Point{X: half}, plane.Point{Y: half})
	quarter := arcTable(radiusMM, -math.Pi/4+s.Turn, math.Pi/4+s.Turn)
	tips := [4]index{{1, -1}, {1, 1}, {-1, 1}, {-1, -1}}
	// side returns the quarter circle about centre that faces direction q·90°,
	// counter-clockwise, without its last point. Its ends are lattice points.
	side := func(centre index, q int) plane.Ring {
		out := plane.Ring{f.at(centre.plus(tips[q]))}
		for _, p := range quarter[1 : len(quarter)-1] {
			for k := 0; k < q; k++ {
				p = p.Left()
			}
			out = append(out, f.at(centre).Add(p))
		}
		return out
	}
	// back is the same arc clockwise.
	back := func(centre index, q int) plane.Ring {
		forth := append(side(centre, q), f.at(centre.plus(tips[(q+1)%4])))
		out := forth.Reversed()
		return out[:len(out)-1]
	}
	var out []pattern.Zone
	add := func(ring plane.Ring, kind int, lay pattern.Lay, name string) {
		if ring.Bounds().Intersects(s.Box) {
			out = append(out, pattern.Zone{Region: plane.Region{ring}, Kind: kind, Name: name, Lay: lay})
		}
	}
	extent := plane.EmptyBox().Include(plane.Point{}).Grow(3 * radiusMM)
	f.walk(index{2, 0}, index{0, 2}, s.Box, extent, func(at index) {
		right, above := at.plus(index{2, 0}), at.plus(index{0, 2})
		add(append(side(at, 0), side(right, 2)...), 1,
			pattern.Lay{Angle: plane.NormalLay(s.Turn)}, "standing petal")
		add(append(side(at, 1), side(above, 3)...), 0,
			pattern.Lay{Angle: plane.NormalLay(math.Pi/2 + s.Turn)}, "lying petal")
		// The star inside the circle at this place is bounded by the four
		// neighbours' arcs, seen from outside of them.
		var star plane.Ring
		for q, d := range []index{{2, 0}, {0, 2}, {-2, 0}, {0, -2}} {
			star = append(star, back(at.plus(d), (q+2)%4)...)
		}
		lay := pattern.Lay{Angle: plane.NormalLay(math.Pi/4 + s.Turn)}
		if roundStars {
			lay.Field = grain.Concentric{Centre: f.at(at)}
		}
		add(star, 2, lay, "star")
	})
	return out, tooManyZones(len(out), radiusMM)
}

// ScaleLines says how the lines run in ScaleWaves.
type ScaleLines int

// The choices.
const (
	RoundScales    ScaleLines = iota // arcs about each scale's own centre
	StraightScales                   // 0°, 60° and 120° in turn, none beside its like
)

// ScaleWaves returns overlapping scales (seigaiha) of radiusMM: rows of discs
// two radii apart, each row half a radius lower than the one it hides, and
// shifted by a radius. The visible part of a disc measures exactly radius²,
// less what flattening takes. Kinds 0 to 2 in turn.
func ScaleWaves(radiusMM float64, lines ScaleLines, s Site) ([]pattern.Zone, error) {
	if err := tooMany(s.Box, radiusMM*radiusMM, radiusMM); err != nil {
		return nil, err
	}
	// Unit: half a radius. Discs stand at i·(4,0) + j·(2,1).
	f := frameOf(s, plane.Point{X: radiusMM / 2}, plane.Point{Y: radiusMM / 2})
	// The top of a disc is cut by the discs in front at 29.5° and 150.5°, and
	// touched by the disc two rows behind between 82.6° and 97.4°. With
	// m = (1, −1/2)/2 and h = √(1 − 5/16), the crossing of neighbouring
	// circles is m ± h·(1, 2)/√5 (in radii).
	h := math.Sqrt(11.0/16) / math.Sqrt(5)
	low := math.Atan2(-0.25+2*h, 0.5+h)
	top := math.Atan2(0.25+2*h, 0.5-h)
	parts := [3][]plane.Point{
		arcTable(radiusMM, low, top),
		arcTable(radiusMM, top, math.Pi-top),
		arcTable(radiusMM, math.Pi-top, math.Pi-low),
	}
	for _, part := range parts {
		for k, p := range part {
			part[k] = p.Turn(s.Turn)
		}
	}
	// Corners where three arcs meet are computed from one disc only: the
	// start of its first part and the end of its last part are corners of the
	// discs beside it, see corner.
	corner := func(disc index, k int) plane.Point {
		switch k {
		case 1:
			return f.at(disc).Add(parts[1][0])
		case 2:
			return f.at(disc).Add(parts[1][len(parts[1])-1])
		case 0: // on the disc ahead to the right, where its third part begins
			ahead := disc.plus(index{2, -1})
			return f.at(ahead).Add(parts[1][len(parts[1])-1])
		default: // on the disc ahead to the left, where its first part ends
			ahead := disc.plus(index{-2, -1})
			return f.at(ahead).Add(parts[1][0])
		}
	}
	arc := func(disc index, part int) plane.Ring {
		out := plane.Ring{corner(disc, part)}
		table := parts[part]
		for _, p := range table[1 : len(table)-1] {
			out = append(out, f.at(disc).Add(p))
		}
		return append(out, corner(disc, part+1))
	}
	var out []pattern.Zone
	extent := plane.EmptyBox().Include(plane.Point{}).Grow(2 * radiusMM)
	f.walk(index{4, 0}, index{2, 1}, s.Box, extent, func(at index) {
		var ring plane.Ring
		for part := range parts {
			a := arc(at, part)
			ring = append(ring, a[:len(a)-1]...)
		}
		// Then back along the discs in front: left, middle, right.
		for _, front := range []struct {
			shift index
			part  int
		}{{index{-2, -1}, 0}, {index{0, -2}, 1}, {index{2, -1}, 2}} {
			a := arc(at.plus(front.shift), front.part).Reversed()
			ring = append(ring, a[:len(a)-1]...)
		}
		if !ring.Bounds().Intersects(s.Box) {
			return
		}
		// A scale touches those one and two rows away, never its own row.
		kind := modulo(at[1], 3)
		z := pattern.Zone{Region: plane.Region{ring}, Kind: kind, Name: []string{"first", "second", "third"}[kind]}
		z.Lay.Angle = plane.NormalLay(float64(kind)*math.Pi/3 + s.Turn)
		if lines == RoundScales {
			z.Lay.Field = grain.Concentric{Centre: f.at(at)}
		}
		out = append(out, z)
	})
	return out, tooManyZones(len(out), radiusMM)
}

func modulo(a, n int) int { return ((a % n) + n) % n }
