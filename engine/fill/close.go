package fill

import (
	"sheenlay/engine/fill/loops"
	"sheenlay/engine/fill/near"
)

// weaveTries bounds how often the weave is made again without the cells that
// could not be tied cleanly; after that every cell is a comb.
const weaveTries = 8

// weave closes all cells into loops: first with as few spines as can be, and
// those that do not come out clean as combs. Crossings, which are rare, are
// looked for only when asked: the finished bead is checked anyway.
func (w *worker) weave(p *product, m means) ([]loops.Loop, error) {
	banned := make([]bool, len(w.cells))
	for i, c := range w.cells {
		banned[i] = c.small(w.gauges[i])
	}
	first := 0
	if m == combed || m == apart {
		first = weaveTries
	}
	walls := near.New(w.island.Bounds(), 2)
	for _, ring := range w.island {
		for i, a := range ring {
			walls.Add(a, ring[(i+1)%len(ring)])
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
			g = newWeave(w.cells, w.gauges, banned)
			used = g.join(w.stop)
			paths = newSearch(g)
		} else {
			g.settle(paths, used, w.stop)
		}
		if w.stop() {
			return nil, w.ctx.Err()
		}
		b := newBraid(g, used, walls, w.req.WidthMM)
		b.tieAll()
		if len(b.bad) > 0 && try < weaveTries {
			for _, c := range b.bad {
				banned[c] = true
			}
			continue
		}
		made, of := b.loops()
		combs, cells := w.combs(banned)
		made, of = append(made, combs...), append(of, cells...)
		if m == checked && try < weaveTries {
			again := false
			for _, x := range crossings(made) {
				for k, l := range [2]int{x.first, x.second} {
					if c := of[l][x.segment[k]]; !banned[c] {
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

// combs lays the banned cells each as a loop of its own.
func (w *worker) combs(banned []bool) (out []loops.Loop, of [][]int32) {
	for i, c := range w.cells {
		if !banned[i] {
			continue
		}
		if l, _, ok := comb(c, w.gauges[i]); ok {
			cells := make([]int32, l.Segments())
			for k := range cells {
				cells[k] = int32(i)
			}
			out, of = append(out, l), append(of, cells)
		}
	}
	return out, of
}

// count records the figures of the weave, and the cells that hold no bead.
func (w *worker) count(p *product, g *weave, used []bool, banned []bool) {
	for e, s := range g.edges {
		if used[e] && s.side != choice {
			p.stats.SpineMM += g.cells[s.cell].sideLength(int(s.side), s.low, s.top)
			p.stats.Spines++
		}
	}
	for i, c := range w.cells {
		p.stats.Cells++
		if !banned[i] {
			continue
		}
		if _, mm, ok := comb(c, w.gauges[i]); ok {
			p.stats.Spines++
			p.stats.Combs++
			p.stats.SpineMM += mm
		} else {
			p.thinCell(c, w.gauges[i])
		}
	}
}
