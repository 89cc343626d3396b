package lay

import (
	"cmp"
	"math/bits"

	"sheenlay/engine/internal/sorting"
)

// A (k, d)-colouring gives every region one of k places on a circle, neighbours
// at least d places apart; it exists exactly when χ_c ≤ k/d (Vince 1988).

// outcome of a bounded search.
type outcome int

const (
	found outcome = iota
	none          // proven: there is no such colouring
	gaveUp
)

// search looks for a (k, d)-colouring by backtracking, k ≤ 64, always taking
// the region with the fewest places left (DSATUR: Brélaz, Comm. ACM 22, 1979),
// first the one with most neighbours. allowed[v] (nil: all) limits the places
// of a region. It gives up after budget placements, or when stop (nil: never)
// reports true.
func search(lists [][]neighbour, k, d int, allowed []uint64, budget int, stop func() bool) ([]int, outcome) {
	n := len(lists)
	full := ^uint64(0) >> (64 - k)
	s := &colouring{
		lists: lists, k: k, budget: budget, stop: stop,
		place: make([]int, n), left: make([]uint64, n),
		forbid: make([]uint64, k), queue: newBuckets(k),
	}
	for c := range s.forbid {
		for x := 0; x < k; x++ {
			gap := c - x
			if gap < 0 {
				gap = -gap
			}
			if min(gap, k-gap) < d {
				s.forbid[c] |= 1 << x
			}
		}
	}
	for v := range lists {
		s.place[v] = -1
		s.left[v] = full
		if allowed != nil {
			s.left[v] &= allowed[v]
		}
		if s.left[v] == 0 {
			return nil, none
		}
	}
	// Last in, first out: the region with most neighbours starts.
	for _, v := range byDegree(lists) {
		s.queue.push(v, bits.OnesCount64(s.left[v]))
	}
	// Without limits the first region may take place 0: the circle turns.
	s.free = allowed == nil
	s.spreads = n <= exactLimit
	switch s.run() {
	case found:
		return s.place, found
	case none:
		return nil, none
	default:
		return nil, gaveUp
	}
}

// byDegree returns the regions with the most neighbours last, the lowest of
// equals last of all.
func byDegree(lists [][]neighbour) []int32 {
	order := make([]int32, len(lists))
	for v := range order {
		order[v] = int32(v)
	}
	sorting.By(order, func(a, b int32) int {
		return cmp.Or(cmp.Compare(len(lists[a]), len(lists[b])), cmp.Compare(b, a))
	})
	return order
}

type change struct {
	region int32
	was    uint64
}

type frame struct {
	region int32
	tries  uint64 // places not tried yet
	mark   int    // length of the trail before this placement
}

type colouring struct {
	lists  [][]neighbour
	k      int
	budget int
	stop   func() bool
	free   bool
	place  []int
	left   []uint64
	forbid []uint64 // per place: the places too near to it
	queue  *buckets
	trail  []change
	stack  []frame

	spreads bool    // whether narrowing goes on beyond direct neighbours
	changed []int32 // regions narrowed and not yet spread from
}

// run is the backtracking, with its own stack so that 20,000 regions do not
// recurse.
func (s *colouring) run() outcome {
	if !s.choose() {
		return found
	}
	for len(s.stack) > 0 {
		top := &s.stack[len(s.stack)-1]
		s.undo(top)
		if top.tries == 0 {
			s.queue.push(top.region, bits.OnesCount64(s.left[top.region]))
			s.stack = s.stack[:len(s.stack)-1]
			continue
		}
		if s.budget--; s.budget < 0 || s.stop != nil && s.budget&1023 == 0 && s.stop() {
			return gaveUp
		}
		c := bits.TrailingZeros64(top.tries)
		top.tries &^= 1 << c
		if s.put(top.region, c) && !s.choose() {
			return found
		}
	}
	return none
}

// choose stacks the next region; false when all are placed.
func (s *colouring) choose() bool {
	v, ok := s.queue.pop(func(v int32) (int, bool) { return bits.OnesCount64(s.left[v]), s.place[v] < 0 })
	if !ok {
		return false
	}
	tries := s.left[v]
	if s.free && len(s.stack) == 0 {
		tries = 1
	}
	s.stack = append(s.stack, frame{region: v, tries: tries, mark: len(s.trail)})
	return true
}

// put places v and strikes the near places at its neighbours; false when one
// has none left.
func (s *colouring) put(v int32, c int) bool {
	s.place[v] = c
	s.changed = s.changed[:0]
	for _, n := range s.lists[v] {
		if s.place[n.to] >= 0 {
			continue
		}
		if !s.narrow(n.to, s.left[n.to]&^s.forbid[c]) {
			return false
		}
	}
	return !s.spreads || s.spread()
}

// narrow leaves a region the given places; false when that is none.
func (s *colouring) narrow(v int32, now uint64) bool {
	was := s.left[v]
	if now == was {
		return true
	}
	s.trail = append(s.trail, change{v, was})
	s.left[v] = now
	if now == 0 {
		return false
	}
	s.queue.push(v, bits.OnesCount64(now))
	if s.spreads {
		s.changed = append(s.changed, v)
	}
	return true
}

// spread strikes, at the neighbours of every narrowed region, the places that
// go with none of its own, until nothing changes (arc consistency: Mackworth,
// Artificial Intelligence 8, 1977). On a long odd ring this finds in n steps
// what backtracking finds in 2ⁿ.
func (s *colouring) spread() bool {
	for len(s.changed) > 0 {
		v := s.changed[len(s.changed)-1]
		s.changed = s.changed[:len(s.changed)-1]
		blocked := ^uint64(0)
		for left := s.left[v]; left != 0; left &= left - 1 {
			blocked &= s.forbid[bits.TrailingZeros64(left)]
		}
		for _, n := range s.lists[v] {
			if s.place[n.to] < 0 && !s.narrow(n.to, s.left[n.to]&^blocked) {
				s.changed = s.changed[:0]
				return false
			}
		}
	}
	return true
}

// undo takes the placement of f's region back.
func (s *colouring) undo(f *frame) {
	for len(s.trail) > f.mark {
		last := s.trail[len(s.trail)-1]
		s.trail = s.trail[:len(s.trail)-1]
		s.left[last.region] = last.was
		if s.place[last.region] < 0 {
			s.queue.push(last.region, bits.OnesCount64(last.was))
		}
	}
	s.place[f.region] = -1
}

// buckets is a queue of regions by number of places left; entries that are out
// of date are dropped when met.
type buckets struct {
	by  [][]int32
	low int
}

func newBuckets(k int) *buckets { return &buckets{by: make([][]int32, k+1), low: k} }

func (b *buckets) push(v int32, left int) {
	b.by[left] = append(b.by[left], v)
	b.low = min(b.low, left)
}

// pop returns an open region with the fewest places left; current tells a
// region's count and whether it is open.
func (b *buckets) pop(current func(int32) (int, bool)) (int32, bool) {
	for b.low < len(b.by) {
		list := b.by[b.low]
		if len(list) == 0 {
			b.low++
			continue
		}
		v := list[len(list)-1]
		b.by[b.low] = list[:len(list)-1]
		if left, open := current(v); open && left == b.low {
			return v, true
		}
	}
	return 0, false
}
