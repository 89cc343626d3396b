package tilings

import (
	"math"

	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
)

// The key fret in units of its line: a unit is 6 wide, a band 7 high.
const fretWide, fretHigh = 6, 7

// KeyFret returns a running key: every band has a straight rail from which
// hooked arms rise and turn inwards, all lines and gaps one unit wide. The
// lines run along rail (kind 0) and arms (kind 1 standing, kind 2 lying), with
// mitred corners, and at 45° in the ground between (kind 3). Rail and ground
// of a band are one zone each, as wide as the face, so that no seam shows.
func KeyFret(unitMM float64, s Site) ([]pattern.Zone, error) {
	// 5 arms, and 2 long zones per band, on 42 unit squares.
	if err := tooMany(s.Box, unitMM*unitMM*fretWide*fretHigh/5, unitMM); err != nil {
		return nil, err
	}
	f := frameOf(s, plane.Point{X: unitMM}, plane.Point{Y: unitMM})
	left, right, low, high := f.range2(s.Box, fretWide, fretHigh)
	var out []pattern.Zone
	add := func(corners []index, kind int, lay float64, name string) {
		ring := make(plane.Ring, len(corners))
		for k, n := range corners {
			ring[k] = f.at(n)
		}
		if ring.Bounds().Intersects(s.Box) {
			out = append(out, pattern.Zone{
				Region: plane.Region{ring}, Kind: kind, Name: name,
				Lay: pattern.Lay{Angle: plane.NormalLay(lay + s.Turn)},
			})
		}
	}
	for j := low; j <= high; j++ {
		base := index{0, j * fretHigh}
		shift := func(i int, corners ...index) []index {
			moved := make([]index, len(corners))
			for k, n := range corners {
				moved[k] = n.plus(base).plus(index{i * fretWide, 0})
			}
			return moved
		}
		add(fretRail(left, right, shift), 0, 0, "rail")
		add(fretGround(left, right, shift), 3, math.Pi/4, "ground")
		for i := left; i <= right; i++ {
			for _, arm := range fretArms {
				add(shift(i, arm.corners...), arm.kind, arm.lay, arm.name)
			}
		}
	}
	return out, tooManyZones(len(out), unitMM)
}

var fretArms = []tile{
	{corners: []index{{0, 2}, {1, 2}, {1, 6}, {0, 7}}, kind: 1, lay: math.Pi / 2, name: "stem"},
	{corners: []index{{0, 7}, {1, 6}, {4, 6}, {5, 7}}, kind: 2, lay: 0, name: "head"},
	{corners: []index{{5, 7}, {4, 6}, {4, 4}, {5, 3}}, kind: 1, lay: math.Pi / 2, name: "drop"},
	{corners: []index{{5, 3}, {4, 4}, {3, 4}, {2, 3}}, kind: 2, lay: 0, name: "turn"},
	{corners: []index{{2, 3}, {3, 4}, {3, 5}, {2, 5}}, kind: 1, lay: math.Pi / 2, name: "tip"},
}

// fretRail returns the rail from y = 1 to y = 2, with the corners of the stems
// and of the ground that stand on it.
func fretRail(left, right int, shift func(int, ...index) []index) []index {
	out := append(shift(left, index{0, 1}), shift(right, index{fretWide, 1})...)
	for i := right; i >= left; i-- {
		out = append(out, shift(i, index{6, 2}, index{1, 2})...)
	}
	return append(out, shift(left, index{0, 2})...)
}

// fretGround returns what lies between the arms of a band and the next rail.
func fretGround(left, right int, shift func(int, ...index) []index) []index {
	var out []index
	for i := left; i <= right; i++ {
		out = append(out, shift(i,
			index{0, 7}, index{5, 7}, index{5, 3}, index{2, 3}, index{2, 5}, index{3, 5},
			index{3, 4}, index{4, 4}, index{4, 6}, index{1, 6}, index{1, 2}, index{6, 2})...)
	}
	return append(out, append(shift(right, index{6, 7}, index{6, 8}), shift(left, index{0, 8})...)...)
}

// range2 returns the cells (first to last, both ways) of a grid of wide × high
// units that meet box, one cell to spare.
func (f frame) range2(box plane.Box, wide, high int) (left, right, low, high2 int) {
	local := plane.EmptyBox()
	det := f.basis[0].Cross(f.basis[1])
	for _, corner := range rectangle(box) {
		d := corner.Sub(f.origin)
		local = local.Include(plane.Point{X: d.Cross(f.basis[1]) / det, Y: f.basis[0].Cross(d) / det})
	}
	cellOf := func(v float64, size int) int { return int(math.Floor(v / float64(size))) }
	return cellOf(local.Min.X, wide) - 1, cellOf(local.Max.X, wide) + 1,
		cellOf(local.Min.Y, high) - 1, cellOf(local.Max.Y, high) + 1
}
