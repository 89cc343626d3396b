package fill

import (
	"slices"

	"sheenlay/engine/fill/loops"
	"sheenlay/engine/plane"
)

// Where ends cannot be tied, the weave is made again: in the first quietTries
// tries with rows that end square round such places, up to the try shutTries
// with bead led past them, then without the cells there. After weaveTries every
// cell is a comb.
const (
	quietTries = 4
	shutTries  = 14
	weaveTries = 20
)

// weave closes all cells into loops: first with as few spines as can be, and
// those that do not come out clean as combs. Crossings, which are rare, are
// looked for only when asked: the finished bead is checked anyway.
func (w *worker) weave(p *product, m means) ([]loops.Loop, error) {
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
	for try := first; ; try++ {
		if w.stop() {
			return nil, w.ctx.Err()
		}
		if try == weaveTries {
			for i := range banned {
				banned[i] = true
			}
		}
		if g == nil {
			g = newWeave(w.cells, gauges, banned)
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
			return nil, w.ctx.Err()
		}
		b := newBraid(g, used, w.walls, w.req.WidthMM)
		b.tieAll()
		if len(b.bad)+len(b.stuck) > 0 && try < weaveTries {
			for _, c := range b.bad {
				banned[c] = true
			}
			if len(b.bad) > 0 && try < shutTries && w.unfold(&gauges, &banned) {
				g = nil
				continue
			}
			if len(b.stuck) == 0 || try < quietTries && hush(gauges, g.placesOf(b.stuck)) {
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
		combs, cells := w.combs(gauges, banned)
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
				continue
			}
		}
		w.count(p, g, used, banned)
		return made, nil
	}
}

// hush makes rows end square round places where ends could not be tied, and
// reports whether some did not yet.
func hush(gauges []gauge, stuck []plane.Point) bool {
	quiet, hushed := gauges[0].quiet, false
	for _, p := range stuck {
		if !slices.Contains(quiet, p) {
			quiet, hushed = append(quiet, p), true
		}
	}
	for i := range gauges {
		gauges[i].quiet = quiet
	}
	return hushed
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
