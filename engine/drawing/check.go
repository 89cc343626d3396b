package drawing

import (
	"fmt"
	"math"
	"sort"

	"sheenlay/engine/finding"
	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// Spacing is what was measured between neighbouring lines.
type Spacing struct {
	MedianMM  float64 // 0 when no two lines are neighbours
	Samples   int     // places at which a neighbour was found
	Tight     float64 // share of them nearer than tol.SpacingTightShare line widths
	Wide      float64 // share of them farther than tol.SpacingWideShare line widths
	TightAt   plane.Point
	NearestMM float64 // smallest distance found
}

// spacingReach is how far, in line widths, a neighbour is looked for. Two
// beads and the bare plate between them; beyond it lines belong to different
// parts of the picture.
const spacingReach = 3.0

// spacingSamples bounds the places at which spacing is measured: enough for a
// share of 0.1 % to be more than chance.
const spacingSamples = 50_000

// spacingLength bounds the lines (mm) whose spacing is measured: five full
// plates of 200 mm.
const spacingLength = 500_000

// narrowest is the smallest line width (mm) that spacing is measured for; no
// nozzle lays less.
const narrowest = 0.05

// Check compares stroke widths with the nozzle and the line width (mm, both
// positive), and the spacing of neighbouring lines with the line width.
// Spacing is measured across the line, to both sides, at steps of one line
// width, longer ones where there are many lines. No lines give no findings, and more than 500 m of lines
// are not measured.
func Check(lines []Line, nozzleMM, lineWidthMM float64) (Spacing, finding.List) {
	var out finding.List
	if len(lines) == 0 || !(nozzleMM > 0) || !(lineWidthMM > 0) {
		return Spacing{}, out
	}
	out = append(out, checkWidths(lines, nozzleMM, lineWidthMM)...)
	s := measureSpacing(lines, lineWidthMM)
	if s.Samples == 0 {
		return s, out
	}
	at := [2]float64{s.TightAt.X, s.TightAt.Y}
	if s.Tight > 0.005 {
		out.Add(finding.Finding{Code: "drawing-spacing-tight", Level: finding.Caution,
			Text:   fmt.Sprintf("%.0f %% of the places measured have a neighbouring line nearer than %s mm; beads pile up there.", 100*s.Tight, short(tol.SpacingTightShare*lineWidthMM)),
			Remedy: fmt.Sprintf("Space the lines about %s mm, or choose a narrower line width.", short(lineWidthMM)),
			Value:  s.NearestMM, Unit: "mm", Place: &finding.Place{File: "artwork", At: &at}})
	}
	if s.Wide > 0.005 {
		out.Add(finding.Finding{Code: "drawing-spacing-wide", Level: finding.Caution,
			Text:   fmt.Sprintf("%.0f %% of the places measured have their neighbouring line farther than %s mm; the plate shows between the beads.", 100*s.Wide, short(tol.SpacingWideShare*lineWidthMM)),
			Remedy: fmt.Sprintf("Space the lines about %s mm, or choose a wider line width.", short(lineWidthMM)),
			Value:  s.MedianMM, Unit: "mm", Place: &finding.Place{File: "artwork"}})
	}
	return s, out
}

// checkWidths compares stroke widths with what the nozzle can lay and with the
// line width of the job.
func checkWidths(lines []Line, nozzleMM, lineWidthMM float64) finding.List {
	var out finding.List
	compare := func(code string, level finding.Level, text, remedy string, differs func(width float64) bool) {
		count, first := 0, -1
		for i, l := range lines {
			if differs(l.StrokeWidthMM) {
				if count++; first < 0 {
					first = i
				}
			}
		}
		if count > 0 {
			l := lines[first]
			out.Add(finding.Finding{Code: code, Level: level, Text: fmt.Sprintf(text, count, len(lines), short(l.StrokeWidthMM)), Remedy: remedy,
				Value: l.StrokeWidthMM, Unit: "mm", Place: &finding.Place{File: "artwork", Line: l.Line, Element: l.Element}})
		}
	}
	low, high := 0.6*nozzleMM, 2*nozzleMM
	outOfBand := func(w float64) bool { return w < low*(1-tol.StrokeWidthShare) || w > high*(1+tol.StrokeWidthShare) }
	compare("drawing-stroke-nozzle", finding.Caution,
		fmt.Sprintf("%%d of %%d lines have a stroke that the nozzle cannot lay as one bead (first: %%s mm; it lays %s to %s mm).", short(low), short(high)),
		"Check the unit of the drawing. The lines are laid with the line width of the job.", outOfBand)
	compare("drawing-stroke-width", finding.Note,
		fmt.Sprintf("%%d of %%d lines have a stroke other than the line width (first: %%s mm, line width %s mm).", short(lineWidthMM)),
		"They are laid with the line width of the job.", func(w float64) bool {
			return !outOfBand(w) && math.Abs(w/lineWidthMM-1) > tol.StrokeWidthShare
		})
	return out
}

// edge is one edge of a line, for the search of neighbours.
type edge struct {
	a, b   plane.Point
	line   int32
	before float64 // length along the line up to a
}

// edgeGrid finds edges near a place: square cells over the box of all lines,
// the edges of each cell in one run of a shared list.
type edgeGrid struct {
	edges  []edge
	cell   float64
	origin plane.Point
	nx, ny int32
	first  []int32 // per cell: where its run in held starts; one more at the end
	held   []int32
}

// gridCells bounds the cells of a grid; wider drawings get larger cells.
const gridCells = 1_000_000

func newEdgeGrid(lines []Line, cell float64) *edgeGrid {
	g := &edgeGrid{}
	box := plane.EmptyBox()
	for i, l := range lines {
		box = box.Union(l.Points.Bounds())
		run := 0.0
		n := len(l.Points)
		last := n - 1
		if l.Closed {
			last = n
		}
		for k := range max(0, last) {
			e := edge{l.Points[k], l.Points[(k+1)%n], int32(i), run}
			run += e.a.Dist(e.b)
			g.edges = append(g.edges, e)
		}
	}
	box = box.Grow(4 * cell) // rays look beyond the outermost line
	size := box.Size()
	g.cell = math.Max(cell, math.Max(math.Sqrt(size.X*size.Y/gridCells), math.Max(size.X, size.Y)/gridCells))
	g.origin = box.Min
	g.nx, g.ny = int32(size.X/g.cell)+1, int32(size.Y/g.cell)+1
	// Counted first, filled second: no list grows.
	g.first = make([]int32, int(g.nx)*int(g.ny)+1)
	for _, e := range g.edges {
		g.along(e.a, e.b, func(c int32) { g.first[c+1]++ })
	}
	for c := range len(g.first) - 1 {
		g.first[c+1] += g.first[c]
	}
	g.held = make([]int32, g.first[len(g.first)-1])
	next := append([]int32(nil), g.first...)
	for i, e := range g.edges {
		g.along(e.a, e.b, func(c int32) {
			g.held[next[c]] = int32(i)
			next[c]++
		})
	}
	return g
}

func (g *edgeGrid) column(p plane.Point) (x, y int32) {
	return int32(math.Floor((p.X - g.origin.X) / g.cell)), int32(math.Floor((p.Y - g.origin.Y) / g.cell))
}

// along visits the cells that a segment passes, stepping from one grid line to
// the next.
func (g *edgeGrid) along(a, b plane.Point, visit func(cell int32)) {
	x, y := g.column(a)
	endX, endY := g.column(b)
	inX, inY := (b.X-a.X)/g.cell, (b.Y-a.Y)/g.cell
	atX, atY := (a.X-g.origin.X)/g.cell, (a.Y-g.origin.Y)/g.cell
	for {
		if x >= 0 && x < g.nx && y >= 0 && y < g.ny {
			visit(y*g.nx + x)
		}
		tx, ty := math.Inf(1), math.Inf(1) // shares of the way to the next grid line
		stepX, stepY := int32(1), int32(1)
		if endX > x {
			tx = (float64(x+1) - atX) / inX
		} else if endX < x {
			tx, stepX = (float64(x)-atX)/inX, -1
		}
		if endY > y {
			ty = (float64(y+1) - atY) / inY
		} else if endY < y {
			ty, stepY = (float64(y)-atY)/inY, -1
		}
		switch {
		case endX == x && endY == y:
			return
		case tx <= ty:
			x += stepX
		default:
			y += stepY
		}
	}
}

// measureSpacing looks across every line for its neighbours.
func measureSpacing(lines []Line, width float64) Spacing {
	total := 0.0
	for _, l := range lines {
		total += l.Length()
	}
	if width < narrowest || !(total <= spacingLength) {
		return Spacing{}
	}
	grid := newEdgeGrid(lines, spacingReach*width/2)
	step := math.Max(width, total/spacingSamples)
	s := Spacing{NearestMM: math.Inf(1)}
	var found []float64
	for k, e := range grid.edges {
		length := e.a.Dist(e.b)
		if length == 0 {
			continue
		}
		side := e.b.Sub(e.a).Unit().Left()
		// Samples stand at odd multiples of half a step along the line.
		next := (math.Floor(e.before/step+0.5) + 0.5) * step
		for ; next < e.before+length; next += step {
			if next < e.before {
				continue
			}
			p := e.a.Lerp(e.b, (next-e.before)/length)
			for _, out := range []plane.Point{side, side.Mul(-1)} {
				if d, ok := grid.across(int32(k), p, next, out.Mul(spacingReach*width), width); ok {
					found = append(found, d)
					if d < s.NearestMM {
						s.NearestMM, s.TightAt = d, p
					}
				}
			}
		}
	}
	s.Samples = len(found)
	if s.Samples == 0 {
		return Spacing{}
	}
	tight, wide := 0, 0
	for _, d := range found {
		if d < tol.SpacingTightShare*width {
			tight++
		}
		if d > tol.SpacingWideShare*width {
			wide++
		}
	}
	s.Tight, s.Wide = float64(tight)/float64(s.Samples), float64(wide)/float64(s.Samples)
	sort.Float64s(found)
	s.MedianMM = found[len(found)/2]
	return s
}

// meeting returns where the line from p along d meets the one from q along e: t
// of d and u of e. It is false for parallel lines.
func meeting(p, d, q, e plane.Point) (t, u float64, met bool) {
	across := d.Cross(e)
	if across == 0 {
		return 0, 0, false
	}
	away := q.Sub(p)
	return away.Cross(e) / across, away.Cross(d) / across, true
}

// across returns the distance from p to the first edge that the segment from
// p to p+out meets. Where that edge belongs to the same stretch of the same
// line, three line widths either way, the line turns there and nothing is
// measured.
func (g *edgeGrid) across(self int32, p plane.Point, run float64, out plane.Point, width float64) (float64, bool) {
	best, ok := 1.0, false
	g.along(p, p.Add(out), func(cell int32) {
		for _, i := range g.held[g.first[cell]:g.first[cell+1]] {
			if i == self {
				continue
			}
			e := g.edges[i]
			along := e.b.Sub(e.a)
			t, u, met := meeting(p, out, e.a, along)
			if !met || t < 0 || t >= best || u < 0 || u > 1 {
				continue
			}
			there := e.before + u*along.Norm()
			best, ok = t, e.line != g.edges[self].line || math.Abs(there-run) >= 3*width
		}
	})
	return best * out.Norm(), ok
}
