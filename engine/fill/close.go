package fill

import (
	"slices"

	"sheenlay/engine/fill/loops"
)

// Where ends cannot be tied, the weave is made again: with the edges to
// such places dearer, avoidTries times at most; up to the try shutTries with bead
// led past them; then without the cells there. After weaveTries every cell is a
// comb. Where cells cross, it begins anew with those cells plain, mostRebuilds
// times at most.
const (
	avoidTries   = 4
	shutTries    = 14
	weaveTries   = 40
	mostRebuilds = 6
)

// weave closes all cells into loops. Where cells are given up to combs, it tries
// again with closer places, and what needs less bead along borders is taken.
func (w *worker) weave(p *product, m means, there []loops.Loop) ([]loops.Loop, error) {
	cells, gauges := w.cells, w.gauges
	best, given, err := w.weaveWithin(placeReach, p, m, there)
	if err != nil || given == 0 || m == combed || m == apart {
		return best, err
	}
	first, firstGauges := w.cells, w.gauges
	w.cells, w.gauges = cells, gauges
	var second product
	made, _, err := w.weaveWithin(closeReach, &second, m, there)
	if err != nil || second.stats.SpineMM >= p.stats.SpineMM {
		w.cells, w.gauges = first, firstGauges
		return best, err
	}
	*p = second
	return made, nil
}

// weaveWithin closes all cells into loops: first with as few spines as can be, and
// those that do not come out clean as combs; given is the number of those. Crossings, which are rare, are
// looked for only when asked: the finished bead is checked anyway. Links keep off
// the beads that lie there already.
func (w *worker) weaveWithin(reach float64, p *product, m means, there []loops.Loop) (made []loops.Loop, given int, err error) {
	banned := make([]bool, len(w.cells))
	gauges := slices.Clone(w.gauges)
	for i, c := range w.cells {
		banned[i] = c.small(w.gauges[i])
	}
	for i := range gauges {
		gauges[i].walls = w.walls
	}
	first := 0
	if m == combed || m == apart {
		first = weaveTries
		for i := range gauges {
			gauges[i].plain = true
		}
	}
	var g *weave
	var used []bool
	var paths *search
	avoided, rebuilt := 0, 0
	for try := first; ; try++ {
		if w.stop() {
			return nil, 0, w.ctx.Err()
		}
		if try == weaveTries {
			for i := range banned {
				banned[i] = true
			}
		}
		if g == nil {
			g, avoided = newWeave(w.cells, gauges, banned, reach), 0
			used = g.join(w.stop)
			paths = newSearch(g)
		} else {
			g.settle(paths, used, w.stop)
		}
		// A pole that no bead reaches leaves its cell a comb.
		for !w.stop() && g.lost(used, banned) {
			g.settle(paths, used, w.stop)
		}
		if w.stop() {
			return nil, 0, w.ctx.Err()
		}
		combs, cells := w.combs(gauges, banned)
		b := newBraid(g, used, slices.Concat(there, combs), w.walls, w.req.WidthMM)
		b.tieAll()
		if len(b.bad)+len(b.stuck) > 0 && try < weaveTries {
			for _, c := range b.bad {
				banned[c] = true
			}
			if len(b.bad) > 0 && try < shutTries && w.unfold(&gauges, &banned) {
				g = nil
				continue
			}
			if len(b.stuck) == 0 {
				continue
			}
			around := false
			for ; avoided < avoidTries && !around; avoided++ {
				g.avoid(b.stuck, used)
				around = g.improve(paths, used, w.stop)
			}
			if around {
				continue
			}
			if try < shutTries && g.shut(b.stuck, used) {
				continue
			}
			for _, c := range b.at {
				banned[c] = true
			}
			if try < shutTries && w.unfold(&gauges, &banned) {
				g = nil
			}
			continue
		}
		made, of := b.loops()
		made, of = append(made, combs...), append(of, cells...)
		if m == checked && try < weaveTries {
			again := false
			for _, x := range crossings(made) {
				for k, l := range [2]int{x.first, x.second} {
					switch c := of[l][x.segment[k]]; {
					case !gauges[c].plain:
						gauges[c].plain, again, g = true, true, nil
					case !banned[c]:
						banned[c], again = true, true
					}
				}
			}
			if again {
				if rebuilt++; g == nil && rebuilt <= mostRebuilds {
					try = -1
				}
				continue
			}
		}
		w.count(p, g, used, banned)
		for i, c := range w.cells {
			if banned[i] && !c.small(w.gauges[i]) {
				given++
			}
		}
		return made, given, nil
	}
}

// unfold takes banned cells apart whose rows go on into others, and reports
// whether there are any: each of their parts may do alone.
func (w *worker) unfold(gauges *[]gauge, banned *[]bool) bool {
	found := false
	for i, c := range w.cells {
		found = found || (*banned)[i] && len(c.folds) > 0
	}
	if !found {
		return false
	}
	var cells []*cell
	var own, with []gauge
	var out []bool
	for i, c := range w.cells {
		parts, ban := []*cell{c}, (*banned)[i]
		if ban && len(c.folds) > 0 {
			parts, ban = c.alone(), false
		}
		for _, d := range parts {
			cells, own = append(cells, d), append(own, w.gauges[i])
			with, out = append(with, (*gauges)[i]), append(out, ban)
		}
	}
	w.cells, w.gauges, *gauges, *banned = cells, own, with, out
	return true
}

// combs lays the banned cells each as a loop of its own.
func (w *worker) combs(gauges []gauge, banned []bool) (out []loops.Loop, of [][]int32) {
	for i, c := range w.cells {
		if !banned[i] {
			continue
		}
		for _, part := range c.alone() {
			if l, _, ok := comb(part, gauges[i]); ok {
				cells := make([]int32, l.Segments())
				for k := range cells {
					cells[k] = int32(i)
				}
				out, of = append(out, l), append(of, cells)
			}
		}
	}
	return out, of
}

// count records the figures of the weave, and the cells that hold no bead.
func (w *worker) count(p *product, g *weave, used []bool, banned []bool) {
	for e, s := range g.edges {
		if used[e] && s.side != choice {
			p.stats.SpineMM += g.cells[s.cell].part(int(s.side)).sideLength(int(s.side), s.low, s.top)
			p.stats.Spines++
		}
	}
	for i, c := range w.cells {
		p.stats.Cells += 1 + len(c.folds)
		if !banned[i] {
			continue
		}
		for _, part := range c.alone() {
			if _, mm, ok := comb(part, w.gauges[i]); ok {
				p.stats.Spines++
				p.stats.Combs++
				p.stats.SpineMM += mm
			} else {
				p.thinCell(part, w.gauges[i])
			}
		}
	}
}
