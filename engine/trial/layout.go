package trial

import (
	"fmt"
	"math"

	"sheenlay/engine/finding"
	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// measures are the sizes of a plate, mm.
type measures struct {
	bar    float64 // width of a tick; gaps between ticks are as wide
	strip  float64 // width of the strips with the ticks
	gap    float64 // between patches and around them
	patch  float64 // smallest side of a patch
	across int
	down   int
}

// measure derives the sizes from the bead: a tick of two beads is the
// narrowest that is surely seen, and the most ticks of a row or column must
// fit beside a patch.
func (s Spec) measure() measures {
	widest := s.SpacingMM
	for _, a := range []Axis{s.Across, s.Down} {
		if a.Quantity == Spacing {
			widest = max(widest, a.value(0), a.value(a.Steps-1))
		}
	}
	m := measures{bar: 2 * widest, across: s.columns(), down: s.rows()}
	m.strip, m.gap = 7*m.bar, m.bar
	m.patch = s.SmallestPatchMM
	if m.patch == 0 {
		m.patch = tol.TrialPatch
	}
	most := 0
	for n := range max(m.across, m.down) {
		most = max(most, len(tally(n+1)))
	}
	m.patch = max(m.patch, float64(2*most-1)*m.bar)
	return m
}

// tally returns the ticks that stand for n: long ones (true) count five.
func tally(n int) []bool {
	var ticks []bool
	for ; n >= 5; n -= 5 {
		ticks = append(ticks, true)
	}
	for ; n > 0; n-- {
		ticks = append(ticks, false)
	}
	return ticks
}

// patchSize returns the sides of a patch when the plate fills a rectangle.
func (m measures) patchSize(w, h float64) (float64, float64) {
	return (w - m.strip - m.gap*float64(m.across+1)) / float64(m.across),
		(h - m.strip - m.gap*float64(m.down+1)) / float64(m.down)
}

// Layout lays a trial plate on a face: on the rectangle inside the region (bed
// frame, normal form) on which the patches become largest. Seen from below,
// rows and columns are mirrored so that A1 is at the upper left of the finished
// face.
//
// A face on which a patch would be smaller than permitted is refused with the
// size that is needed.
func Layout(face plane.Region, s Spec) (Plate, finding.List) {
	found := s.Validate()
	if found.Worst() == finding.Stop {
		return Plate{}, found
	}
	m := s.measure()
	area, ok := largestRectangle(face, func(w, h float64) float64 {
		pw, ph := m.patchSize(w, h)
		return min(pw, ph)
	})
	size := area.Size()
	pw, ph := m.patchSize(size.X, size.Y)
	if !ok || min(pw, ph) < m.patch {
		needX := m.strip + m.gap*float64(m.across+1) + m.patch*float64(m.across)
		needY := m.strip + m.gap*float64(m.down+1) + m.patch*float64(m.down)
		has := "no rectangle at all"
		if ok {
			has = fmt.Sprintf("a rectangle of %.1f × %.1f mm", size.X, size.Y)
		}
		found.Add(finding.Finding{Code: "trial-too-small", Level: finding.Stop,
			Text: fmt.Sprintf("%d × %d patches of at least %.1f mm need a rectangle of %.1f × %.1f mm; the face has %s.",
				m.across, m.down, m.patch, needX, needY, has),
			Remedy: "Vary fewer steps, or choose a larger plate.", Place: &finding.Place{Element: "trial"}})
		return Plate{}, found
	}
	return s.lay(m, area, pw, ph), found
}

// drawn is a plate in its own frame, X to the right and Y down as seen, and the
// way to the bed.
type drawn struct {
	measures
	width, height float64 // of a patch, mm
	toBed         plane.Affine
}

// ring returns a rectangle of the plate on the bed.
func (d drawn) ring(x, y, w, h float64) plane.Ring {
	a, b := d.toBed.Apply(plane.Point{X: x, Y: y}), d.toBed.Apply(plane.Point{X: x + w, Y: y + h})
	return boxRing(plane.EmptyBox().Include(a).Include(b))
}

// column and row return where a patch begins.
func (d drawn) column(k int) float64 { return d.strip + d.gap + float64(k)*(d.width+d.gap) }
func (d drawn) row(k int) float64    { return d.strip + d.gap + float64(k)*(d.height+d.gap) }

// ticks returns the marks: a square at A1, so that a plate turned by half is
// noticed, and beside each column and row as many as it counts.
func (d drawn) ticks() plane.Region {
	ticks := plane.Region{d.ring(2*d.bar, 2*d.bar, d.strip-3*d.bar, d.strip-3*d.bar)}
	// first returns where the ticks of a count begin that stand about a middle.
	first := func(middle float64, marks []bool) float64 { return middle - float64(2*len(marks)-1)*d.bar/2 }
	for k := range d.across {
		marks := tally(k + 1)
		x := first(d.column(k)+d.width/2, marks)
		for i, long := range marks {
			ticks = append(ticks, d.ring(x+float64(2*i)*d.bar, d.strip-d.tick(long), d.bar, d.tick(long)))
		}
	}
	for k := range d.down {
		marks := tally(k + 1)
		y := first(d.row(k)+d.height/2, marks)
		for i, long := range marks {
			ticks = append(ticks, d.ring(d.strip-d.tick(long), y+float64(2*i)*d.bar, d.tick(long), d.bar))
		}
	}
	return ticks
}

// strips returns the strips beside the patches, but for the ticks. They keep off
// the edge of the plate by a rim, so that what is left without material lies
// strictly inside the face.
func (d drawn) strips(size plane.Point, ticks plane.Region) plane.Region {
	far := size.Sub(plane.Point{X: d.bar, Y: d.bar})
	inner := d.strip + d.gap/2
	outline := d.toBed.ApplyRegion(plane.Region{{{X: d.bar, Y: d.bar}, {X: far.X, Y: d.bar}, {X: far.X, Y: inner},
		{X: inner, Y: inner}, {X: inner, Y: far.Y}, {X: d.bar, Y: far.Y}}})
	out := plane.Region{outwards(outline[0])}
	for _, r := range ticks {
		out = append(out, r.Reversed())
	}
	return out
}

// lay builds the plate on a rectangle of the bed, with patches of this size.
func (s Spec) lay(m measures, area plane.Box, width, height float64) Plate {
	plate := Plate{Rows: m.down, Columns: m.across, Area: area, FromBelow: s.FromBelow, Marks: s.Marks}
	d := drawn{m, width, height, plane.Affine{A: 1, D: -1, E: area.Min.X, F: area.Max.Y}}
	if s.FromBelow {
		d.toBed = plane.Affine{A: -1, D: -1, E: area.Max.X, F: area.Max.Y}
	}
	base := s.LayDegrees * math.Pi / 180
	plate.Pattern.Ground = pattern.Lay{Angle: plane.NormalLay(base + math.Pi/2)}
	for row := range m.down {
		for column := range m.across {
			r := d.ring(d.column(column), d.row(row), width, height)
			p := Patch{Name: patchName(row, column), Row: row, Column: column, Box: r.Bounds(), Values: s.values(row, column)}
			zone := pattern.Zone{Region: plane.Region{r}, Name: p.Name, Kind: len(plate.Patches), Lay: pattern.Lay{Angle: plane.NormalLay(base)}}
			s.vary(&zone, p.Values)
			plate.Patches = append(plate.Patches, p)
			plate.Pattern.Zones = append(plate.Pattern.Zones, zone)
		}
	}
	ticks := d.ticks()
	switch s.Marks {
	case Cut:
		plate.Without = ticks
	case Raised:
		plate.Without = d.strips(area.Size(), ticks)
	default:
		plate.Pattern.Zones = append(plate.Pattern.Zones, pattern.Zone{Region: ticks, Name: "marks",
			Kind: len(plate.Patches), Lay: pattern.Lay{Angle: plane.NormalLay(base)}})
	}
	return plate
}

// vary gives the zone of a patch its values.
func (s Spec) vary(zone *pattern.Zone, values []Value) {
	for _, v := range values {
		switch v.Quantity {
		case Spacing:
			zone.Spacing = v.Value
		case Flow:
			zone.Flow = v.Value / s.FlowPercent
		case Speed:
			zone.Speed = v.Value
		case Lay:
			zone.Lay.Angle = plane.NormalLay(v.Value * math.Pi / 180)
		}
	}
}

// tick returns the length of a tick: a long one twice a short one.
func (m measures) tick(long bool) float64 {
	if long {
		return 5 * m.bar
	}
	return 2.5 * m.bar
}

// outwards returns the ring running counter-clockwise.
func outwards(r plane.Ring) plane.Ring {
	if r.Area() < 0 {
		return r.Reversed()
	}
	return r
}

func boxRing(b plane.Box) plane.Ring {
	return plane.Ring{b.Min, {X: b.Max.X, Y: b.Min.Y}, b.Max, {X: b.Min.X, Y: b.Max.Y}}
}
