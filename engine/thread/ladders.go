package thread

import (
	"slices"

	"sheenlay/engine/overlay"
	"sheenlay/engine/plane"
	"sheenlay/engine/raster"
	"sheenlay/engine/tol"
)

// layLevels lays the level lines of a part of the inset. A part so small that its
// ends weigh is laid with its least level on a line and at a point, and what
// covers better is kept.
func (w *work) layLevels(part plane.Region) (*work, error) {
	g, err := newGrid(w.ctx, w.area.Lay.Field, part, w.area.Spacing/tol.ThreadNodesPerLine)
	if err != nil {
		return nil, err
	}
	line := g.ladder(part, w.area.Spacing, w.area.Phase, false)
	best, err := w.layLadder(part, g, line)
	if err != nil || part.Area() > tol.ThreadTrialMM2 {
		return best, err
	}
	point := g.ladder(part, w.area.Spacing, w.area.Phase, true)
	if point == line {
		return best, nil
	}
	other, err := w.layLadder(part, g, point)
	if err == nil && other.fault(part) < best.fault(part) {
		best = other
	}
	return best, err
}

// layLadder lays the lines of one ladder as a work of its own.
func (w *work) layLadder(part plane.Region, g *grid, l ladder) (*work, error) {
	made := &work{ctx: w.ctx, area: w.area}
	lines, err := made.levelLines(g, l, part)
	if err != nil {
		return nil, err
	}
	made.lay(part, lines)
	return made, w.ctx.Err()
}

// fault returns the area of a part's zone that beads leave bare, and half of
// what they lay twice, mm².
func (w *work) fault(part plane.Region) float64 {
	zone := overlay.Offset(part, w.area.Width/2, overlay.Mitre(2), 0)
	c := raster.NewCounts(raster.NewGrid(zone.Bounds(), tol.ThreadTrialPixel*w.area.Width, 0.3))
	for _, l := range w.out {
		points, width := l.Points, l.Width
		if !l.Open {
			points = append(slices.Clip(points), points[0])
		}
		c.AddPath(points, width)
	}
	mask, seen := raster.NewMask(c.Grid, zone), c.Bitmap()
	bare, double := 0, 0
	for j := range seen.Rows {
		row := seen.Row(j)
		for _, s := range mask.Spans(j) {
			for _, v := range row[s.From:s.To] {
				switch n := v & raster.Layers; {
				case n == 0:
					bare++
				case n > 1:
					double++
				}
			}
		}
	}
	return (float64(bare) + tol.ThreadOverlapCost*float64(double)) * c.PixelArea()
}
