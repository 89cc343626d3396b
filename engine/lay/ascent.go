package lay

import (
	"math"
	"slices"

	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// ascend moves those of the given regions that lie on the worst borders to the
// middle of the widest gap between their neighbours' angles, while that helps.
// The smallest difference never falls: a moved region ends farther from all of
// its neighbours than the worst was.
func (p *part) ascend(regions []int32) {
	const rounds = 60
	for round := 0; round < rounds && !p.stopped(); round++ {
		worst := math.Pi / 2
		for _, v := range regions {
			worst = math.Min(worst, p.gapAt(v, p.angle[v]))
		}
		moved := false
		for _, v := range regions {
			here := p.gapAt(v, p.angle[v])
			if here > worst+1e-3 {
				continue
			}
			if at, gap := p.widest(v); gap > here+tol.LayTie {
				p.angle[v], moved = at, true
			}
		}
		if !moved {
			return
		}
	}
}

// gapAt returns the smallest difference of v, at an angle, from its neighbours.
func (p *part) gapAt(v int32, angle float64) float64 {
	gap := math.Pi / 2
	for _, n := range p.lists[v] {
		gap = math.Min(gap, apart(angle, p.angle[n.to]))
	}
	return gap
}

// widest returns the angle farthest from all neighbours of v, and how far.
func (p *part) widest(v int32) (angle, gap float64) {
	near := make([]float64, 0, len(p.lists[v]))
	for _, n := range p.lists[v] {
		near = append(near, p.angle[n.to])
	}
	slices.Sort(near)
	for k, a := range near {
		next := near[0] + math.Pi
		if k+1 < len(near) {
			next = near[k+1]
		}
		if g := (next - a) / 2; g > gap {
			angle, gap = plane.NormalLay(a+g), g
		}
	}
	return angle, gap
}

// solvePinned assigns a part with several pins: the free regions take places
// 3° apart, as far from pins and from each other as one search after the other
// allows, then ascend.
func (p *part) solvePinned() {
	for v, list := range p.lists {
		for _, n := range list {
			if p.pinned[v] && p.pinned[n.to] {
				p.bound = math.Min(p.bound, apart(p.angle[v], p.angle[n.to]))
			}
		}
	}
	var free []int32
	origin := 0.0 // places are counted from the first pin
	first := true
	for v := range p.lists {
		if !p.pinned[v] {
			free = append(free, int32(v))
		} else if first {
			origin, first = p.angle[v], false
		}
	}
	inner := induced(p.lists, free)
	placeAngle := func(c int) float64 { return plane.NormalLay(origin + math.Pi*float64(c)/pinPlaces) }
	for _, members := range components(inner) {
		lists := induced(inner, members)
		attempt := func(d int) bool {
			allowed := make([]uint64, len(members))
			for k, m := range members {
				for c := 0; c < pinPlaces; c++ {
					ok := true
					for _, n := range p.lists[free[m]] {
						if p.pinned[n.to] && apart(placeAngle(c), p.angle[n.to]) < math.Pi*float64(d)/pinPlaces-tol.LayTie {
							ok = false
						}
					}
					if ok {
						allowed[k] |= 1 << c
					}
				}
			}
			places, got := search(lists, pinPlaces, d, allowed, p.budget, p.opts.Stop)
			if got != found {
				return false
			}
			for k, m := range members {
				p.angle[free[m]] = placeAngle(places[k])
			}
			return true
		}
		from, to := 1, int(pinPlaces/math.Max(2, lowerBound(lists).value()))
		for from <= to && !p.stopped() {
			mid := (from + to + 1) / 2
			if attempt(mid) {
				from = mid + 1
			} else {
				to = mid - 1
			}
		}
		regions := make([]int32, len(members))
		for k, m := range members {
			regions[k] = free[m]
		}
		p.ascend(regions)
	}
}
