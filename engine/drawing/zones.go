package drawing

import (
	"context"
	"fmt"
	"math"

	"sheenlay/engine/finding"
	"sheenlay/engine/grain"
	"sheenlay/engine/overlay"
	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// Zoned is a drawing as a pattern of zones.
type Zoned struct {
	Pattern  pattern.Pattern
	Pinned   []bool   // per zone: its lay is stated by data-lay and is not to be assigned
	Colours  []string // per kind: the colour that its zones have in the drawing
	Findings finding.List
}

// radialSectors is the number of sectors into which a radial zone is cut. Each
// has a fixed lay, 15° from its neighbour, at most 7.5° from the true ray:
// rays themselves would leave the pitch at all but one radius.
const radialSectors = 24

// Zones turns the shapes of a drawing into zones in painting order, later
// above. Shapes of one colour (and one data-lay) share a Kind. Lays that the
// drawing does not state are left at 0 and not pinned; they are for the
// assignment of lays to choose. Regions are in normal form and end
// tol.ZoneReach beyond the page. On cancellation the result is empty and says
// so.
func Zones(ctx context.Context, d Drawing) Zoned {
	z := zoner{window: plane.Box{Max: d.SizeMM}.Grow(tol.ZoneReach), kinds: map[string]int{}, regions: map[*Clip]plane.Region{}, notes: newNotebook(), tangle: newTangle()}
	for i := range d.Shapes {
		if ctx.Err() != nil {
			var out Zoned
			out.Findings.Add(finding.Finding{Code: "drawing-cancelled", Level: finding.Stop, Text: "Turning the drawing into zones was stopped."})
			return out
		}
		z.shape(&d.Shapes[i])
	}
	z.out.Findings = z.notes.list()
	return z.out
}

type zoner struct {
	window  plane.Box // nothing beyond it is of use
	out     Zoned
	kinds   map[string]int
	regions map[*Clip]plane.Region
	notes   *notebook
	tangle  tangle
	gave    bool // up on an outline that crosses too often
}

func (z *zoner) shape(s *Shape) {
	place := &finding.Place{File: "artwork", Line: s.Line, Element: s.Element}
	z.gave = false
	region := z.region(&s.Outline)
	if z.gave {
		z.notes.addAt("drawing-shape-tangled", finding.Caution, "A shape crosses itself or its clip path too often to be made a zone and is left out", "shape",
			"Simplify the shape, or use its lines instead of its area.", place)
		return
	}
	if len(region) == 0 {
		z.notes.addAt("drawing-shape-empty", finding.Note, "A shape encloses nothing and makes no zone", "shape", "", place)
		return
	}
	if s.Opacity < 1 {
		z.notes.addAt("drawing-shape-opacity", finding.Note, "A shape that lets others shine through is taken as opaque", "shape", "", place)
	}
	zone := pattern.Zone{Region: region, Name: s.Element}
	switch s.Lay.Kind {
	case Radial:
		z.radial(zone, s.Colour)
		return
	case Concentric:
		zone.Lay.Field = grain.Concentric{Centre: Centroid(region)}
		zone.Kind = z.kind(s.Colour, fmt.Sprintf("concentric %d", len(z.out.Pattern.Zones)))
	case Fixed:
		zone.Lay.Angle = plane.NormalLay(s.Lay.Degrees * math.Pi / 180)
		zone.Kind = z.kind(s.Colour, fmt.Sprintf("at %g", s.Lay.Degrees))
	default:
		zone.Kind = z.kind(s.Colour, "")
	}
	z.add(zone, s.Lay.Kind != Unstated)
}

func (z *zoner) add(zone pattern.Zone, pinned bool) {
	z.out.Pattern.Zones = append(z.out.Pattern.Zones, zone)
	z.out.Pinned = append(z.out.Pinned, pinned)
}

// kind numbers colours and stated lays in the order first met.
func (z *zoner) kind(colour, lay string) int {
	key := colour + " " + lay
	k, known := z.kinds[key]
	if !known {
		k = len(z.out.Colours)
		z.kinds[key] = k
		z.out.Colours = append(z.out.Colours, colour)
	}
	return k
}

// radial cuts a zone into sectors about its centroid.
func (z *zoner) radial(zone pattern.Zone, colour string) {
	centre := Centroid(zone.Region)
	box := zone.Region.Bounds()
	reach := 2 * (box.Size().Norm() + centre.Dist(box.Centre()))
	first := len(z.out.Pattern.Zones)
	const step = 2 * math.Pi / radialSectors
	for k := range radialSectors {
		from := (float64(k) - 0.5) * step
		at := func(angle float64) plane.Point { return centre.Add(plane.Point{X: reach}.Turn(angle)) }
		part := zone
		part.Region = overlay.Intersect(zone.Region, plane.Region{{centre, at(from), at(from + step)}})
		if len(part.Region) == 0 {
			continue
		}
		part.Lay.Angle = plane.NormalLay(float64(k) * step)
		part.Kind = z.kind(colour, fmt.Sprintf("radial %d %d", first, k%(radialSectors/2)))
		z.add(part, true)
	}
}

// region brings an outline into normal form and cuts it by its clips.
func (z *zoner) region(o *Outline) plane.Region {
	rule := overlay.NonZero
	if o.Rule == EvenOdd {
		rule = overlay.EvenOdd
	}
	rings := make([]plane.Ring, 0, len(o.Rings))
	for _, r := range o.Rings {
		rings = append(rings, within(r, z.window))
	}
	if z.over(rings) {
		return nil
	}
	g := overlay.Normalize(rings, rule)
	for _, c := range o.Clips {
		if len(g) == 0 {
			break
		}
		window := z.clip(c)
		if z.over(g, window) {
			return nil
		}
		g = overlay.Intersect(g, window)
	}
	return g
}

// over reports, and remembers for the shape at hand, that outlines cross too
// often.
func (z *zoner) over(regions ...[]plane.Ring) bool {
	z.gave = z.gave || z.tangle.over(regions...)
	return z.gave
}

// within cuts a ring to a box (Sutherland and Hodgman, Reentrant polygon
// clipping, CACM 17, 1974). Winding numbers inside the box stay as they are,
// so either fill rule may follow.
func within(r plane.Ring, box plane.Box) plane.Ring {
	if b := r.Bounds(); box.Contains(b.Min) && box.Contains(b.Max) {
		return r
	}
	sides := [4]func(p plane.Point) float64{
		func(p plane.Point) float64 { return p.X - box.Min.X },
		func(p plane.Point) float64 { return box.Max.X - p.X },
		func(p plane.Point) float64 { return p.Y - box.Min.Y },
		func(p plane.Point) float64 { return box.Max.Y - p.Y },
	}
	for _, inside := range sides {
		var cut plane.Ring
		for i, p := range r {
			q := r[(i+1)%len(r)]
			a, b := inside(p), inside(q)
			if a >= 0 {
				cut = append(cut, p)
			}
			if (a >= 0) != (b >= 0) {
				cut = append(cut, p.Lerp(q, a/(a-b)))
			}
		}
		r = cut
	}
	return r
}

func (z *zoner) clip(c *Clip) plane.Region {
	if g, done := z.regions[c]; done {
		return g
	}
	parts := make([]plane.Region, len(c.Parts))
	all := make([][]plane.Ring, len(c.Parts))
	for i := range c.Parts {
		parts[i] = z.region(&c.Parts[i])
		all[i] = parts[i]
	}
	if z.over(all...) {
		return nil
	}
	z.regions[c] = overlay.Union(parts...)
	return z.regions[c]
}

// Centroid returns the centre of area of a region in normal form, in mm; the
// centre of its box when the area is zero.
func Centroid(g plane.Region) plane.Point {
	box := g.Bounds()
	if box.Empty() {
		return plane.Point{}
	}
	origin := box.Centre()
	area, sum := 0.0, plane.Point{}
	for _, r := range g {
		for i, a := range r {
			p, q := a.Sub(origin), r[(i+1)%len(r)].Sub(origin)
			cross := p.Cross(q)
			area += cross
			sum = sum.Add(p.Add(q).Mul(cross))
		}
	}
	if area == 0 {
		return origin
	}
	return origin.Add(sum.Mul(1 / (3 * area)))
}
