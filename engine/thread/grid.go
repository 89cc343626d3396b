package thread

import (
	"context"
	"math"

	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
	"sheenlay/engine/scan"
	"sheenlay/engine/tol"
)

// grid holds the levels of a field at the nodes of a square grid, as far as a
// region and one cell round it need them.
type grid struct {
	field  pattern.Field
	origin plane.Point
	step   float64
	nx, ny int
	level  []float64
	have   []bool // the node has a level
	inside []bool // the node lies in the region
}

// maxNodes bounds the memory of a grid (10 bytes each); its cells grow instead.
const maxNodes = 1 << 24

// newGrid samples the field over the region with the given step (mm) or, where
// that would take too many nodes, a larger one.
func newGrid(ctx context.Context, field pattern.Field, region plane.Region, step float64) (*grid, error) {
	box := region.Bounds()
	size := box.Size()
	for (size.X/step+6)*(size.Y/step+6) > maxNodes {
		step *= 1.25
	}
	g := &grid{field: field, step: step, nx: int(size.X/step) + 6, ny: int(size.Y/step) + 6}
	g.origin = plane.Point{X: box.Min.X - 2.37*step, Y: box.Min.Y - 2.41*step}
	n := g.nx * g.ny
	g.inside, g.have, g.level = make([]bool, n), make([]bool, n), make([]float64, n)
	rows := scan.Cut(region, scan.NewFrame(0), g.origin.Y, step)
	near := make([]bool, n)
	for j := range g.ny {
		for _, s := range rows.Row(j) {
			lo := max(0, int(math.Ceil((s.Lo-g.origin.X)/step)))
			for i := lo; i < g.nx && g.origin.X+float64(float64(i)*step) < s.Hi; i++ {
				g.inside[j*g.nx+i], near[j*g.nx+i] = true, true
			}
		}
	}
	// Parts thinner than a cell hold no node; their border names the cells.
	for _, ring := range region {
		for i, a := range ring {
			b := ring[(i+1)%len(ring)]
			parts := int(a.Dist(b)/(step/2)) + 1
			for k := range parts {
				p := a.Lerp(b, float64(k)/float64(parts)).Sub(g.origin).Mul(1 / step)
				at := int(p.Y)*g.nx + int(p.X)
				near[at], near[at+1], near[at+g.nx], near[at+g.nx+1] = true, true, true, true
			}
		}
	}
	for j := 1; j < g.ny-1; j++ {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		for i := 1; i < g.nx-1; i++ {
			at := j*g.nx + i
			if near[at] || near[at-1] || near[at+1] ||
				near[at-g.nx] || near[at-g.nx-1] || near[at-g.nx+1] ||
				near[at+g.nx] || near[at+g.nx-1] || near[at+g.nx+1] {
				g.have[at] = true
				g.level[at] = field.Level(g.place(at))
			}
		}
	}
	return g, nil
}

// place returns where a node is.
func (g *grid) place(at int) plane.Point {
	return plane.Point{
		X: g.origin.X + float64(float64(at%g.nx)*g.step),
		Y: g.origin.Y + float64(float64(at/g.nx)*g.step),
	}
}

// ladder is the set of levels Base + k·Step for k from First to Last.
type ladder struct {
	base, step  float64
	first, last int
}

// ladder spaces levels about spacing apart so that they fit the region. Where
// the least or the greatest level lies on the border, the border is that line
// and the ladder leaves it out; both such, the number of lines is even, so
// that the stretches of border at both ends become bead. Where it lies inside
// (a centre), the line next to it stands half a step off.
//
// A phase (mm of level) shifts all levels up by as many spacings, whole ones
// aside. The ends stay, so the lines beside them stand nearer or farther; one
// comes in or goes out where it would stand nearer than half a step to a border
// or a quarter to a centre.
//
// With point set a border that has the least level is taken to have it at a
// single point, as a sector has its centre: the first line stands half a step
// off it.
//
// A field that knows its own rungs stands on those.
func (g *grid) ladder(region plane.Region, spacing, phase float64, point bool) ladder {
	if own := pattern.RungsOf(g.field, spacing); own.Lines > 0 {
		return between(own).shifted(phase/spacing, true, true)
	}
	low, high := math.Inf(1), math.Inf(-1)
	for _, ring := range region {
		for i, a := range ring {
			b := ring[(i+1)%len(ring)]
			parts := int(a.Dist(b)/g.step) + 1
			for k := range parts {
				v := g.field.Level(a.Lerp(b, float64(k)/float64(parts)))
				low, high = min(low, v), max(high, v)
			}
		}
	}
	lowest, highest := g.extreme(1), g.extreme(-1)
	room := 0.0 // steps at the two ends beside whole ones between lines
	lowInside := lowest >= 0 && g.level[lowest] < low-0.3*spacing
	highInside := highest >= 0 && g.level[highest] > high+0.3*spacing
	if lowInside {
		low, room = g.followed(lowest, 1), room+0.5
	}
	if highInside {
		high, room = g.followed(highest, -1), room+0.5
	}
	if !lowInside && point {
		lowInside, room = true, room+0.5
	}
	span := (high - low) / spacing
	lines := math.Round(span - room + 1)
	if !lowInside && !highInside {
		lines = 2 * math.Round((span+1)/2)
	}
	lines = max(lines, 2)
	steps := lines - 1 + room
	l := ladder{base: low, step: (high - low) / steps, first: 1, last: int(lines) - 2}
	if lowInside {
		l.base, l.first = low+0.5*l.step, 0
	}
	if highInside {
		l.last = int(lines) - 1
	}
	return l.shifted(phase/spacing, lowInside, highInside)
}

// between returns the ladder of a field's own rungs: both ends half a step off.
func between(r pattern.Rungs) ladder {
	step := (r.High - r.Low) / float64(r.Lines)
	return ladder{base: r.Low + 0.5*step, step: step, last: r.Lines - 1}
}

// shifted returns the ladder with its levels up by some steps, of which only
// the part of a step counts. Low and high say which of its ends are centres.
func (l ladder) shifted(steps float64, low, high bool) ladder {
	up := steps - math.Floor(steps)
	if !(up > 0) {
		return l
	}
	l.base += up * l.step
	// The line below the first would stand at the share up of a step from a
	// border, up − ½ from a centre; the last one at 1 − up or ½ − up.
	if !low && up >= 0.5 || low && up >= 0.75 {
		l.first--
	}
	if !high && up >= 0.5 || high && up > 0.25 {
		l.last--
	}
	return l
}

// extreme returns the node inside with the least (sign 1) or greatest (sign −1)
// level, −1 without any.
func (g *grid) extreme(sign float64) int {
	at := -1
	for node, in := range g.inside {
		if in && (at < 0 || sign*g.level[node] < sign*g.level[at]) {
			at = node
		}
	}
	return at
}

// followed returns the least (sign 1) or greatest (sign −1) level near a node,
// by steps along the axes that end at tol.ThreadLevelMM.
func (g *grid) followed(node int, sign float64) float64 {
	best, p := sign*g.level[node], g.place(node)
	for step := g.step / 2; step > tol.ThreadLevelMM; step /= 2 {
		for _, d := range [4]plane.Point{{X: step}, {X: -step}, {Y: step}, {Y: -step}} {
			if v := sign * g.field.Level(p.Add(d)); v < best {
				best, p = v, p.Add(d)
			}
		}
	}
	return sign * best
}
