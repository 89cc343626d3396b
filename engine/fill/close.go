package fill

import (
	"slices"

	"sheenlay/engine/fill/loops"
	"sheenlay/engine/fill/near"
	"sheenlay/engine/plane"
)

// weaveTries bounds how often the weave is made again without the cells that
// could not be tied cleanly; after that every cell is a comb.
const weaveTries = 8

// quietTries bounds how often it is made again with rows that end square
// round the places where ends could not be tied; after that cells are left out.
const quietTries = 4

// weave closes all cells into loops: first with as few spines as can be, and
// those that do not come out clean as combs. Crossings, which are rare, are
// looked for only when asked: the finished bead is checked anyway.
func (w *worker) weave(p *product, m means) ([]loops.Loop, error) {
	banned := make([]bool, len(w.cells))
	gauges := slices.Clone(w.gauges)
	for i, c := range w.cells {
		banned[i] = c.small(w.gauges[i])
	}
	walls := near.New(w.island.Bounds(), 2)
	for _, ring := range w.island {
		for i, a := range ring {
			walls.Add(a, ring[(i+1)%len(ring)])
		}
	}
	for i := range gauges {
		gauges[i].walls = walls
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
		if w.stop() {
			return nil, w.ctx.Err()
		}
		b := newBraid(g, used, walls, w.req.WidthMM)
		b.tieAll()
		if len(b.bad) > 0 && try < weaveTries {
			if try < quietTries {
				hushed, again := hush(gauges, b.stuck)
				if again {
					g = nil
				}
				if hushed {
					continue
				}
			}
			for _, c := range b.bad {
				banned[c] = true
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
// where that was not enough, takes the leads beyond first and last rows away
// too, so that the graph must be made again. hushed is false where neither is
// left to be done.
func hush(gauges []gauge, stuck []plane.Point) (hushed, again bool) {
	quiet, bare := gauges[0].quiet, gauges[0].bare
	for _, p := range stuck {
		switch {
		case !slices.Contains(quiet, p):
			quiet, hushed = append(quiet, p), true
		case !slices.Contains(bare, p):
			bare, hushed, again = append(bare, p), true, true
		}
	}
	for i := range gauges {
		gauges[i].quiet, gauges[i].bare = quiet, bare
	}
	return hushed, again
}

// combs lays the banned cells each as a loop of its own.
func (w *worker) combs(gauges []gauge, banned []bool) (out []loops.Loop, of [][]int32) {
	for i, c := range w.cells {
		if !banned[i] {
			continue
		}
		if l, _, ok := comb(c, gauges[i]); ok {
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
