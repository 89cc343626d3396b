package tilings

import (
	"math"
	"slices"

	"sheenlay/engine/grain"
	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
)

// Herringbone returns bricks of widthMM by ratio·widthMM (ratio at least 2),
// each butting against the side of the next. Kinds: 0 lying, 1 standing; lines
// run along the brick.
func Herringbone(widthMM float64, ratio int, s Site) ([]pattern.Zone, error) {
	n := max(2, ratio)
	// Unit cells (x, y) with (x−y) mod 2n < n belong to lying bricks.
	c := cell{u: index{1, 1}, v: index{2 * n, 0}, tiles: []tile{
		{corners: box(0, 0, n, 1), kind: 0, lay: 0, name: "lying"},
		{corners: box(2*n-1, 0, 2*n, n), kind: 1, lay: math.Pi / 2, name: "standing"},
	}}
	return c.zones(frameOf(s, plane.Point{X: widthMM}, plane.Point{Y: widthMM}), s, widthMM)
}

// box returns the corners of a rectangle in a frame whose first two basis
// vectors are the axes.
func box(x0, y0, x1, y1 int) []index {
	return []index{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}
}

// Basket returns a plain weave: straps of strapMM with gaps of gapMM, each
// strap seen where it passes over, and the small squares between them. Kinds:
// 0 lying strap, 1 standing strap, 2 square (lines at 45°). A strap piece
// measures strap by strap + 2·gap.
func Basket(strapMM, gapMM float64, s Site) ([]pattern.Zone, error) {
	// Basis: strap and gap along x, strap and gap along y.
	at := func(xs, xg, ys, yg int) index { return index{xs, xg, ys, yg} }
	rect := func(x0, x1, y0, y1 [2]int) []index {
		return []index{
			at(x0[0], x0[1], y0[0], y0[1]), at(x1[0], x1[1], y0[0], y0[1]),
			at(x1[0], x1[1], y1[0], y1[1]), at(x0[0], x0[1], y1[0], y1[1]),
		}
	}
	zero, strap, pitch, minusGap, over := [2]int{0, 0}, [2]int{1, 0}, [2]int{1, 1}, [2]int{0, -1}, [2]int{1, 1}
	right, farRight := [2]int{2, 1}, [2]int{2, 2}
	c := cell{u: at(1, 1, 1, 1), v: at(2, 2, 0, 0), tiles: []tile{
		{corners: rect(minusGap, over, zero, strap), kind: 0, lay: 0, name: "lying strap"},
		{corners: rect(pitch, right, minusGap, over), kind: 1, lay: math.Pi / 2, name: "standing strap"},
		{corners: rect(strap, pitch, strap, pitch), kind: 2, lay: math.Pi / 4, name: "square"},
		{corners: rect(right, farRight, strap, pitch), kind: 2, lay: math.Pi / 4, name: "square"},
	}}
	f := frameOf(s, plane.Point{X: strapMM}, plane.Point{X: gapMM}, plane.Point{Y: strapMM}, plane.Point{Y: gapMM})
	return c.zones(f, s, strapMM)
}

// Chevron returns stripes of upright height stripeMM that run up and down in
// arms of width armMM at ±slope (radians, between 0 and π/2). Every second
// stripe has its lines along its arms (kinds 0 rising, 1 falling). Those
// between have upright lines and are one zone each, as wide as the face (kind
// 2); with crossed they have the lines of the other arm (kinds 2, 3).
func Chevron(stripeMM, armMM, slope float64, crossed bool, s Site) ([]pattern.Zone, error) {
	// Basis: arm across, arm's rise, stripe.
	rising := []index{{0, 0, 0}, {1, 1, 0}, {1, 1, 1}, {0, 0, 1}}
	falling := []index{{1, 1, 0}, {2, 0, 0}, {2, 0, 1}, {1, 1, 1}}
	c := cell{u: index{2, 0, 0}, v: index{0, 0, 2}, tiles: []tile{
		{corners: rising, kind: 0, lay: slope, name: "rising arm"},
		{corners: falling, kind: 1, lay: -slope, name: "falling arm"},
	}}
	if crossed {
		c.tiles = append(c.tiles,
			tile{corners: shifted(rising, index{0, 0, 1}), kind: 2, lay: -slope, name: "rising between"},
			tile{corners: shifted(falling, index{0, 0, 1}), kind: 3, lay: slope, name: "falling between"})
	}
	rise := armMM * math.Tan(slope)
	f := frameOf(s, plane.Point{X: armMM}, plane.Point{Y: rise}, plane.Point{Y: stripeMM})
	zones, err := c.zones(f, s, stripeMM)
	if err != nil || crossed {
		return zones, err
	}
	grid := frameOf(s, plane.Point{X: armMM}, plane.Point{Y: stripeMM})
	left, right, low, high := grid.range2(s.Box, 2, 2)
	low -= int(math.Ceil(rise / (2 * stripeMM)))
	for j := low; j <= high; j++ {
		var under, over []index
		for i := 2 * left; i <= 2*(right+1); i++ {
			at := index{i, modulo(i, 2), 2*j + 1}
			under, over = append(under, at), append(over, at.plus(index{0, 0, 1}))
		}
		slices.Reverse(over)
		var ring plane.Ring
		for _, n := range append(under, over...) {
			ring = append(ring, f.at(n))
		}
		if ring.Bounds().Intersects(s.Box) {
			zones = append(zones, pattern.Zone{
				Region: plane.Region{ring}, Kind: 2, Name: "between",
				Lay: pattern.Lay{Angle: plane.NormalLay(math.Pi/2 + s.Turn)},
			})
		}
	}
	return zones, tooManyZones(len(zones), stripeMM)
}

func shifted(corners []index, by index) []index {
	out := make([]index, len(corners))
	for k, n := range corners {
		out[k] = n.plus(by)
	}
	return out
}

// Checker returns squares of sideMM whose lines run lying (kind 0) and standing
// (kind 1) in turn.
func Checker(sideMM float64, s Site) ([]pattern.Zone, error) {
	c := cell{u: index{1, 1}, v: index{2, 0}, tiles: []tile{
		{corners: box(0, 0, 1, 1), kind: 0, lay: 0, name: "lying"},
		{corners: box(1, 0, 2, 1), kind: 1, lay: math.Pi / 2, name: "standing"},
	}}
	return c.zones(frameOf(s, plane.Point{X: sideMM}, plane.Point{Y: sideMM}), s, sideMM)
}

// Straight returns one zone that is the site's box, its lines along the turn.
func Straight(s Site) []pattern.Zone {
	return []pattern.Zone{{
		Region: plane.Region{rectangle(s.Box)}, Name: "face",
		Lay: pattern.Lay{Angle: plane.NormalLay(s.Turn)},
	}}
}

func rectangle(b plane.Box) plane.Ring {
	return plane.Ring{b.Min, {X: b.Max.X, Y: b.Min.Y}, b.Max, {X: b.Min.X, Y: b.Max.Y}}
}

// Bordered returns a plain middle (kind 0, lines along the turn) in a frame of
// borderMM measured inwards from face: four mitred rails (kind 1 lying, 2
// standing) whose lines run along them. Where the frame is too wide for the
// face the middle is as small as can be and the rails nearly meet. The rails
// reach out to the site's box, which must hold face. An empty face has no
// frame.
func Bordered(borderMM float64, face plane.Box, s Site) []pattern.Zone {
	if face.Empty() || face.Size().X == 0 || face.Size().Y == 0 {
		return Straight(s)
	}
	size := face.Size()
	border := math.Min(borderMM, 0.49*math.Min(size.X, size.Y))
	outer, inner := rectangle(s.Box), rectangle(face.Grow(-border))
	out := []pattern.Zone{{
		Region: plane.Region{inner}, Name: "middle", Lay: pattern.Lay{Angle: plane.NormalLay(s.Turn)},
	}}
	for k, name := range []string{"near rail", "right rail", "far rail", "left rail"} {
		next := (k + 1) % 4
		out = append(out, pattern.Zone{
			Region: plane.Region{{outer[k], outer[next], inner[next], inner[k]}},
			Kind:   1 + k%2, Name: name,
			Lay: pattern.Lay{Angle: float64(k%2) * math.Pi / 2},
		})
	}
	return out
}

// BorderedRound is Bordered for round faces: the middle is the largest disc in
// face less borderMM, the rest a ring (kind 1) with lines round the centre.
func BorderedRound(borderMM float64, face plane.Box, s Site) []pattern.Zone {
	if face.Empty() || face.Size().X == 0 || face.Size().Y == 0 {
		return Straight(s)
	}
	size := face.Size()
	radius := math.Min(size.X, size.Y) / 2
	radius = math.Max(radius-borderMM, 0.02*radius)
	circle := arcTable(radius, 0, 2*math.Pi)
	centre := face.Centre()
	disc := make(plane.Ring, len(circle)-1)
	for k := range disc {
		disc[k] = centre.Add(circle[k])
	}
	return []pattern.Zone{
		{Region: plane.Region{disc}, Name: "middle", Lay: pattern.Lay{Angle: plane.NormalLay(s.Turn)}},
		{Region: plane.Region{rectangle(s.Box), disc.Reversed()}, Kind: 1, Name: "rim",
			Lay: pattern.Lay{Field: grain.Concentric{Centre: centre}}},
	}
}
