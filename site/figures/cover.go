package main

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"slices"

	"sheenlay/engine/coverage"
	"sheenlay/engine/fill"
	"sheenlay/engine/fill/near"
	"sheenlay/engine/generators"
	"sheenlay/engine/overlay"
	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
	"sheenlay/engine/strand"
	"sheenlay/engine/thread"
)

// face is an outline of the table.
type face struct {
	name   string
	region plane.Region
}

func polygon(n int, radius func(i int) float64) plane.Region {
	ring := make(plane.Ring, n)
	for i := range ring {
		ring[i] = plane.Point{X: radius(i)}.Turn(2 * math.Pi * float64(i) / float64(n))
	}
	return plane.Region{ring}
}

func disc(r float64, at plane.Point) plane.Region {
	return plane.Translate(at.X, at.Y).ApplyRegion(polygon(180, func(int) float64 { return r }))
}

func box(x0, y0, x1, y1 float64) plane.Region {
	return plane.Region{{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}}
}

func faces() []face {
	plate := box(-50, -50, 50, 50)
	for i := range 12 {
		at := plane.Point{X: float64(i%4)*24 - 36, Y: float64(i/4)*30 - 30}
		plate = overlay.Subtract(plate, disc(4, at))
	}
	gear := polygon(96, func(i int) float64 {
		if i/4%2 == 0 {
			return 30
		}
		return 25
	})
	letter := overlay.Subtract(overlay.Union(box(-20, -30, -8, 30), box(-8, 0, 20, 30)), box(-8, 10, 8, 20))
	neck := func(width float64) plane.Region {
		return overlay.Union(box(-40, -15, -5, 15), box(5, -15, 40, 15), box(-6, -width/2, 6, width/2))
	}
	return []face{
		{"disc Ø60", disc(30, plane.Point{})},
		{"ring 60/30", overlay.Subtract(disc(30, plane.Point{}), disc(15, plane.Point{}))},
		{"star", polygon(10, func(i int) float64 { return 30 - 16*float64(i%2) })},
		{"letter with counter", letter},
		{"gear", gear},
		{"plate, 12 holes", plate},
		{"frame 3 mm", overlay.Subtract(box(-40, -30, 40, 30), box(-37, -27, 37, 27))},
		{"neck 0.7 mm", neck(0.7)},
		{"neck 1.5 mm", neck(1.5)},
		{"plate 200 mm", box(-100, -100, 100, 100)},
	}
}

// target is what a pattern is to reach: least covered, most double, most open
// gap, least share of lay, percent. The lay is taken within 1° anywhere, or
// where within3 is set (fields) within 3° deeper than two lines in the zone;
// curves have none.
type target struct {
	covered, double, gap, lay float64
	within3                   bool
}

func targetOf(id string) target {
	switch id {
	case "tumbling-blocks":
		return target{covered: 99, double: 1.2, gap: 0.4, lay: 92}
	case "straight":
		return target{covered: 99.5, double: 0.3, gap: 0.4, lay: 92}
	case "facets":
		return target{covered: 97, double: 1.7, gap: 1.2, lay: 85}
	case "hilbert", "peano", "gosper", "sierpinski", "spiral":
		return target{covered: 99, double: 1.5, gap: 0.4}
	case "rings", "wood-grain", "flowing-noise", "arc-tiles", "scale-waves":
		return target{covered: 98, double: 1.7, gap: 0.4, lay: 99, within3: true}
	}
	return target{covered: 98, double: 1.7, gap: 0.4, lay: 92}
}

const mostSpilled = 0.2

// widths are those of the table's beads, mm.
var widths = limits{usual: 0.42, least: 0.24, most: 0.8}

// A cell is a measured value and what it is to reach, percent.
type cell struct {
	value, aim float64
	most       bool // the aim is a most, else a least
	// bound is the most (for a most: the least) that geometry leaves, and slack
	// how far beside it a value still counts as at the bound. Zero: none.
	bound, slack float64
}

// verdict is how a cell stands to its aim.
type verdict int

const (
	reached verdict = iota
	atBound         // the aim lies above the bound, and the value at it
	missed
)

func (f cell) verdict() verdict {
	sign := 1.0
	if f.most {
		sign = -1
	}
	switch {
	case sign*(f.value-f.aim) >= 0:
		return reached
	case f.bounded() && sign*(f.value-f.bound) >= -f.slack:
		return atBound
	}
	return missed
}

// bounded reports whether the aim is out of reach.
func (f cell) bounded() bool {
	return f.bound > 0 && f.bound != f.aim && (f.bound > f.aim) == f.most
}

// String writes the value, the bound beside it where the aim lies above it, and
// the mark of its verdict.
func (f cell) String() string {
	out := fmt.Sprintf("%.2f", f.value)
	if f.bounded() && f.verdict() != reached {
		out += fmt.Sprintf(" of %.2f", f.bound)
	}
	return [...]string{out, out + " ◦", "**" + out + " ✗**"}[f.verdict()]
}

// Slacks of the bounds, percent. Covered and gap: what rows leave that cannot be
// shared out evenly, and the raster. Lay: bridges between zones, and the ends of
// zones that are led along their border.
const (
	slackCovered = 0.3
	slackGap     = 0.2
	slackLay     = 1.5
)

// cover is one row of the table.
type cover struct {
	covered, double, gap, spilled, lay cell
	strokes, crossings, travels        int
	metres                             float64
	ends                               float64 // line ends that a field cannot do without
}

// figures returns those of the row that are judged.
func (c cover) figures() []cell {
	out := []cell{c.covered, c.double, c.gap, c.spilled}
	if c.lay.aim > 0 {
		out = append(out, c.lay)
	}
	return out
}

// measureCover lays a pattern on a face and measures it.
func measureCover(g generators.Generator, f face) (cover, error) {
	p, err := g.Build(g.WithSpacing(nil, widths.usual), 1, f.region.Bounds())
	if err != nil {
		return cover{}, err
	}
	made, err := fill.Fill(context.Background(), fill.Request{Face: f.region, Pattern: p, WidthMM: widths.usual, MinWidthMM: widths.least, MaxWidthMM: widths.most, Threader: thread.New()})
	if err != nil {
		return cover{}, err
	}
	m := coverage.Measure(context.Background(), coverage.Job{Face: f.region, Strands: made.Strands, LineMM: widths.usual})
	aim, bound := targetOf(g.ID), boundOf(f.region, p, widths)
	c := cover{
		covered: cell{value: m.Covered.Percent, aim: aim.covered, bound: bound.covered, slack: slackCovered},
		double:  cell{value: m.Double.Percent, aim: aim.double, most: true},
		gap:     cell{value: m.Open.Percent, aim: aim.gap, most: true, bound: bound.gap, slack: slackGap},
		spilled: cell{value: m.Spilled.Percent, aim: mostSpilled, most: true},
		strokes: len(made.Strands), crossings: made.Stats.Crossings, travels: made.Stats.Travels, metres: made.Stats.LengthMM / 1000, ends: bound.ends,
	}
	switch {
	case aim.within3:
		c.lay = cell{value: deepLay(f.region, p, made.Strands), aim: aim.lay, bound: bound.lay, slack: slackLay}
	case aim.lay > 0:
		c.lay = cell{value: 100 * made.Stats.ShareOfLayWithin1Deg, aim: aim.lay, bound: bound.lay, slack: slackLay}
	}
	return c, nil
}

// deepLay returns the share (percent) of the bead's length deeper than two
// lines in its zone that runs within 3° of the zone's lay.
func deepLay(region plane.Region, p pattern.Pattern, strands []strand.Strand) float64 {
	deep := 2 * widths.usual
	grid := near.New(region.Bounds(), 1)
	add := func(g plane.Region) {
		for _, r := range g {
			for i, a := range r {
				grid.Add(a, r[(i+1)%len(r)])
			}
		}
	}
	add(region)
	for _, z := range p.Zones {
		if z.Region.Bounds().Intersects(region.Bounds()) {
			add(z.Region)
		}
	}
	const step, sin3 = 0.1, 0.05233596
	all, along := 0.0, 0.0
	for _, s := range strands {
		for i, z := range s.Zone {
			a, b := s.Points[i], s.Points[i+1]
			d := b.Sub(a).Unit()
			n := math.Ceil(a.Dist(b) / step)
			for k := 0.5; k < n; k++ {
				q := a.Lerp(b, k/n)
				clear := true
				grid.Near(q, q, deep, func(id int) bool {
					_, _, distance := grid.Segment(id).Closest(q)
					clear = distance > deep
					return clear
				})
				if !clear {
					continue
				}
				part := a.Dist(b) / n
				all += part
				zone := z
				if zone < 0 { // a bridge lies in some zone
					zone = int32(slices.IndexFunc(p.Zones, func(z pattern.Zone) bool { return z.Region.Contains(q) }))
				}
				if zone >= 0 {
					if lay := p.Zones[zone].Lay.AngleAt(q); math.Abs(d.Cross(plane.Point{X: 1}.Turn(lay))) <= sin3 {
						along += part
					}
				}
			}
		}
	}
	return 100 * along / max(all, 1e-9)
}

func coverTable(b *bytes.Buffer) error {
	fmt.Fprintf(b, "## How well a bead covers\n\nEvery built-in pattern on every outline, %.2f mm lines, width adapted between %.2f and %.2f mm. Covered: under a bead. Double: under two stretches of bead more than 1 mm apart along the path. Gap: farther than 0.05 mm from any bead. Lay: share of the length within 1° of its zone's lay, connectors included; for fields (rings, scale waves, arc tiles, wood grain, flowing noise) within 3°, deeper than two lines in the zone; curves have none. Percent.\n\n", widths.usual, widths.least, widths.most)
	fmt.Fprintf(b, "A plain figure reaches its target. Where geometry puts the target out of reach the bound stands beside the figure: ◦ marks one at its bound (within %.1f for covered, %.1f for gap, %.1f for lay), ✗ one that misses. What the bound is:\n\n", slackCovered, slackGap, slackLay)
	fmt.Fprintf(b, "- *Covered.* A round bead of width w leaves the notch (w/2)²·(tan φ/2 − φ/2) bare outside every turn by φ, and overlaps itself inside by as much; so a bead that lays no more than the face holds covers it less the notches of the turns it cannot do without. Rows that end on a border at the angle θ must turn there: (w/4)·(1 − (π/4)·sin θ) per mm of border, none where they run along it, and less where they can go on into the rows beyond it. Curves make the turns they are drawn with: a right angle in every second to fourth cell of the curves after Hilbert, Peano and Sierpiński, 60° and 120° in Gosper's. Laying bead twice or wider passes the bound a little, which shows as double.\n")
	fmt.Fprintf(b, "- *Lay.* Along the outline, and along a border that rows end on from one side only, joins close every second gap between rows: half of its length. Where rows end on it from both sides, as many as the fewer of them may go on into each other instead, at no cost where they mirror each other; only the surplus must turn. With J the length of joins that are left and A the area they take J·w/A of the length. Links between zones come on top and are not in the bound. Of fields, lines that close deeper than two lines in their zone are joined there, by two links of one spacing each.\n")
	b.WriteString("- *Gap.* Of those notches, what lies farther than 0.05 mm from all bead.\n- *Double* and *spilled* have no bound.\n\n")
	head(b, "pattern", "outline", "covered", "double", "gap", "spilled", "lay", "strokes", "crossings", "travels within", "m")
	var count [missed + 1]int
	ends := 0.0
	for _, g := range generators.All() {
		for _, f := range faces() {
			c, err := measureCover(g, f)
			if err != nil {
				return err
			}
			for _, one := range c.figures() {
				count[one.verdict()]++
			}
			lay := "–"
			if c.lay.aim > 0 {
				lay = c.lay.String()
			}
			row(b, g.ID, f.name, c.covered.String(), c.double.String(), c.gap.String(), c.spilled.String(), lay,
				fmt.Sprint(c.strokes), fmt.Sprint(c.crossings), fmt.Sprint(c.travels), fmt.Sprintf("%.2f", c.metres))
			ends = max(ends, c.ends)
		}
	}
	fmt.Fprintf(b, "\nOf %d figures %d reach their target, %d more are at the bound, %d miss. The spacing of the fields' lines stays within the limits of the width nearly everywhere: lines of one width would have to end inside (∬|∇·T|/s, T their direction), here at most %.0f on any outline. The far side of the 0.7 mm neck is a separate stroke, since no two lines fit through it.\n\n",
		count[reached]+count[atBound]+count[missed], count[reached], count[atBound], count[missed], ends)
	return nil
}
