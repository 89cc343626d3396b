package lay

import "sheenlay/engine/grain"

// chainColour colours a large part with k colours, smallest-last, exchanging
// two colours along a chain where a region has none left (Kempe 1879). In a
// planar graph each region then has at most five coloured neighbours, so with
// four colours an exchange nearly always frees one; where it does not, chains
// beside it are exchanged at random a few times. False when that fails too.
func chainColour(lists [][]neighbour, k int) ([]int, bool) {
	c := &chains{lists: lists, colour: make([]int, len(lists)), mark: make([]int, len(lists))}
	for v := range c.colour {
		c.colour[v] = -1
	}
	plain := make([][]int32, len(lists))
	for v, list := range lists {
		for _, n := range list {
			plain[v] = append(plain[v], n.to)
		}
	}
	order := SmallestLast(plain)
	for i := len(order) - 1; i >= 0; i-- {
		v := order[i]
		ok := c.place(v, k)
		for try := 0; try < 200 && !ok; try++ {
			near := lists[v]
			from := near[grain.Hash(1, int(v), try)%uint64(len(near))].to
			if a := c.colour[from]; a >= 0 {
				b := int(grain.Hash(2, int(v), try) % uint64(k))
				if a != b {
					c.exchange(c.chain([]int32{from}, a, b), a, b)
				}
			}
			ok = c.place(v, k)
		}
		if !ok {
			return nil, false
		}
	}
	return c.colour, true
}

type chains struct {
	lists  [][]neighbour
	colour []int
	mark   []int
	round  int
	queue  []int32
}

// place gives v a colour, exchanging a chain if need be.
func (c *chains) place(v int32, k int) bool {
	used := make([][]int32, k)
	for _, n := range c.lists[v] {
		if a := c.colour[n.to]; a >= 0 {
			used[a] = append(used[a], n.to)
		}
	}
	for a := range used {
		if len(used[a]) == 0 {
			c.colour[v] = a
			return true
		}
	}
	for a := range used {
		for b := range used {
			if a == b {
				continue
			}
			chain := c.chain(used[a], a, b)
			free := true
			for _, o := range used[b] {
				if c.mark[o] == c.round {
					free = false
				}
			}
			if free {
				c.exchange(chain, a, b)
				c.colour[v] = a
				return true
			}
		}
	}
	return false
}

// chain returns the regions of colours a and b connected to the given ones and
// marks them with the number of the round.
func (c *chains) chain(from []int32, a, b int) []int32 {
	c.round++
	c.queue = append(c.queue[:0], from...)
	for _, v := range from {
		c.mark[v] = c.round
	}
	for k := 0; k < len(c.queue); k++ {
		for _, n := range c.lists[c.queue[k]] {
			if x := c.colour[n.to]; (x == a || x == b) && c.mark[n.to] != c.round {
				c.mark[n.to] = c.round
				c.queue = append(c.queue, n.to)
			}
		}
	}
	return c.queue
}

func (c *chains) exchange(chain []int32, a, b int) {
	for _, v := range chain {
		c.colour[v] = a + b - c.colour[v]
	}
}

// SmallestLast returns the nodes of a graph (neighbours by node, both ways) in
// the order of taking away, each time, one with the fewest neighbours left
// (Matula & Beck, J. ACM 30, 1983). Coloured in the reverse order, no node of a
// planar graph meets more than five neighbours that are coloured already.
func SmallestLast(neighbours [][]int32) []int32 {
	degree := make([]int, len(neighbours))
	most := 0
	for v := range neighbours {
		degree[v] = len(neighbours[v])
		most = max(most, degree[v])
	}
	queue := newBuckets(most)
	for v := len(neighbours) - 1; v >= 0; v-- {
		queue.push(int32(v), degree[v])
	}
	taken := make([]bool, len(neighbours))
	out := make([]int32, 0, len(neighbours))
	for {
		v, ok := queue.pop(func(v int32) (int, bool) { return degree[v], !taken[v] })
		if !ok {
			return out
		}
		taken[v] = true
		out = append(out, v)
		for _, n := range neighbours[v] {
			if !taken[n] {
				degree[n]--
				queue.push(n, degree[n])
			}
		}
	}
}
