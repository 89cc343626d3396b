package fill

import (
	"cmp"
	"container/heap"
	"math"
	"slices"
)

// reached is an entry of the queue of a shortest-path search.
type reached struct {
	cost float64
	node int32
}

type queue []reached

func (q queue) Len() int { return len(q) }
func (q queue) Less(i, j int) bool {
	return q[i].cost < q[j].cost || (q[i].cost == q[j].cost && q[i].node < q[j].node)
}
func (q queue) Swap(i, j int) { q[i], q[j] = q[j], q[i] }
func (q *queue) Push(x any)   { *q = append(*q, x.(reached)) }
func (q *queue) Pop() any {
	old := *q
	x := old[len(old)-1]
	*q = old[:len(old)-1]
	return x
}

// search is a reusable shortest-path search from one node.
type search struct {
	w    *weave
	cost []float64
	via  []int32 // edge by which a node was reached
	seen []int32 // nodes touched, to clear
	q    queue
}

func newSearch(w *weave) *search {
	s := &search{w: w, cost: make([]float64, w.nodes), via: make([]int32, w.nodes)}
	for i := range s.cost {
		s.cost[i] = math.Inf(1)
	}
	return s
}

// run searches from a node outwards until visit, called for every terminal in
// rising cost, returns false.
func (s *search) run(from int32, visit func(terminal int32, cost float64) bool) {
	for _, n := range s.seen {
		s.cost[n] = math.Inf(1)
	}
	s.seen, s.q = s.seen[:0], s.q[:0]
	s.cost[from], s.via[from] = 0, -1
	s.seen = append(s.seen, from)
	heap.Push(&s.q, reached{0, from})
	for len(s.q) > 0 {
		r := heap.Pop(&s.q).(reached)
		if r.cost > s.cost[r.node] {
			continue
		}
		if int(r.node) < 2*len(s.w.cells) && r.node != from && !visit(r.node, r.cost) {
			return
		}
		for _, e := range s.w.next[r.node] {
			x := s.w.edges[e]
			other := x.a + x.b - r.node
			c := r.cost + x.cost
			if c < s.cost[other] {
				if math.IsInf(s.cost[other], 1) {
					s.seen = append(s.seen, other)
				}
				s.cost[other], s.via[other] = c, e
				heap.Push(&s.q, reached{c, other})
			}
		}
	}
}

// toggle flips the edges of the path found from the last start to node.
func (s *search) toggle(node int32, used []bool) {
	for s.via[node] >= 0 {
		e := s.via[node]
		used[e] = !used[e]
		x := s.w.edges[e]
		node = x.a + x.b - node
	}
}

// pairing holds, for each terminal, its partner and the costs of the pairs
// that are near enough to be tried.
type pairing struct {
	near [][]reached // per terminal, by rising cost
	mate []int32
}

func (p *pairing) cost(a, b int32) float64 {
	for _, r := range p.near[a] {
		if r.node == b {
			return r.cost
		}
	}
	for _, r := range p.near[b] {
		if r.node == a {
			return r.cost
		}
	}
	return math.Inf(1)
}

// nearPoles is how many of the nearest poles a pole may be paired with.
const nearPoles = 16

// join returns the edges of a low-cost T-join: poles are paired greedily along
// shortest paths, pairs are exchanged while that helps, and the paths are
// added modulo two.
func (w *weave) join(stop func() bool) []bool {
	terminals := int32(2 * len(w.cells))
	s := newSearch(w)
	p := &pairing{near: make([][]reached, terminals), mate: make([]int32, terminals)}
	type pair struct {
		cost float64
		a, b int32
	}
	var pairs []pair
	for t := range terminals {
		p.mate[t] = -1
		if w.banned[t/2] {
			continue
		}
		if t%64 == 0 && stop() {
			return nil
		}
		s.run(t, func(o int32, cost float64) bool {
			p.near[t] = append(p.near[t], reached{cost, o})
			pairs = append(pairs, pair{cost, min(t, o), max(t, o)})
			return len(p.near[t]) < nearPoles
		})
	}
	slices.SortFunc(pairs, func(x, y pair) int {
		return cmp.Or(cmp.Compare(x.cost, y.cost), cmp.Compare(x.a, y.a), cmp.Compare(x.b, y.b))
	})
	for _, x := range pairs {
		if p.mate[x.a] < 0 && p.mate[x.b] < 0 {
			p.mate[x.a], p.mate[x.b] = x.b, x.a
		}
	}
	used := make([]bool, len(w.edges))
	for t := range terminals { // those left over: along whatever path there is
		if p.mate[t] >= 0 || w.banned[t/2] {
			continue
		}
		s.run(t, func(o int32, cost float64) bool {
			if p.mate[o] >= 0 {
				return true
			}
			p.mate[t], p.mate[o] = o, t
			p.near[t] = append(p.near[t], reached{cost, o})
			return false
		})
	}
	p.exchange(stop)
	for t := range terminals {
		if m := p.mate[t]; m > t {
			s.run(t, func(o int32, _ float64) bool { return o != m })
			s.toggle(m, used)
		}
	}
	return used
}

// exchange swaps the partners of two pairs while that lowers the cost.
func (p *pairing) exchange(stop func() bool) {
	for range 12 {
		better := false
		for a := range p.near {
			if a%256 == 0 && stop() {
				return
			}
			b := p.mate[a]
			if b < 0 {
				continue
			}
			ab := p.cost(int32(a), b)
			for _, r := range p.near[a] {
				c := r.node
				d := p.mate[c]
				if c == b || d < 0 || r.cost >= ab+p.cost(c, d) {
					continue
				}
				if r.cost+p.cost(b, d) < ab+p.cost(c, d)-1e-9 {
					p.mate[a], p.mate[c] = c, int32(a)
					p.mate[b], p.mate[d] = d, b
					better = true
					break
				}
			}
		}
		if !better {
			return
		}
	}
}
