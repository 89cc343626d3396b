package tilings

import (
	"sheenlay/engine/grain"
	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
)

// The four corners of a square arc tile, counter-clockwise from lower left.
const (
	lowerLeft = iota
	lowerRight
	upperRight
	upperLeft
)

// arcCorners returns the two opposite corners that the arcs of a tile run
// round: an arc tile (Truchet 1704, in the form of Smith 1987) has two
// orientations.
func arcCorners(orientation int) [2]int {
	if orientation == 0 {
		return [2]int{lowerLeft, upperRight}
	}
	return [2]int{lowerRight, upperLeft}
}

// ArcTiles returns square tiles of sideMM, each turned one of two ways at
// random, filled with arcs about two opposite corners. Tiles whose arcs share a
// centre are joined there, so a zone is what lies nearest to one centre: a
// quarter (kind 1), two (kind 2) or three (kind 3), or a whole round (kind 4)
// of right triangles with legs of one side. Every zone's lines are arcs about
// its centre. Choose the side a whole multiple of the line spacing and the
// arcs run on from tile to tile.
func ArcTiles(sideMM float64, seed uint64, s Site) ([]pattern.Zone, error) {
	if err := tooMany(s.Box, sideMM*sideMM, sideMM); err != nil {
		return nil, err
	}
	f := frameOf(s, plane.Point{X: sideMM}, plane.Point{Y: sideMM})
	// isCentre reports whether the tile at (i, j) has arcs about its corner.
	isCentre := func(i, j, corner int) bool {
		c := arcCorners(int(grain.Hash(seed, i, j) & 1))
		return c[0] == corner || c[1] == corner
	}
	arms := [4]index{{1, 0}, {0, 1}, {-1, 0}, {0, -1}}
	names := []string{"", "quarter", "half", "three quarters", "whole round"}
	var out []pattern.Zone
	extent := plane.EmptyBox().Include(plane.Point{}).Grow(sideMM * 1.5)
	f.walk(index{1, 0}, index{0, 1}, s.Box, extent, func(at index) {
		i, j := at[0], at[1]
		// The quadrants round this grid point, counter-clockwise.
		has := [4]bool{
			isCentre(i, j, lowerLeft), isCentre(i-1, j, lowerRight),
			isCentre(i-1, j-1, upperRight), isCentre(i, j-1, upperLeft),
		}
		for _, run := range quadrantRuns(has) {
			var ring plane.Ring
			if run.length < 4 {
				ring = append(ring, f.at(at))
			}
			for k := 0; k <= min(run.length, 3); k++ {
				ring = append(ring, f.at(at.plus(arms[(run.first+k)%4])))
			}
			if ring.Bounds().Intersects(s.Box) {
				out = append(out, pattern.Zone{
					Region: plane.Region{ring}, Kind: run.length, Name: names[run.length],
					Lay: pattern.Lay{Field: grain.Concentric{Centre: f.at(at)}},
				})
			}
		}
	})
	return out, tooManyZones(len(out), sideMM)
}

type quadrantRun struct{ first, length int }

// quadrantRuns returns the unbroken runs of true round the circle.
func quadrantRuns(has [4]bool) []quadrantRun {
	if has == [4]bool{true, true, true, true} {
		return []quadrantRun{{0, 4}}
	}
	var out []quadrantRun
	for q := 0; q < 4; q++ {
		if !has[q] || has[(q+3)%4] {
			continue
		}
		n := 1
		for has[(q+n)%4] {
			n++
		}
		out = append(out, quadrantRun{q, n})
	}
	return out
}
