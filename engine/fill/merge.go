package fill

import (
	"cmp"
	"math"
	"slices"

	"sheenlay/engine/finding"
	"sheenlay/engine/overlay"
	"sheenlay/engine/plane"
	"sheenlay/engine/scan"
	"sheenlay/engine/tol"
)

// sliver is an area without room for a cell, or an area next to one.
type sliver struct {
	area   int // index into the areas
	region plane.Region
	mm2    float64
	border float64
	thin   bool
	beside map[int]float64 // other areas along the border, with the length
}

// mergeThin gives areas without room for two beads to the neighbour with which
// they share the longest border, until what comes out has room. It returns the
// areas changed; of the others nothing is touched. empty tells for each area
// that it has no cell of its own.
func (w *worker) mergeThin(areas []Area, empty []bool) (out []Area, changed []bool) {
	changed = make([]bool, len(areas))
	var thin []int
	parts := map[int]*sliver{}
	part := func(i int) *sliver {
		if parts[i] == nil {
			g := visible(areas[i])
			parts[i] = &sliver{area: i, region: g, mm2: g.Area(), border: g.Length(), thin: empty[i]}
		}
		return parts[i]
	}
	for i := range areas {
		if empty[i] && !w.stop() && part(i).mm2 > tol.FillSilentMM2 {
			thin = append(thin, i)
		}
	}
	if len(thin) == 0 || w.stop() {
		return areas, changed
	}
	find := locator(areas)
	for _, i := range thin {
		if w.stop() {
			return areas, changed
		}
		parts[i].beside = beside(parts[i].region, i, find)
	}
	groups := w.groupThin(thin, part)
	out = slices.Clone(areas)
	for _, members := range groups {
		if w.stop() {
			return areas, changed
		}
		host := members[0]
		regions := make([]plane.Region, len(members))
		for k, i := range members {
			p := part(i)
			regions[k] = p.region
			if h := part(host); (h.thin && !p.thin) || (h.thin == p.thin && p.mm2 > h.mm2) {
				host = i
			}
		}
		a := areas[host]
		a.Covers = []scan.Cover{{Region: overlay.Union(regions...), Clearance: a.Spacing/2 - tol.FillNearerMM}}
		a.Covers = append(a.Covers, scan.Cover{Region: w.island, Clearance: a.Width/2 - w.overhang()})
		for _, i := range members {
			changed[i] = true
			out[i].Covers = nil
		}
		out[host] = a
	}
	return out, changed
}

// visible returns the part of the plane that an area's covers leave.
func visible(a Area) plane.Region {
	var g plane.Region
	var above []plane.Region
	first := true
	for _, c := range a.Covers {
		switch {
		case c.Outside:
			above = append(above, c.Region)
		case first:
			g, first = c.Region, false
		default:
			g = overlay.Intersect(g, c.Region)
		}
	}
	if len(above) > 0 {
		g = overlay.Subtract(g, overlay.Union(above...))
	} else {
		g = overlay.Union(g)
	}
	return g
}

// locator returns a function that names the area a place lies in, −1 for none.
func locator(areas []Area) func(p plane.Point) int {
	const pitch = 4.0
	boxes := make([]plane.Box, len(areas))
	cells := map[[2]int][]int{}
	var wide []int
	for i, a := range areas {
		if len(a.Covers) == 0 {
			continue
		}
		b := a.Covers[0].Region.Bounds()
		boxes[i] = b
		x0, y0 := math.Floor(b.Min.X/pitch), math.Floor(b.Min.Y/pitch)
		x1, y1 := math.Floor(b.Max.X/pitch), math.Floor(b.Max.Y/pitch)
		if !((x1-x0+1)*(y1-y0+1) < 400) {
			wide = append(wide, i)
			continue
		}
		for y := y0; y <= y1; y++ {
			for x := x0; x <= x1; x++ {
				k := [2]int{int(x), int(y)}
				cells[k] = append(cells[k], i)
			}
		}
	}
	in := func(i int, p plane.Point) bool {
		if !boxes[i].Contains(p) {
			return false
		}
		for _, c := range areas[i].Covers {
			if c.Region.Contains(p) == c.Outside {
				return false
			}
		}
		return true
	}
	return func(p plane.Point) int {
		for _, list := range [2][]int{cells[[2]int{int(math.Floor(p.X / pitch)), int(math.Floor(p.Y / pitch))}], wide} {
			for _, i := range list {
				if in(i, p) {
					return i
				}
			}
		}
		return -1
	}
}

// beside samples the border of a region and returns the lengths along which
// other areas lie on the far side.
func beside(g plane.Region, self int, find func(plane.Point) int) map[int]float64 {
	out := map[int]float64{}
	for _, ring := range g {
		total := ring.Length()
		step := max(total/200, min(total/8, 1))
		at := step / 2 // of the next sample, from the start of the edge
		for k, a := range ring {
			b := ring[(k+1)%len(ring)]
			d := b.Sub(a)
			length := d.Norm()
			for ; at < length; at += step {
				p := a.Add(d.Mul(at / length)).Add(d.Mul(-tol.FillBesideMM / length).Left())
				if i := find(p); i >= 0 && i != self {
					out[i] += step
				}
			}
			at -= length
		}
	}
	return out
}

// groupThin joins thin areas, smallest first, with the neighbour of the
// longest shared border, until each group has room or no neighbour is left.
// Every group lists its areas in ascending order and has at least two.
func (w *worker) groupThin(thin []int, part func(int) *sliver) [][]int {
	type group struct {
		members     []int
		mm2, border float64
		thin        bool
		beside      map[int]float64
	}
	of := map[int]*group{}
	at := func(i int) *group {
		if of[i] == nil {
			p := part(i)
			of[i] = &group{members: []int{i}, mm2: p.mm2, border: p.border, thin: p.thin, beside: p.beside}
		}
		return of[i]
	}
	order := slices.Clone(thin)
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(part(a).mm2, part(b).mm2) })
	for _, i := range order {
		for range len(thin) {
			g := at(i)
			// 2·area over border is the thickness of a long strip.
			if !g.thin || 2*g.mm2 > tol.FillRoomLines*w.req.SpacingMM*g.border || w.stop() {
				break
			}
			best, longest := -1, 0.0
			shared := map[*group]float64{}
			keys := make([]int, 0, len(g.beside))
			for k := range g.beside {
				keys = append(keys, k)
			}
			slices.Sort(keys)
			for _, k := range keys {
				h := at(k)
				if h == g {
					continue
				}
				if shared[h] += g.beside[k]; shared[h] > longest {
					best, longest = k, shared[h]
				}
			}
			if best < 0 {
				break
			}
			h := at(best)
			border := g.border + h.border - 2*longest
			if len(h.members)+len(h.beside) > len(g.members)+len(g.beside) {
				g, h = h, g // the smaller goes into the larger
			}
			g.mm2, g.border, g.thin = g.mm2+h.mm2, border, g.thin && h.thin
			if g.beside == nil {
				g.beside = map[int]float64{}
			}
			for k, v := range h.beside {
				g.beside[k] += v
			}
			g.members = append(g.members, h.members...)
			for _, m := range h.members {
				of[m] = g
			}
		}
	}
	seen := map[*group]bool{}
	var out [][]int
	for _, i := range thin {
		if g := at(i); !seen[g] && len(g.members) > 1 {
			seen[g] = true
			slices.Sort(g.members)
			out = append(out, g.members)
		}
	}
	return out
}

// noteThin reports areas that stay bare because nothing fits in them.
func (w *worker) noteThin(a Area) {
	g := visible(a)
	mm2 := g.Area()
	w.res.Stats.LeftOutMM2 += mm2
	if mm2 <= tol.FillSilentMM2 || len(g) == 0 {
		return
	}
	at := g.Bounds().Centre()
	w.res.Findings.Add(finding.Finding{
		Code: "fill-thin-zone", Level: finding.Note,
		Text:   "A zone is thinner than two lines and has no neighbour to join, so it stays bare.",
		Remedy: "Use larger shapes or thinner lines.",
		Place:  &finding.Place{At: &[2]float64{at.X, at.Y}}, Value: mm2, Unit: "mm²",
	})
}
