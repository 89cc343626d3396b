package fill

import (
	"context"
	"fmt"
	"slices"

	"sheenlay/engine/fill/loops"
	"sheenlay/engine/fill/near"
	"sheenlay/engine/finding"
	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
	"sheenlay/engine/scan"
	"sheenlay/engine/strand"
	"sheenlay/engine/tol"
)

// worker lays one island.
type worker struct {
	req      Request
	island   plane.Region
	index    int
	res      *Result
	ctx      context.Context
	progress func(share float64)

	cells  []*cell // of all zones with a fixed angle
	gauges []gauge // of each cell
	walls  *near.Grid
}

func (w *worker) stop() bool { return w.ctx.Err() != nil }

// lay returns the strands of the island in the order of laying.
func (w *worker) lay(start *plane.Point) ([]strand.Strand, error) {
	areas, err := w.areas()
	if err != nil {
		return nil, err
	}
	w.progress(0.1)
	if w.req.Coarse {
		return w.coarse(areas), w.ctx.Err()
	}
	var threaded []loops.Loop
	cells := make([][]*cell, len(areas))
	empty := make([]bool, len(areas))
	for i, a := range areas {
		if w.threaded(a) {
			made, err := w.thread(a)
			if err != nil {
				return nil, err
			}
			threaded = append(threaded, made...)
		} else {
			cells[i] = w.trace(a)
			empty[i] = !slices.ContainsFunc(cells[i], func(c *cell) bool { return !c.thin })
		}
		w.progress(0.1 + 0.3*float64(i+1)/float64(len(areas)))
	}
	areas, changed := w.mergeThin(areas, empty)
	for i, a := range areas {
		if changed[i] {
			cells[i] = nil
			if len(a.Covers) > 0 {
				cells[i] = w.trace(a)
			}
		} else if empty[i] && len(cells[i]) == 0 && !w.stop() {
			w.noteThin(a)
		}
		for _, c := range cells[i] {
			w.cells = append(w.cells, c)
			w.gauges = append(w.gauges, a.gauge())
		}
	}
	w.walls = near.New(w.island.Bounds(), 2)
	for _, ring := range w.island {
		for i, a := range ring {
			w.walls.Add(a, ring[(i+1)%len(ring)])
		}
	}
	w.cells, w.gauges = fold(w.cells, w.gauges, w.walls, w.req.WidthMM/2-w.overhang()-tol.Coincident, w.stop)
	if w.stop() {
		return nil, w.ctx.Err()
	}
	var kept product
	threaded = kept.withoutCrossings(threaded)
	w.res.Stats.add(kept.stats)
	w.res.Findings = append(w.res.Findings, kept.findings...)
	// What comes out is checked as a whole; should it ever not be clean, it is
	// built again by plainer means.
	for _, m := range [4]means{woven, checked, combed, apart} {
		out, err := w.build(threaded, m, start)
		if err != nil {
			return nil, err
		}
		if len(out.strands) == 0 && len(w.cells)+len(threaded) == 0 || len(out.strands) == 0 && m == apart {
			return w.small(areas), w.ctx.Err()
		}
		if len(out.strands) > 0 && Crossings(out.strands) == 0 {
			w.res.Findings = append(w.res.Findings, out.findings...)
			w.res.Stats.add(out.stats)
			w.noteBare(out.strands)
			return out.strands, w.ctx.Err()
		}
	}
	return nil, finding.Finding{
		Code: "fill-not-clean", Level: finding.Stop,
		Text:   "No bead without crossings was found for this pattern on this face.",
		Remedy: "Move or turn the pattern a little.",
	}
}

// means says how cells are closed into loops.
type means int

const (
	woven   means = iota // as few spines as can be
	checked              // the same, without the cells that cross
	combed               // every cell a comb, joined
	apart                // every cell a comb and a stroke of its own
)

// product is what one way of building an island gives.
type product struct {
	strands  []strand.Strand
	findings finding.List
	stats    Stats
}

// build closes and joins the cells and the threaded loops.
func (w *worker) build(threaded []loops.Loop, m means, start *plane.Point) (product, error) {
	var p product
	made, err := w.weave(&p, m, threaded)
	if err != nil {
		return p, err
	}
	w.progress(0.7)
	all := append(append([]loops.Loop(nil), threaded...), made...)
	if m != woven {
		all = p.withoutCrossings(all)
	}
	joined := loops.Result{Loops: all}
	if m != apart {
		joined, err = loops.Join(w.ctx, all, loops.Options{Width: w.req.WidthMM, Wall: w.island})
		if err != nil {
			return p, err
		}
	}
	p.stats.Bridges, p.stats.LinkMM = joined.Bridges, joined.LinkLength
	w.progress(0.9)
	for i, l := range joined.Loops {
		if l.Segments() == 0 {
			continue
		}
		if i > 0 && l.Length() < tol.FillCrumbLines*w.req.WidthMM {
			p.leftOut(l)
			continue
		}
		s := w.strandOf(l, start)
		if i > 0 {
			at := l.Points[0]
			p.findings.Add(finding.Finding{
				Code: "fill-separate-stroke", Level: finding.Caution,
				Text:   fmt.Sprintf("A part of %.1f mm of bead cannot be reached side by side with the rest, so it is a separate stroke.", l.Length()),
				Remedy: "A neck must be at least two lines wide to be passed without lifting.",
				Place:  &finding.Place{At: &[2]float64{at.X, at.Y}}, Value: l.Length(), Unit: "mm",
			})
		}
		p.strands = append(p.strands, s)
		end := s.Points[len(s.Points)-1]
		start = &end
	}
	p.strands = withoutShort(p.strands)
	return p, w.ctx.Err()
}

// areas lists the zones on the island with the covers that bound them.
func (w *worker) areas() ([]Area, error) {
	zones := w.req.Pattern.Zones
	if len(w.req.Pattern.Curves) > 0 {
		a := w.ground()
		a.Covers = []scan.Cover{{Region: w.island, Clearance: a.Width/2 - w.overhang()}}
		return []Area{a}, nil
	}
	s, err := look(w.ctx, w.island, zones, w.req.SpacingMM, w.req.WidthMM)
	if err != nil {
		return nil, err
	}
	var out []Area
	box := w.island.Bounds()
	for i, z := range s.touched {
		zone := zones[z]
		a := w.newArea(z, zone.Lay, zone)
		a.Covers = append(a.Covers, scan.Cover{Region: clipFar(zone.Region, box), Clearance: a.Spacing/2 - tol.FillNearerMM})
		if !s.inside[i] {
			a.Covers = append(a.Covers, scan.Cover{Region: w.islandAt(zone.Region.Bounds().Grow(a.Width)), Clearance: a.Width/2 - w.overhang()})
		}
		for _, o := range s.above[i] {
			a.Covers = append(a.Covers, scan.Cover{Region: clipFar(zones[o].Region, box), Outside: true, Clearance: a.Spacing/2 - tol.FillNearerMM})
		}
		out = append(out, a)
	}
	if s.ground {
		a := w.ground()
		a.Covers = append(a.Covers, scan.Cover{Region: w.island, Clearance: a.Width/2 - w.overhang()})
		for _, z := range s.touched {
			a.Covers = append(a.Covers, scan.Cover{Region: clipFar(zones[z].Region, box), Outside: true, Clearance: a.Spacing/2 - tol.FillNearerMM})
		}
		out = append(out, a)
	}
	return out, nil
}

// islandAt returns the island without the holes that lie outside a box: what is
// looked at in a zone need not know of the holes elsewhere.
func (w *worker) islandAt(box plane.Box) plane.Region {
	out := make(plane.Region, 0, len(w.island))
	for _, ring := range w.island {
		if ring.Area() > 0 || ring.Bounds().Intersects(box) {
			out = append(out, ring)
		}
	}
	return out
}

// overhang is how far beads may reach over the island's border: what
// tol.FillSpillShare of its area makes, spread over the border.
func (w *worker) overhang() float64 {
	return max(0, min(tol.FillOverhangMM, tol.FillSpillShare*w.island.Area()/w.island.Length()))
}

// ground is the area of whatever no zone covers.
func (w *worker) ground() Area {
	p := &w.req.Pattern
	return w.newArea(strand.Ground, p.Ground, pattern.Zone{Spacing: w.req.SpacingMM, Phase: p.GroundPhase})
}

func (w *worker) newArea(index int32, lay pattern.Lay, z pattern.Zone) Area {
	return Area{
		Zone: index, Lay: lay, Phase: z.Phase, Spacing: z.Spacing,
		Width: min(max(w.req.WidthMM*z.Spacing/w.req.SpacingMM, w.req.MinWidthMM), w.req.MaxWidthMM),
		Min:   w.req.MinWidthMM, Max: w.req.MaxWidthMM,
	}
}

// threaded reports whether an area is laid by the Threader.
func (w *worker) threaded(a Area) bool {
	return a.Lay.Field != nil || len(w.req.Pattern.Curves) > 0
}

func (a Area) gauge() gauge {
	return gauge{width: a.Width, spacing: a.Spacing, min: a.Min, max: a.Max, phase: a.Phase}
}

// trace cuts an area with a fixed angle into cells.
func (w *worker) trace(a Area) []*cell {
	cut := scan.NewCutter(scan.NewFrame(a.Lay.Angle), a.Covers...)
	return trace(cut, int(a.Zone), a.Spacing, w.stop)
}

// thinCell reports a cell that is too thin to be laid.
func (p *product) thinCell(c *cell, g gauge) {
	area := c.area() + c.height()*g.width/2
	p.stats.LeftOutMM2 += area
	if area < 0.05 {
		return
	}
	at := c.centre()
	p.findings.Add(finding.Finding{
		Code: "fill-thin-cell", Level: finding.Note,
		Text:   "A part of a zone is too thin for two lines and stays bare.",
		Remedy: "Use larger shapes or thinner lines.",
		Place:  &finding.Place{At: &[2]float64{at.X, at.Y}}, Value: area, Unit: "mm²",
	})
}

// thread lays a field or curves by the Threader of the request.
func (w *worker) thread(a Area) ([]loops.Loop, error) {
	if w.req.Threader == nil {
		w.res.Findings.Add(finding.Finding{
			Code: "fill-no-threader", Level: finding.Stop,
			Text:   "The pattern follows a field or curves, and this build cannot lay those.",
			Remedy: "Choose a pattern with straight lines.",
		})
		return nil, nil
	}
	var made []loops.Loop
	var found finding.List
	var err error
	if len(w.req.Pattern.Curves) > 0 {
		made, found, err = w.req.Threader.Curves(w.ctx, w.island, w.req.Pattern.Curves, a)
	} else {
		made, found, err = w.req.Threader.Zone(w.ctx, a)
	}
	w.res.Findings = append(w.res.Findings, found...)
	return made, err
}

// clearOfBorder reports for each touched zone whether the whole zone, widened
// by room, keeps clear of the island's border, so that the face need not be
// looked at again.
func clearOfBorder(island plane.Region, zones []pattern.Zone, touched []int32, room float64) []bool {
	grid := near.New(island.Bounds(), 2)
	for _, ring := range island {
		for i, a := range ring {
			grid.Add(a, ring[(i+1)%len(ring)])
		}
	}
	out := make([]bool, len(touched))
	for i, z := range touched {
		box := zones[z].Region.Bounds().Grow(room)
		clear := island.Bounds().Contains(box.Min) && island.Bounds().Contains(box.Max)
		if clear {
			middle := box.Centre().Y
			grid.Near(plane.Point{X: box.Min.X, Y: middle}, plane.Point{X: box.Max.X, Y: middle},
				box.Size().Y/2, func(id int) bool {
					s := grid.Segment(id)
					clear = !plane.EmptyBox().Include(s.A).Include(s.B).Intersects(box)
					return clear
				})
		}
		// A touched zone without face border in its box lies on the island:
		// the box is all in or all out, and touching means some of it is in.
		out[i] = clear
	}
	return out
}
