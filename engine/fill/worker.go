package fill

import (
	"context"
	"fmt"

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
	var all []loops.Loop
	for i, a := range areas {
		made, err := w.area(a)
		if err != nil {
			return nil, err
		}
		all = append(all, made...)
		w.progress(0.1 + 0.5*float64(i+1)/float64(len(areas)))
	}
	woven, err := w.weave()
	if err != nil {
		return nil, err
	}
	all = w.withoutCrossings(append(all, woven...))
	if len(all) == 0 {
		return w.small(areas), w.ctx.Err()
	}
	joined, err := loops.Join(w.ctx, all, loops.Options{Width: w.req.WidthMM, Wall: w.island})
	if err != nil {
		return nil, err
	}
	w.res.Stats.Bridges += joined.Bridges
	w.res.Stats.LinkMM += joined.LinkLength
	w.progress(0.9)
	var out []strand.Strand
	for i, l := range joined.Loops {
		s := w.strandOf(l, start)
		if i > 0 {
			at := l.Points[0]
			w.res.Findings.Add(finding.Finding{
				Code: "fill-separate-stroke", Level: finding.Caution,
				Text:   fmt.Sprintf("A part of %.1f mm of bead cannot be reached side by side with the rest, so it is a separate stroke.", l.Length()),
				Remedy: "A neck must be at least two lines wide to be passed without lifting.",
				Place:  &finding.Place{At: &[2]float64{at.X, at.Y}}, Value: l.Length(), Unit: "mm",
			})
		}
		out = append(out, s)
		end := s.Points[len(s.Points)-1]
		start = &end
	}
	return out, w.ctx.Err()
}

// areas lists the zones on the island with the covers that bound them.
func (w *worker) areas() ([]Area, error) {
	zones := w.req.Pattern.Zones
	if len(w.req.Pattern.Curves) > 0 {
		a := w.newArea(strand.Ground, w.req.Pattern.Ground, pattern.Zone{Spacing: w.req.SpacingMM})
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
			a.Covers = append(a.Covers, scan.Cover{Region: w.island, Clearance: a.Width/2 - w.overhang()})
		}
		for _, o := range s.above[i] {
			a.Covers = append(a.Covers, scan.Cover{Region: clipFar(zones[o].Region, box), Outside: true, Clearance: a.Spacing/2 - tol.FillNearerMM})
		}
		out = append(out, a)
	}
	if s.ground {
		a := w.newArea(strand.Ground, w.req.Pattern.Ground, pattern.Zone{Spacing: w.req.SpacingMM})
		a.Covers = append(a.Covers, scan.Cover{Region: w.island, Clearance: a.Width/2 - w.overhang()})
		for _, z := range s.touched {
			a.Covers = append(a.Covers, scan.Cover{Region: clipFar(zones[z].Region, box), Outside: true, Clearance: a.Spacing/2 - tol.FillNearerMM})
		}
		out = append(out, a)
	}
	return out, nil
}

// overhang is how far beads may reach over the island's border: what
// tol.FillSpillShare of its area makes, spread over the border.
func (w *worker) overhang() float64 {
	return max(0, min(tol.FillOverhangMM, tol.FillSpillShare*w.island.Area()/w.island.Length()))
}

func (w *worker) newArea(index int32, lay pattern.Lay, z pattern.Zone) Area {
	return Area{
		Zone: index, Lay: lay, Phase: z.Phase, Spacing: z.Spacing,
		Width: min(max(w.req.WidthMM*z.Spacing/w.req.SpacingMM, w.req.MinWidthMM), w.req.MaxWidthMM),
		Min:   w.req.MinWidthMM, Max: w.req.MaxWidthMM,
	}
}

// area cuts one zone into cells, or has it laid by the Threader.
func (w *worker) area(a Area) ([]loops.Loop, error) {
	if a.Lay.Field != nil || len(w.req.Pattern.Curves) > 0 {
		return w.thread(a)
	}
	g := gauge{width: a.Width, spacing: a.Spacing, min: a.Min, max: a.Max}
	cut := scan.NewCutter(scan.NewFrame(a.Lay.Angle), a.Covers...)
	cells, dropped := trace(cut, int(a.Zone), a.Spacing, w.stop)
	if w.stop() {
		return nil, w.ctx.Err()
	}
	w.res.Stats.LeftOutMM2 += dropped
	for _, c := range cells {
		w.cells = append(w.cells, c)
		w.gauges = append(w.gauges, g)
	}
	return nil, nil
}

// leftOut reports a cell that is too thin to be laid.
func (w *worker) leftOut(c *cell) {
	area := c.area() + c.height()*w.req.WidthMM/2
	w.res.Stats.LeftOutMM2 += area
	if area < 0.05 {
		return
	}
	at := c.centre()
	w.res.Findings.Add(finding.Finding{
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
