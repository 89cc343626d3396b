// Package lay assigns lay angles to zones so that neighbours can be told
// apart: the smallest difference (mod 180°) of two neighbours' angles is made
// as large as possible. That is circular colouring: the optimum is
// 180°/χ_c of the graph of neighbours (Vince, J. Graph Theory 12, 1988,
// 551–559; Zhu, Discrete Math. 229, 2001, 371–410).
package lay

import (
	"cmp"
	"math"
	"slices"

	"sheenlay/engine/internal/sorting"
)

// Edge says that regions A and B share a border of Length mm. A length of 0
// counts as a border whose length is not known.
type Edge struct {
	A, B   int
	Length float64
}

// Graph is regions 0 … N−1 and their borders. Edges may come in any order and
// doubled; edges of a region with itself or out of range are ignored.
type Graph struct {
	N     int
	Edges []Edge
}

// neighbour is one end of an edge.
type neighbour struct {
	to     int32
	length float64
}

// lists returns the neighbours of every region in rising order, doubled edges
// added up.
func (g Graph) lists() [][]neighbour {
	out := make([][]neighbour, max(0, g.N))
	for _, e := range g.Edges {
		if e.A == e.B || e.A < 0 || e.B < 0 || e.A >= g.N || e.B >= g.N {
			continue
		}
		length := e.Length
		if !(length > 0) || math.IsInf(length, 0) {
			length = 0
		}
		out[e.A] = append(out[e.A], neighbour{int32(e.B), length})
		out[e.B] = append(out[e.B], neighbour{int32(e.A), length})
	}
	for v, list := range out {
		sorting.By(list, func(a, b neighbour) int { return cmp.Compare(a.to, b.to) })
		kept := list[:0]
		for _, n := range list {
			if k := len(kept); k > 0 && kept[k-1].to == n.to {
				kept[k-1].length += n.length
			} else {
				kept = append(kept, n)
			}
		}
		out[v] = kept
	}
	return out
}

// adjacent reports whether b is in a's sorted list.
func adjacent(lists [][]neighbour, a, b int32) bool {
	_, ok := slices.BinarySearchFunc(lists[a], b, func(n neighbour, to int32) int { return cmp.Compare(n.to, to) })
	return ok
}

// components returns the connected parts, each in rising order.
func components(lists [][]neighbour) [][]int32 {
	seen := make([]bool, len(lists))
	var out [][]int32
	for v := range lists {
		if seen[v] {
			continue
		}
		seen[v] = true
		part := []int32{int32(v)}
		for k := 0; k < len(part); k++ {
			for _, n := range lists[part[k]] {
				if !seen[n.to] {
					seen[n.to] = true
					part = append(part, n.to)
				}
			}
		}
		slices.Sort(part)
		out = append(out, part)
	}
	return out
}

// induced returns the lists of a part with its regions renumbered in order.
func induced(lists [][]neighbour, part []int32) [][]neighbour {
	number := make(map[int32]int32, len(part))
	for k, v := range part {
		number[v] = int32(k)
	}
	out := make([][]neighbour, len(part))
	for k, v := range part {
		for _, n := range lists[v] {
			if to, ok := number[n.to]; ok {
				out[k] = append(out[k], neighbour{to, n.length})
			}
		}
	}
	return out
}

// apart returns the difference of two angles mod π, in [0, π/2].
func apart(a, b float64) float64 {
	d := math.Mod(math.Abs(a-b), math.Pi)
	return math.Min(d, math.Pi-d)
}
