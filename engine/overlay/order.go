package overlay

import "slices"

// This file contains the sorting. Keys hold two whole coordinates, so they are
// sorted digit by digit from the lowest, in time linear in their number.

const (
	digitBits = 11
	digits    = 1 << digitBits
	// fewKeys is the number of keys below which comparing them is faster.
	fewKeys = 400
)

// keyed is an item with the key it is sorted by.
type keyed struct {
	key  uint64
	item int32
}

// sortKeys sorts keys; the result may use other memory than the argument.
func sortKeys(keys []uint64) []uint64 {
	if len(keys) < fewKeys {
		slices.Sort(keys)
		return keys
	}
	same := keys[0]
	differ := uint64(0)
	for _, k := range keys {
		differ |= k ^ same
	}
	spare := make([]uint64, len(keys))
	for shift := 0; shift < 64; shift += digitBits {
		if differ>>shift&(digits-1) == 0 {
			continue
		}
		var place [digits]int32
		for _, k := range keys {
			place[k>>shift&(digits-1)]++
		}
		firsts(&place)
		for _, k := range keys {
			at := &place[k>>shift&(digits-1)]
			spare[*at] = k
			*at++
		}
		keys, spare = spare, keys
	}
	return keys
}

// sortKeyed sorts items by key, leaving equal ones in order; the result may use
// other memory than the argument.
func sortKeyed(items []keyed) []keyed {
	differ := uint64(0)
	for _, k := range items {
		differ |= k.key ^ items[0].key
	}
	spare := make([]keyed, len(items))
	for shift := 0; shift < 64; shift += digitBits {
		if differ>>shift&(digits-1) == 0 {
			continue
		}
		var place [digits]int32
		for i := range items {
			place[items[i].key>>shift&(digits-1)]++
		}
		firsts(&place)
		for i := range items {
			at := &place[items[i].key>>shift&(digits-1)]
			spare[*at] = items[i]
			*at++
		}
		items, spare = spare, items
	}
	return items
}

// firsts turns the number of keys of each digit into where the first of them goes.
func firsts(place *[digits]int32) {
	sum := int32(0)
	for d, n := range place {
		place[d] = sum
		sum += n
	}
}

// vertices returns the keys of all ends of edges, which are sorted by start, and
// those of more, sorted and each once.
func vertices(edges []edge, more []uint64) []uint64 {
	ends := slices.Grow(more, len(edges))
	for i := range edges {
		ends = append(ends, edges[i].b.key())
	}
	ends = sortKeys(ends)
	out := make([]uint64, 0, len(ends)+len(edges)/4)
	next := 0
	add := func(k uint64) {
		if len(out) == 0 || out[len(out)-1] != k {
			out = append(out, k)
		}
	}
	for i := range edges {
		k := edges[i].a.key()
		for ; next < len(ends) && ends[next] < k; next++ {
			add(ends[next])
		}
		add(k)
	}
	for _, k := range ends[next:] {
		add(k)
	}
	return out
}

// sortEdges sorts edges by start, then end; the result may use other memory than
// the argument.
func sortEdges(edges []edge) []edge {
	if len(edges) < fewKeys {
		slices.SortFunc(edges, compareEdges)
		return edges
	}
	order := make([]keyed, len(edges))
	for i := range edges {
		order[i] = keyed{edges[i].a.key(), int32(i)}
	}
	order = sortKeyed(order)
	out := make([]edge, len(edges))
	for i, k := range order {
		out[i] = edges[k.item]
	}
	for i := 0; i < len(out); {
		j := i + 1
		for j < len(out) && order[j].key == order[i].key {
			j++
		}
		if j-i > 1 {
			slices.SortFunc(out[i:j], compareEdges)
		}
		i = j
	}
	return out
}

func compareEdges(e, f edge) int {
	if c := compareKeys(e.a, f.a); c != 0 {
		return c
	}
	return compareKeys(e.b, f.b)
}
