package tilings

import (
	"math"

	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
)

// Lines says how the lines run in tiles that offer a choice.
type Lines int

// The choices. AlongSide is the best covered: a line that meets a border at
// right angles or slantwise leaves small gaps there, a parallel one none.
const (
	AlongSide Lines = iota
	LongDiagonal
	ShortDiagonal
)

// hexBasis returns the corners V0 and V1 of a pointed-top hexagon with side s:
// V_m = s·(cos(60m+30°), sin(60m+30°)). The others are whole combinations:
// V2 = V1−V0, V3 = −V0, V4 = −V1, V5 = V0−V1.
func hexBasis(s float64) (plane.Point, plane.Point) {
	return plane.Point{X: s * math.Sqrt(3) / 2, Y: s / 2}, plane.Point{Y: s}
}

var hexCorners = [6]index{{1, 0}, {0, 1}, {-1, 1}, {-1, 0}, {0, -1}, {1, -1}}

// Translations of the hexagon lattice: √3·s along 0° and along 60°.
var hexU, hexV = index{2, -1}, index{1, 1}

// TumblingBlocks returns the rhombille tiling: rhombs of 60° and 120° with
// the given side (mm), three to a block. Kinds: 0 top, 1 left, 2 right.
// Neighbours always differ by 60°, the optimum for this adjacency.
func TumblingBlocks(sideMM float64, lines Lines, s Site) ([]pattern.Zone, error) {
	lays := map[Lines][3]float64{
		AlongSide:     {30, 150, 90},
		LongDiagonal:  {0, 120, 60},
		ShortDiagonal: {90, 30, 150},
	}[lines]
	c := cell{u: hexU, v: hexV}
	for k, name := range []string{"top", "left", "right"} {
		// top {O,V0,V1,V2}, left {O,V2,V3,V4}, right {O,V4,V5,V0}.
		c.tiles = append(c.tiles, tile{
			corners: []index{{}, hexCorners[2*k], hexCorners[2*k+1], hexCorners[(2*k+2)%6]},
			kind:    k, lay: degrees(lays[k]), name: name,
		})
	}
	a, b := hexBasis(sideMM)
	return c.zones(frameOf(s, a, b), s, sideMM)
}

// Hexagons returns regular hexagons with the given side (mm) in three kinds,
// no two of a kind touching; each kind's lines run along one pair of sides.
func Hexagons(sideMM float64, s Site) ([]pattern.Zone, error) {
	c := cell{u: hexU.plus(hexV), v: hexU.times(3)}
	for k, lay := range []float64{30, 90, 150} {
		t := tile{kind: k, lay: degrees(lay), name: []string{"first", "second", "third"}[k]}
		for _, n := range hexCorners {
			t.corners = append(t.corners, n.plus(hexU.times(k)))
		}
		c.tiles = append(c.tiles, t)
	}
	a, b := hexBasis(sideMM)
	return c.zones(frameOf(s, a, b), s, sideMM)
}

// Triangles returns equilateral triangles with the given side (mm), pointing up
// (kind 0) and down (kind 1). With crossed, the two lays stand at right angles;
// otherwise both run along a side, 60° apart.
func Triangles(sideMM float64, crossed bool, s Site) ([]pattern.Zone, error) {
	down := 60.0
	if crossed {
		down = 90
	}
	c := cell{u: index{1, 0}, v: index{0, 1}, tiles: []tile{
		{corners: []index{{0, 0}, {1, 0}, {0, 1}}, kind: 0, lay: 0, name: "up"},
		{corners: []index{{1, 0}, {1, 1}, {0, 1}}, kind: 1, lay: degrees(down), name: "down"},
	}}
	f := frameOf(s, plane.Point{X: sideMM}, plane.Point{X: sideMM / 2, Y: sideMM * math.Sqrt(3) / 2})
	return c.zones(f, s, sideMM)
}

// HempLeaf returns the triakis triangular tiling (asanoha): every triangle of a
// triangle grid with the given side (mm) cut into three from its centre, faces
// of 30°, 30°, 120° and area √3/12·side². Six kinds: 0 to 2 in triangles that
// point up, 3 to 5 in those that point down. Lines run along a spoke, and
// neighbours always differ by 60°.
func HempLeaf(sideMM float64, s Site) ([]pattern.Zone, error) {
	// The basis is a third of the grid's, so that centres are whole.
	up := [3]index{{0, 0}, {3, 0}, {0, 3}}
	down := [3]index{{3, 3}, {0, 3}, {3, 0}}
	c := cell{u: index{3, 0}, v: index{0, 3}}
	// Long sides of both run along 0°, 120°, 60° in this order; see the test
	// for the table of neighbours.
	upLays, downLays := [3]float64{30, 150, 90}, [3]float64{150, 90, 30}
	names := [3]string{"flat", "falling", "rising"}
	for k := 0; k < 3; k++ {
		c.tiles = append(c.tiles, tile{
			corners: []index{up[k], up[(k+1)%3], {1, 1}},
			kind:    k, lay: degrees(upLays[k]), name: "up " + names[k],
		})
	}
	for k := 0; k < 3; k++ {
		c.tiles = append(c.tiles, tile{
			corners: []index{down[k], down[(k+1)%3], {2, 2}},
			kind:    3 + k, lay: degrees(downLays[k]), name: "down " + names[k],
		})
	}
	f := frameOf(s, plane.Point{X: sideMM / 3}, plane.Point{X: sideMM / 6, Y: sideMM * math.Sqrt(3) / 6})
	return c.zones(f, s, sideMM)
}
