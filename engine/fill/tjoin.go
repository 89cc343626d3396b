package fill

import (
	"cmp"
	"math"

	"sheenlay/engine/internal/sorting"
)

// reached is an entry of the queue of a shortest-path search.
type reached struct {
	cost float64
	node int32
}

func (r reached) before(o reached) bool {
	return r.cost < o.cost || (r.cost == o.cost && r.node < o.node)
}

// queue is a binary heap, cheapest first. (The library's heap boxes every
// entry, which costs half of the search.)
type queue []reached

func (q *queue) push(r reached) {
	h := append(*q, r)
	i := len(h) - 1
	for i > 0 && r.before(h[(i-1)/2]) {
		h[i] = h[(i-1)/2]
		i = (i - 1) / 2
	}
	h[i] = r
	*q = h
}

func (q *queue) pop() reached {
	h := *q
	top, last := h[0], h[len(h)-1]
	h = h[:len(h)-1]
	i := 0
	for {
		c := 2*i + 1
		if c >= len(h) {
			break
		}
		if c+1 < len(h) && h[c+1].before(h[c]) {
			c++
		}
		if !h[c].before(last) {
			break
		}
		h[i] = h[c]
		i = c
	}
	if len(h) > 0 {
		h[i] = last
	}
	*q = h
	return top
}

// search is a reusable shortest-path search over the edges that are open.
type search struct {
	w    *weave
	cost []float64
	via  []int32 // edge by which a node was reached
	from []int32 // start it was reached from
	seen []int32 // nodes touched, to clear
	q    queue
}

func newSearch(w *weave) *search {
	s := &search{w: w, cost: make([]float64, w.nodes), via: make([]int32, w.nodes), from: make([]int32, w.nodes)}
	for i := range s.cost {
		s.cost[i] = math.Inf(1)
	}
	return s
}

func (s *search) clear() {
	for _, n := range s.seen {
		s.cost[n] = math.Inf(1)
	}
	s.seen, s.q = s.seen[:0], s.q[:0]
}

func (s *search) reach(n int32, cost float64, via, from int32) {
	if cost >= s.cost[n] {
		return
	}
	if math.IsInf(s.cost[n], 1) {
		s.seen = append(s.seen, n)
	}
	s.cost[n], s.via[n], s.from[n] = cost, via, from
	s.q.push(reached{cost, n})
}

// run searches outwards from the starts until visit, called for every node in
// rising cost, returns false. With used, edges in it are given up for nothing,
// and a pole is passed only by changing the corner it uses, since it has but one.
func (s *search) run(starts []int32, used []bool, visit func(n int32, cost float64) bool) {
	s.clear()
	for _, n := range starts {
		s.reach(n, 0, -1, n)
	}
	for len(s.q) > 0 {
		r := s.q.pop()
		if r.cost > s.cost[r.node] {
			continue
		}
		if !visit(r.node, r.cost) {
			return
		}
		for _, e := range s.w.next[r.node] {
			x := &s.w.edges[e]
			if !s.w.open(x) || !s.passes(r.node, e, used) {
				continue
			}
			cost := r.cost
			if used == nil || !used[e] {
				cost += x.cost
			}
			s.reach(x.a+x.b-r.node, cost, e, s.from[r.node])
		}
	}
}

// passes reports whether a path that reached a node may go on along an edge.
func (s *search) passes(node, edge int32, used []bool) bool {
	via := s.via[node]
	return used == nil || via < 0 || int(node) >= 2*len(s.w.cells) || used[edge] != used[via]
}

// toggle flips the edges of the path by which a node was reached.
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
const nearPoles = 12

// join returns the edges of a low-cost T-join: poles are paired greedily along
// shortest paths, pairs are exchanged while that helps, the paths are added
// modulo two, what is left over is settled, and single edges are improved.
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
		s.run([]int32{t}, nil, func(o int32, cost float64) bool {
			if o >= terminals || o == t {
				return true
			}
			p.near[t] = append(p.near[t], reached{cost, o})
			pairs = append(pairs, pair{cost, min(t, o), max(t, o)})
			return len(p.near[t]) < nearPoles
		})
	}
	sorting.By(pairs, func(x, y pair) int {
		return cmp.Or(cmp.Compare(x.cost, y.cost), cmp.Compare(x.a, y.a), cmp.Compare(x.b, y.b))
	})
	for _, x := range pairs {
		if p.mate[x.a] < 0 && p.mate[x.b] < 0 {
			p.mate[x.a], p.mate[x.b] = x.b, x.a
		}
	}
	p.exchange(stop)
	used := make([]bool, len(w.edges))
	for t := range terminals {
		if m := p.mate[t]; m > t {
			s.run([]int32{t}, nil, func(o int32, _ float64) bool { return o != m })
			s.toggle(m, used)
		}
	}
	w.settle(s, used, stop)
	w.improve(s, used, stop)
	return used
}

// improve gives up edges for cheaper ways round them, dearest first, while that
// helps, and reports whether it did.
func (w *weave) improve(s *search, used []bool, stop func() bool) (changed bool) {
	for range improveRounds {
		better := false
		var order []int32
		for e := range w.edges {
			if used[e] {
				order = append(order, int32(e))
			}
		}
		sorting.By(order, func(a, b int32) int {
			return cmp.Or(cmp.Compare(w.edges[b].cost, w.edges[a].cost), cmp.Compare(a, b))
		})
		for i, e := range order {
			if i%64 == 0 && stop() {
				return changed
			}
			if x := &w.edges[e]; used[e] {
				found := false
				x.shut, used[e] = true, false
				s.run([]int32{x.a}, used, func(n int32, cost float64) bool {
					if cost >= x.cost-leastGain {
						return false
					}
					found = n == x.b
					return !found
				})
				x.shut, used[e] = false, !found
				if found {
					s.toggle(x.b, used)
					better = true
				}
			}
		}
		if !better {
			break
		}
		changed = true
	}
	return changed
}

// improveRounds bounds the rounds of improve, leastGain (mm) is what one change
// must save, so that rounding alone changes nothing.
const (
	improveRounds = 8
	leastGain     = 1e-6
)

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
				if r.cost >= 2*ab+1 {
					break
				}
				if c == b || d < 0 {
					continue
				}
				if cd := p.cost(c, d); r.cost < ab+cd && r.cost+p.cost(b, d) < ab+cd-1e-9 {
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

// settle makes used a T-join: nodes of the wrong parity are found and paired
// along shortest paths, in rounds that grow regions round all of them at once
// and pair neighbouring regions, cheapest first. It also takes out the edges
// of banned cells. Nodes that no path reaches stay as they are.
func (w *weave) settle(s *search, used []bool, stop func() bool) {
	for e, x := range w.edges {
		used[e] = used[e] && w.open(&x)
	}
	for t := range int32(2 * len(w.cells)) {
		w.oneCorner(t, used)
	}
	type meeting struct {
		cost float64
		edge int32
	}
	for {
		wrong := w.wrong(used)
		if len(wrong) == 0 || stop() {
			return
		}
		s.run(wrong, used, func(int32, float64) bool { return true })
		var meetings []meeting
		for e, x := range w.edges {
			if !w.open(&x) || math.IsInf(s.cost[x.a]+s.cost[x.b], 1) || s.from[x.a] == s.from[x.b] ||
				!s.passes(x.a, int32(e), used) || !s.passes(x.b, int32(e), used) {
				continue
			}
			meetings = append(meetings, meeting{s.cost[x.a] + x.cost + s.cost[x.b], int32(e)})
		}
		if len(meetings) == 0 {
			return
		}
		sorting.By(meetings, func(x, y meeting) int {
			return cmp.Or(cmp.Compare(x.cost, y.cost), cmp.Compare(x.edge, y.edge))
		})
		paired := map[int32]bool{}
		for _, m := range meetings {
			x := w.edges[m.edge]
			a, b := s.from[x.a], s.from[x.b]
			if paired[a] || paired[b] {
				continue
			}
			paired[a], paired[b] = true, true
			s.toggle(x.a, used)
			s.toggle(x.b, used)
			used[m.edge] = !used[m.edge]
		}
	}
}

// oneCorner leaves a pole the cheapest of the corners that it uses.
func (w *weave) oneCorner(pole int32, used []bool) {
	best := int32(-1)
	for _, e := range w.next[pole] {
		if used[e] && (best < 0 || w.edges[e].cost < w.edges[best].cost) {
			best = e
		}
	}
	for _, e := range w.next[pole] {
		used[e] = used[e] && e == best
	}
}

// wrong returns the nodes whose number of used edges has the wrong parity: it
// is odd for the poles of cells that are not banned, and even elsewhere.
func (w *weave) wrong(used []bool) []int32 {
	odd := make([]bool, w.nodes)
	for c := range w.cells {
		if !w.banned[c] {
			odd[2*c], odd[2*c+1] = true, true
		}
	}
	for e, x := range w.edges {
		if used[e] {
			odd[x.a] = !odd[x.a]
			odd[x.b] = !odd[x.b]
		}
	}
	var out []int32
	for n, o := range odd {
		if o {
			out = append(out, int32(n))
		}
	}
	return out
}
