package lay

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"sheenlay/engine/finding"
	"sheenlay/engine/internal/sorting"
	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// Options of Assign. The zero value is the usual choice.
type Options struct {
	// Budget bounds the placements of one search; 0 means 50,000 and four for
	// every region. More may prove more, or take longer.
	Budget int
	// Keep leaves the angles of every part as the search made them instead of
	// turning the strongest pair to 0°/90°.
	Keep bool
	// Stop, if set, is asked now and then; once it reports true the best
	// assignment so far is returned.
	Stop func() bool
}

// Result of Assign; all angles in radians.
type Result struct {
	Angles []float64 // per region, in [0, π)

	// SmallestDifference over all borders, mod π; π/2 where there are none.
	SmallestDifference float64
	// WorstPair is a border with that difference; {-1, -1} without borders.
	WorstPair [2]int
	// Bound is what no assignment can exceed: π/χ_c, with χ_c known exactly or
	// from below by cliques, odd rings and odd wheels, and the difference of
	// neighbours that are both pinned.
	Bound float64
	// Optimal says that SmallestDifference reaches Bound.
	Optimal bool

	Findings finding.List // pins that could not be used
}

// exactLimit is the number of regions up to which χ_c is searched for exactly:
// χ_c = p/q with p at most the number of regions, and a search has at most 64
// places.
const exactLimit = 40

// pinPlaces is the number of places on the half circle for parts with several
// pins: 3° each, which holds 90°, 72°, 60°, 45° and 36° exactly.
const pinPlaces = 60

// Assign gives every region of g a lay angle so that the smallest difference
// of neighbours, mod 180°, is as large as it can be made: the optimum for
// connected parts of up to 40 regions with at most one pin, while the searches
// stay in budget; the best of several searches and an ascent on the worst
// border above. Among equally good assignments long borders get large
// differences. A part without a pin is turned so that the pair of directions
// with the longest common border stands at 0° and 90°, or as near on both sides
// as its difference lets it.
//
// pinned fixes regions to angles (radians); the rest is made the best of. Pins
// of no region or with no number are left out and reported.
func Assign(g Graph, pinned map[int]float64, opts Options) Result {
	lists := g.lists()
	r := Result{Angles: make([]float64, len(lists)), Bound: math.Pi / 2, WorstPair: [2]int{-1, -1}}
	pin := r.checkPins(pinned, len(lists))
	for v := range lists {
		if a, ok := pin[int32(v)]; ok {
			r.Angles[v] = a
		}
	}
	for _, part := range components(lists) {
		a := newPart(lists, part, pin, opts)
		a.solve()
		r.Bound = math.Min(r.Bound, a.bound)
		for k, v := range part {
			r.Angles[v] = a.angle[k]
		}
	}
	r.SmallestDifference = math.Pi / 2
	for v, list := range lists {
		for _, n := range list {
			if int(n.to) < v {
				continue
			}
			if d := apart(r.Angles[v], r.Angles[n.to]); r.WorstPair[0] < 0 || d < r.SmallestDifference {
				r.SmallestDifference, r.WorstPair = d, [2]int{v, int(n.to)}
			}
		}
	}
	r.Optimal = r.SmallestDifference >= r.Bound-tol.LayTie
	return r
}

func (r *Result) checkPins(pinned map[int]float64, n int) map[int32]float64 {
	keys := make([]int, 0, len(pinned))
	for v := range pinned {
		keys = append(keys, v)
	}
	slices.Sort(keys)
	pin := make(map[int32]float64, len(keys))
	for _, v := range keys {
		a := pinned[v]
		if v < 0 || v >= n || math.IsNaN(a) || math.IsInf(a, 0) {
			r.Findings.Add(finding.Finding{
				Code: "lay-bad-pin", Level: finding.Caution,
				Text:   fmt.Sprintf("Zone %d of %d cannot take the lay set for it: there is no such zone, or the lay is no angle.", v, n),
				Remedy: "Set the lay of the zone again, or leave it to the page.",
			})
			continue
		}
		pin[int32(v)] = plane.NormalLay(a)
	}
	return pin
}

// part is one connected part on its way to an assignment.
type part struct {
	lists  [][]neighbour
	pinned []bool
	pins   int
	angle  []float64
	bound  float64
	opts   Options
	budget int
}

func newPart(lists [][]neighbour, members []int32, pin map[int32]float64, opts Options) *part {
	p := &part{
		lists: induced(lists, members), pinned: make([]bool, len(members)),
		angle: make([]float64, len(members)), opts: opts, budget: opts.Budget,
	}
	if p.budget <= 0 {
		p.budget = 50000 + 4*len(members)
	}
	for k, v := range members {
		if a, ok := pin[v]; ok {
			p.pinned[k], p.angle[k] = true, a
			p.pins++
		}
	}
	return p
}

func (p *part) stopped() bool { return p.opts.Stop != nil && p.opts.Stop() }

func (p *part) solve() {
	low := lowerBound(p.lists)
	p.bound = math.Min(math.Pi/2, math.Pi/low.value())
	switch {
	case len(p.lists) == 1:
		return
	case p.pins > 1:
		p.solvePinned()
		return
	}
	wanted, free := p.angle, p.pins == 0
	p.angle = make([]float64, len(p.lists))
	p.solveFree(low)
	if free {
		if !p.opts.Keep {
			p.turnStrongest()
		}
		return
	}
	// One pin: the whole part turns to meet it.
	k := slices.Index(p.pinned, true)
	p.turn(wanted[k] - p.angle[k])
	p.angle[k] = wanted[k]
}

// turn adds an angle to all regions.
func (p *part) turn(by float64) {
	for k := range p.angle {
		p.angle[k] = plane.NormalLay(p.angle[k] + by)
	}
}

// solveFree assigns places of the circle without pins.
func (p *part) solveFree(low ratio) {
	n := len(p.lists)
	if n <= exactLimit {
		p.solveExact(low)
		return
	}
	for _, r := range largeRatios(low, n, p.lists) {
		if p.stopped() {
			break
		}
		places, got := search(p.lists, r.p, r.q, nil, p.budget, p.opts.Stop)
		if got == gaveUp && r.q == 1 && r.p >= 4 {
			if chained, ok := chainColour(p.lists, r.p); ok {
				places, got = chained, found
			}
		}
		if got == found {
			p.take(places, r)
			if low.less(r) {
				p.ascend(p.all())
			}
			return
		}
	}
	// Stopped, or more mutual neighbours than places: from an even spread.
	for k := range p.angle {
		p.angle[k] = math.Pi * float64(k%pinPlaces) / pinPlaces
	}
	p.ascend(p.all())
}

// all returns the numbers of all regions.
func (p *part) all() []int32 {
	out := make([]int32, len(p.lists))
	for v := range out {
		out[v] = int32(v)
	}
	return out
}

// largeRatios returns the ratios to try in a large part, best first: fractions
// between two and three only where no triangle forbids them, then whole
// numbers up to one more than any region has neighbours.
func largeRatios(low ratio, n int, lists [][]neighbour) []ratio {
	all := []ratio{{2, 1}, {9, 4}, {7, 3}, {5, 2}, {8, 3}, {3, 1}}
	if n <= 2000 {
		all = append(all, ratio{10, 3}, ratio{7, 2}, ratio{11, 3})
	}
	most := 0
	for _, list := range lists {
		most = max(most, len(list))
	}
	for k := 4; k <= min(most+1, 64); k++ {
		all = append(all, ratio{k, 1})
	}
	if most < 3 {
		all = append(all, ratio{4, 1})
	}
	return slices.DeleteFunc(all, func(r ratio) bool { return r.less(low) })
}

// solveExact finds χ_c: the fractions p/q with p at most the number of regions,
// in order, are halved until the first that has a colouring is left. A search
// out of budget counts as none, and then the bound stays at what was proven.
func (p *part) solveExact(low ratio) {
	n := len(p.lists)
	var all []ratio
	for num := 1; num <= n; num++ {
		for den := 1; 2*den <= num; den++ {
			if r := (ratio{num, den}); gcd(num, den) == 1 && !r.less(low) {
				all = append(all, r)
			}
		}
	}
	sorting.By(all, func(a, b ratio) int { return cmp.Compare(a.p*b.q, b.p*a.q) })
	proven, best := true, -1
	from, to := 0, len(all)-1
	var places []int
	try := func(k int) bool {
		got, out := search(p.lists, all[k].p, all[k].q, nil, p.budget, p.opts.Stop)
		switch {
		case out == gaveUp:
			proven = false
		case out == none && k+1 < len(all):
			// χ_c is one of these fractions, so it is the next at least.
			p.bound = math.Min(p.bound, math.Pi/all[k+1].value())
		}
		if out == found {
			places, best = got, k
		}
		return out == found
	}
	// The bound itself is usually reached: one search then decides.
	if !try(0) {
		from = 1
		for from <= to {
			mid := (from + to) / 2
			if p.stopped() {
				proven = false
				break
			}
			if try(mid) {
				to = mid - 1
			} else {
				from = mid + 1
			}
		}
	}
	if best < 0 { // stopped before the first colouring
		for k := range p.angle {
			p.angle[k] = math.Pi * float64(k) / float64(n)
		}
		p.ascend(p.all())
		return
	}
	p.take(places, all[best])
	if proven {
		p.bound = math.Pi / all[best].value()
	} else {
		p.ascend(p.all())
	}
}

func gcd(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// take moves places within their freedom so that long borders differ more, and
// turns them into angles.
func (p *part) take(places []int, r ratio) {
	for sweep := 0; sweep < 8; sweep++ {
		moved := false
		for v := range p.lists {
			here, bestC := p.contrast(v, places[v], places, r), places[v]
			for c := 0; c < r.p; c++ {
				if at := p.contrast(v, c, places, r); at > here+tol.LayTie {
					here, bestC = at, c
				}
			}
			if bestC != places[v] {
				places[v], moved = bestC, true
			}
		}
		if !moved {
			break
		}
	}
	for v, c := range places {
		p.angle[v] = math.Pi * float64(c) / float64(r.p)
	}
}

// contrast returns Σ length·sin²(difference) of region v at place c, −1 when a
// neighbour stands too near. sin² is the share of the largest contrast that two
// directions show under a light on either of them.
func (p *part) contrast(v, c int, places []int, r ratio) float64 {
	sum := 0.0
	for _, n := range p.lists[v] {
		gap := c - places[n.to]
		if gap < 0 {
			gap = -gap
		}
		if min(gap, r.p-gap) < r.q {
			return -1
		}
		s := math.Sin(math.Pi * float64(gap) / float64(r.p))
		sum += float64(n.length * s * s)
	}
	return sum
}

// turnStrongest turns the part so that the two directions with the longest
// common border lie symmetrically about 45°: at 0° and 90° when they are at
// right angles. That is where |cos 2a − cos 2b| is largest.
func (p *part) turnStrongest() {
	type pair struct{ a, b int64 } // angles in millionths of π
	type total struct{ length, a, b float64 }
	sums := map[pair]*total{}
	var order []*total
	key := func(a float64) int64 { return int64(math.Round(a / math.Pi * 1e6)) }
	for v, list := range p.lists {
		for _, n := range list {
			if int(n.to) < v {
				continue
			}
			a, b := math.Min(p.angle[v], p.angle[n.to]), math.Max(p.angle[v], p.angle[n.to])
			k := pair{key(a), key(b)}
			if sums[k] == nil {
				sums[k] = &total{a: a, b: b}
				order = append(order, sums[k])
			}
			sums[k].length += math.Max(n.length, 1e-6) // unknown lengths count by number
		}
	}
	best := order[0]
	for _, t := range order {
		if t.length > best.length*(1+1e-9) {
			best = t
		}
	}
	low, gap := best.a, best.b-best.a
	if gap > math.Pi/2+tol.LayTie { // the shorter way round starts at b
		low, gap = best.b, math.Pi-gap
	}
	p.turn(math.Pi/4 - gap/2 - low)
	for k, a := range p.angle {
		if a < tol.LayTie || a > math.Pi-tol.LayTie {
			p.angle[k] = 0 // a rounding below zero must not read as 180°
		}
	}
}
