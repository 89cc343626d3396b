// Package tour orders places so that the way from one to the next is short:
// the islands of a face, between which the nozzle must travel.
//
// The way starts at a given place or anywhere and ends anywhere. Method: greedy
// edges, then 2-opt and Or-opt with neighbour lists and a queue of places worth
// another look, then kicks (a double bridge among near places, local repair,
// undone when it did not help). Sources of the parts: Johnson & McGeoch, The
// Traveling Salesman Problem: A Case Study in Local Optimization, 1997.
package tour

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"
)

// Options of Order.
type Options struct {
	// Start returns the distance (mm) from where the nozzle stands to place i;
	// nil lets the way begin anywhere.
	Start func(i int) float64
	// Closed asks for a round trip; Start is then not asked.
	Closed bool
	// Kicks is the number of kicks; 0 takes a number that suits n.
	Kicks int
	// Seed of the kicks; the same seed gives the same order.
	Seed uint64
}

// MaxPlaces bounds n: distances are kept in a table of n².
const MaxPlaces = 4000

// Order returns the places 0…n−1 in a good order. distance must be symmetric,
// finite and ≥ 0. More than MaxPlaces come back in the order 0…n−1, as does
// what is left when the context ends first: an order is always complete.
func Order(ctx context.Context, n int, distance func(i, j int) float64, o Options) []int {
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	if n > MaxPlaces || n < 2 || (n < 4 && o.Closed) {
		return order
	}
	s := newSearch(n, distance, o)
	s.greedy()
	s.improveAll(ctx)
	s.kick(ctx, o)
	return s.result()
}

// Length returns the length of the way through the places in this order.
func Length(order []int, distance func(i, j int) float64, o Options) float64 {
	sum := 0.0
	for k := 1; k < len(order); k++ {
		sum += distance(order[k-1], order[k])
	}
	if len(order) == 0 {
		return 0
	}
	if o.Closed {
		return sum + distance(order[len(order)-1], order[0])
	}
	if o.Start != nil {
		sum += o.Start(order[0])
	}
	return sum
}

// search holds a round trip under improvement. An open way becomes a round
// trip with two more places: the start, and an end that is free to reach from
// everywhere; the edge between them is so short that it is never given up.
type search struct {
	n, places  int // with and without the two extra
	table      []float64
	near       [][]int32 // nearest neighbours, nearest first
	order, pos []int32
	queue      []int32
	queued     []bool
	undo       []reversal
	logging    bool
}

type reversal struct{ i, j int32 }

// neighbours is how many near places are tried from each (Johnson & McGeoch
// 1997 use 10 to 20).
const neighbours = 12

func newSearch(n int, distance func(i, j int) float64, o Options) *search {
	s := &search{n: n, places: n}
	if !o.Closed {
		s.n += 2
	}
	s.table = make([]float64, s.n*s.n)
	longest := 1.0
	for i := range n {
		for j := range i {
			d := distance(i, j)
			s.table[i*s.n+j], s.table[j*s.n+i] = d, d
			longest = math.Max(longest, d)
		}
	}
	if !o.Closed {
		start, end := n, n+1
		for i := range n {
			if o.Start != nil {
				d := o.Start(i)
				s.table[start*s.n+i], s.table[i*s.n+start] = d, d
				longest = math.Max(longest, d)
			}
		}
		bond := -4 * longest * float64(s.n)
		s.table[start*s.n+end], s.table[end*s.n+start] = bond, bond
	}
	s.near = make([][]int32, s.n)
	for i := range s.near {
		list := make([]int32, 0, s.n-1)
		for j := range s.n {
			if j != i {
				list = append(list, int32(j))
			}
		}
		slices.SortStableFunc(list, func(a, b int32) int {
			x, y := s.d(int32(i), a), s.d(int32(i), b)
			switch {
			case x < y:
				return -1
			case x > y:
				return 1
			}
			return int(a - b)
		})
		s.near[i] = list[:min(len(list), neighbours)]
	}
	s.order, s.pos, s.queued = make([]int32, s.n), make([]int32, s.n), make([]bool, s.n)
	return s
}

func (s *search) d(a, b int32) float64 { return s.table[int(a)*s.n+int(b)] }

func (s *search) next(a int32) int32 { return s.order[(int(s.pos[a])+1)%s.n] }

func (s *search) prev(a int32) int32 { return s.order[(int(s.pos[a])+s.n-1)%s.n] }

// greedy joins the shortest edges that make neither a branch nor a small ring.
func (s *search) greedy() {
	type edge struct{ a, b int32 }
	edges := make([]edge, 0, s.n*(s.n-1)/2)
	for i := range int32(s.n) {
		for j := range i {
			edges = append(edges, edge{j, i})
		}
	}
	slices.SortStableFunc(edges, func(x, y edge) int {
		p, q := s.d(x.a, x.b), s.d(y.a, y.b)
		switch {
		case p < q:
			return -1
		case p > q:
			return 1
		}
		return 0
	})
	links := make([][2]int32, s.n)
	parent := make([]int32, s.n)
	for i := range links {
		links[i], parent[i] = [2]int32{-1, -1}, int32(i)
	}
	root := func(a int32) int32 {
		for parent[a] != a {
			parent[a] = parent[parent[a]]
			a = parent[a]
		}
		return a
	}
	joined := 0
	for _, e := range edges {
		if joined == s.n-1 {
			break
		}
		if links[e.a][1] >= 0 || links[e.b][1] >= 0 || root(e.a) == root(e.b) {
			continue
		}
		parent[root(e.a)] = root(e.b)
		for _, pair := range [2][2]int32{{e.a, e.b}, {e.b, e.a}} {
			l := &links[pair[0]]
			if l[0] < 0 {
				l[0] = pair[1]
			} else {
				l[1] = pair[1]
			}
		}
		joined++
	}
	at := int32(0)
	for i := range links {
		if links[i][1] < 0 {
			at = int32(i)
			break
		}
	}
	before := int32(-1)
	for k := range s.order {
		s.order[k], s.pos[at] = at, int32(k)
		after := links[at][0]
		if after == before || after < 0 {
			after = links[at][1]
		}
		before, at = at, after
	}
}

// result cuts the round trip at the start.
func (s *search) result() []int {
	order := make([]int, 0, s.places)
	at, step := int32(0), s.next
	if s.n > s.places {
		start, end := int32(s.places), int32(s.places+1)
		at = s.next(start)
		if at == end {
			at, step = s.prev(start), s.prev
		}
	}
	for range s.places {
		order = append(order, int(at))
		at = step(at)
	}
	return order
}

// kick perturbs and repairs, keeping what is not worse.
func (s *search) kick(ctx context.Context, o Options) {
	kicks := o.Kicks
	if kicks == 0 {
		kicks = 10*s.n + 200
	}
	if s.n < 8 {
		return
	}
	random := rand.New(rand.NewPCG(o.Seed, 0x5eed))
	s.logging = true
	for k := range kicks {
		if k%64 == 0 && ctx.Err() != nil {
			return
		}
		s.undo = s.undo[:0]
		gain := s.doubleBridge(random)
		gain += s.improve()
		if gain < -1e-9 {
			for i := len(s.undo) - 1; i >= 0; i-- {
				s.swapRange(int(s.undo[i].i), int(s.undo[i].j))
			}
		}
	}
}

// doubleBridge exchanges two neighbouring short stretches, which no 2-opt move
// undoes, and returns the length gained (negative: lost).
func (s *search) doubleBridge(random *rand.Rand) float64 {
	const longest = 50
	span := min(longest, (s.n-2)/2)
	p := random.IntN(s.n)
	la, lb := 1+random.IntN(span), 1+random.IntN(span)
	at := func(k int) int32 { return s.order[k%s.n] }
	a0, a1 := at(p), at(p+1)
	b0, b1 := at(p+la), at(p+la+1)
	c0, c1 := at(p+la+lb), at(p+la+lb+1)
	gain := s.d(a0, a1) + s.d(b0, b1) + s.d(c0, c1) - s.d(a0, b1) - s.d(c0, a1) - s.d(b0, c1)
	// A B exchanged = both reversed together, then each by itself.
	s.reverse(p+1, p+la+lb)
	s.reverse(p+1, p+lb)
	s.reverse(p+lb+1, p+la+lb)
	for _, place := range [6]int32{a0, a1, b0, b1, c0, c1} {
		s.push(place)
	}
	return gain
}

func (s *search) push(a int32) {
	if !s.queued[a] {
		s.queued[a] = true
		s.queue = append(s.queue, a)
	}
}

func (s *search) improveAll(ctx context.Context) {
	for i := range int32(s.n) {
		s.push(i)
	}
	if ctx.Err() == nil {
		s.improve()
	}
}

// improve works off the queue and returns the length gained.
func (s *search) improve() float64 {
	total := 0.0
	for len(s.queue) > 0 {
		a := s.queue[len(s.queue)-1]
		s.queue = s.queue[:len(s.queue)-1]
		s.queued[a] = false
		for {
			gain := s.twoOpt(a)
			if gain == 0 {
				gain = s.orOpt(a)
			}
			if gain == 0 {
				break
			}
			total += gain
		}
	}
	return total
}

// least is the smallest gain (mm) worth a move: far below any travel that
// matters, far above rounding, so that no two moves undo each other for ever.
const least = 1e-7

// twoOpt replaces an edge at a and another edge by two shorter ones.
func (s *search) twoOpt(a int32) float64 {
	for _, forward := range [2]bool{true, false} {
		step := s.next
		if !forward {
			step = s.prev
		}
		b := step(a)
		old := s.d(a, b)
		for _, c := range s.near[a] {
			if s.d(a, c) >= old {
				break
			}
			d := step(c)
			if c == b || d == a {
				continue
			}
			gain := old + s.d(c, d) - s.d(a, c) - s.d(b, d)
			if gain <= least {
				continue
			}
			if forward {
				s.reverse(int(s.pos[b]), int(s.pos[c]))
			} else {
				s.reverse(int(s.pos[a]), int(s.pos[d]))
			}
			for _, place := range [4]int32{a, b, c, d} {
				s.push(place)
			}
			return gain
		}
	}
	return 0
}

// orOpt moves a stretch of up to three places that begins at a to another
// edge, either way round.
func (s *search) orOpt(a int32) float64 {
	for _, forward := range [2]bool{true, false} {
		ahead, back := s.next, s.prev
		if !forward {
			ahead, back = s.prev, s.next
		}
		end := a
		for length := 1; length <= 3; length++ {
			if length > 1 {
				end = ahead(end)
			}
			p, q := back(a), ahead(end)
			if p == end || q == a || p == q {
				break
			}
			removed := s.d(p, a) + s.d(end, q) - s.d(p, q)
			if removed <= least {
				continue
			}
			if gain := s.insert(a, end, length, removed, forward); gain != 0 {
				return gain
			}
		}
	}
	return 0
}

// insert looks for an edge beside a near place of a where the stretch a…end
// costs less than what its removal saves, and moves it there.
func (s *search) insert(a, end int32, length int, removed float64, forward bool) float64 {
	inside := func(c int32) bool {
		k := int(s.pos[c]) - int(s.pos[a])
		if !forward {
			k = -k
		}
		return (k+s.n)%s.n < length
	}
	for _, c := range s.near[a] {
		if s.d(a, c) >= removed {
			break
		}
		if inside(c) {
			continue
		}
		for _, e := range [2]int32{s.next(c), s.prev(c)} {
			if inside(e) {
				continue
			}
			gain := removed + s.d(c, e) - s.d(c, a) - s.d(end, e)
			if gain <= least {
				continue
			}
			p, q := s.prev(a), s.next(end)
			if !forward {
				p, q = s.prev(end), s.next(a)
			}
			s.move(a, end, c, e, forward)
			for _, place := range [6]int32{a, end, c, e, p, q} {
				s.push(place)
			}
			return gain
		}
	}
	return 0
}

// move takes the stretch a…end out and puts it between c and e with a beside
// c, by at most three reversals.
func (s *search) move(a, end, c, e int32, forward bool) {
	first, last := a, end // in the sense of the order
	if !forward {
		first, last = end, a
	}
	i, j := int(s.pos[first]), int(s.pos[last])
	m := (j-i+s.n)%s.n + 1
	// The target edge (u, v) in the sense of the order, v = next(u).
	u, v := c, e
	if s.next(c) != e {
		u, v = e, c
	}
	// Slide the stretch forward to the edge, or backward, whichever is nearer.
	ahead := (int(s.pos[u]) - j + s.n) % s.n
	behind := (i - int(s.pos[v]) + s.n) % s.n
	if ahead <= behind {
		k := j + ahead
		s.reverse(i, k)
		s.reverse(i, k-m)
		// The stretch now stands reversed at the end: last … first.
		if s.needTurn(c, a) {
			s.reverse(k-m+1, k)
		}
		return
	}
	k := i - behind
	s.reverse(k, j)
	s.reverse(k+m, j)
	if s.needTurn(c, a) {
		s.reverse(k, k+m-1)
	}
}

// needTurn reports whether a does not stand beside c.
func (s *search) needTurn(c, a int32) bool { return s.next(c) != a && s.prev(c) != a }

// reverse turns the stretch of positions i…j (cyclic) round; the complement is
// turned instead when that is shorter, which is the same round trip.
func (s *search) reverse(i, j int) {
	i, j = ((i%s.n)+s.n)%s.n, ((j%s.n)+s.n)%s.n
	if s.logging {
		s.undo = append(s.undo, reversal{int32(i), int32(j)})
	}
	s.swapRange(i, j)
}

func (s *search) swapRange(i, j int) {
	count := (j - i + s.n) % s.n
	for range (count + 1) / 2 {
		a, b := s.order[i], s.order[j]
		s.order[i], s.order[j] = b, a
		s.pos[b], s.pos[a] = int32(i), int32(j)
		if i++; i == s.n {
			i = 0
		}
		if j--; j < 0 {
			j = s.n - 1
		}
	}
}
