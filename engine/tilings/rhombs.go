package tilings

import (
	"fmt"
	"math"

	"sheenlay/engine/finding"
	"sheenlay/engine/grain"
	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
)

// RhombLines says how the lines run in Rhombs.
type RhombLines int

// The choices.
const (
	// ThickAlongSide runs thick rhombs along a side and thin ones along their
	// long diagonal: neighbours differ by at least 18°, and no more than
	// three in ten tiles meet their sides slantwise.
	ThickAlongSide RhombLines = iota
	RhombLongDiagonal
	RhombShortDiagonal
)

// Rhombs returns a tiling without period by thick (72°) and thin (36°) rhombs
// with the given side (mm): the dual of five families of parallel lines with
// random offsets of sum zero (de Bruijn, Algebraic theory of Penrose's
// non-periodic tilings, Indagationes Math. 43, 1981). Areas are sin 72° and
// sin 36° times side², their counts stand as φ to 1 in the large. Kinds: 0 to 4
// thick, 5 to 9 thin, by orientation.
func Rhombs(sideMM float64, lines RhombLines, seed uint64, s Site) ([]pattern.Zone, error) {
	// Mean area of a tile: (φ·sin 72° + sin 36°)/(φ + 1).
	if err := tooMany(s.Box, 0.8123*sideMM*sideMM, sideMM); err != nil {
		return nil, err
	}
	// Three lines through one point leave the dual undecided there; the next
	// seed is taken then. It happens about once in ten thousand large faces.
	for try := uint64(0); try < seedTries; try++ {
		if out, ok := rhombs(sideMM, lines, seed+try, s); ok {
			return out, tooManyZones(len(out), sideMM)
		}
	}
	return nil, finding.Finding{
		Code: "tilings-seed", Level: finding.Stop,
		Text:   fmt.Sprintf("The rhombs cannot be decided for the %d seeds from %d on.", seedTries, seed),
		Remedy: "Choose another seed.",
	}
}

// seedTries bounds the seeds that Rhombs tries.
const seedTries = 50

// clearOfLines is the least distance, in grid spacings, of a crossing from a
// third line. Reason: coordinates reach 1e3 spacings, so their rounding stays
// under 1e-12.
const clearOfLines = 1e-9

// ray returns the unit vector of family k.
func ray(k int) plane.Point {
	s, c := math.Sincos(2 * math.Pi * float64(k) / 5)
	return plane.Point{X: c, Y: s}
}

func rhombs(sideMM float64, lines RhombLines, seed uint64, s Site) ([]pattern.Zone, bool) {
	var e [5]plane.Point
	var offset [5]float64
	drift := plane.Point{}
	for k := range e {
		e[k] = ray(k)
		offset[k] = grain.Draw(seed, k, 11)
		if k == 4 {
			offset[k] = -(offset[0] + offset[1] + offset[2] + offset[3])
		}
		drift = drift.Add(e[k].Mul(offset[k]))
	}
	f := frameOf(s, e[0].Mul(sideMM), e[1].Mul(sideMM), e[2].Mul(sideMM), e[3].Mul(sideMM), e[4].Mul(sideMM))
	f.origin = f.origin.Sub(drift.Mul(sideMM).Turn(s.Turn))

	// A crossing at x belongs to a tile near 2.5·x + drift sides; a tile lies
	// within 2.5 sides of that.
	want := s.local()
	want.Min, want.Max = want.Min.Mul(1/(2.5*sideMM)), want.Max.Mul(1/(2.5*sideMM))
	want = want.Grow(1.5)

	var out []pattern.Zone
	for j := 0; j < 5; j++ {
		for k := j + 1; k < 5; k++ {
			det := e[j].Cross(e[k])
			jLow, jHigh := lineRange(want, e[j], offset[j])
			for m := jLow; m <= jHigh; m++ {
				kLow, kHigh := lineRange(want, e[k], offset[k])
				for n := kLow; n <= kHigh; n++ {
					a, b := float64(m)-offset[j], float64(n)-offset[k]
					x := plane.Point{
						X: (float64(a*e[k].Y) - float64(b*e[j].Y)) / det,
						Y: (float64(b*e[j].X) - float64(a*e[k].X)) / det,
					}
					if !want.Contains(x) {
						continue
					}
					base := index{}
					for l := range base {
						v := x.Dot(e[l]) + offset[l]
						base[l] = int(math.Ceil(v))
						if l != j && l != k && math.Abs(v-math.Round(v)) < clearOfLines {
							return nil, false
						}
					}
					base[j], base[k] = m, n
					z := rhombZone(f, base, j, k, det, lines, s)
					if z.Region.Bounds().Intersects(s.Box) {
						out = append(out, z)
					}
				}
			}
		}
	}
	return out, true
}

// lineRange returns the lines of a family that meet box.
func lineRange(box plane.Box, e plane.Point, offset float64) (int, int) {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, corner := range rectangle(box) {
		v := corner.Dot(e) + offset
		lo, hi = math.Min(lo, v), math.Max(hi, v)
	}
	return int(math.Floor(lo)), int(math.Ceil(hi))
}

// rhombZone returns the tile of the crossing of a line of family j with one of
// family k > j; base holds the numbers of the region below both.
func rhombZone(f frame, base index, j, k int, det float64, lines RhombLines, s Site) pattern.Zone {
	stepJ, stepK := index{}, index{}
	stepJ[j], stepK[k] = 1, 1
	ring := plane.Ring{f.at(base), f.at(base.plus(stepJ)), f.at(base.plus(stepJ).plus(stepK)), f.at(base.plus(stepK))}
	if det < 0 {
		ring[1], ring[3] = ring[3], ring[1]
	}
	// Directions mod 180° in steps of 36°: family l lies at 2l (mod 5).
	thick := k-j == 1 || k-j == 4
	first := j // of a thick pair the family that the other follows
	if k-j == 4 {
		first = k
	}
	kind, name := first, "thick rhomb"
	sum, difference := ray(j).Add(ray(k)), ray(j).Sub(ray(k))
	long, short := sum, difference
	if !thick {
		long, short = difference, sum
		kind, name = 5+modulo(j+k, 5), "thin rhomb"
	}
	direction := long
	switch {
	case lines == RhombShortDiagonal:
		direction = short
	case lines == ThickAlongSide && thick:
		direction = ray(first)
	}
	return pattern.Zone{
		Region: plane.Region{ring}, Kind: kind, Name: name,
		Lay: pattern.Lay{Angle: plane.NormalLay(math.Atan2(direction.Y, direction.X) + s.Turn)},
	}
}
