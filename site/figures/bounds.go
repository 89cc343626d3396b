package main

import (
	"context"
	"math"
	"slices"

	"sheenlay/engine/fill"
	"sheenlay/engine/grain"
	"sheenlay/engine/overlay"
	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
	"sheenlay/engine/scan"
	"sheenlay/engine/thread"
	"sheenlay/engine/tol"
)

// A bound is what the geometry of a pattern on a face leaves to one unbroken
// bead, percent: at most so much covered, at least so much in open gaps, at most
// such a share of the length within its zone's lay.
//
// # Covered
//
// A bead of width w is round where it turns: outside a turn by φ it leaves
//
//	notch(φ) = (w/2)²·(tan φ/2 − φ/2)
//
// of the corner bare (the kite between the two straight sides less the sector
// of the round), and it overlaps itself inside by as much. So a bead that lays
// as much as the face holds, and nothing twice, covers the face less the
// notches of the turns it cannot do without.
//
// Rows at a distance w that meet a border at the angle θ must turn there, one
// into the next. Two rows take w/sin θ of border each and make one turn by θ
// and one by π − θ, and tan θ/2 + cot θ/2 = 2/sin θ, so per mm of border
//
//	loss(θ) = (w/4)·(1 − (π/4)·sin θ).
//
// A border that rows run along takes no turns and loses nothing; so does every
// stretch of it over which no whole row ends. Where rows end on both sides of a
// border, as many as end on the side of the fewer may go on into each other with
// one turn by the angle between them; whichever of the two loses less counts.
// Curves that are laid as they are make their own turns; where the outline cuts
// them they are tied in pairs along it, by one turn by θ and one by π − θ, as rows
// are.
//
// A bead may pass this bound by laying more than the face holds: by overlap
// (it shows as double), by reaching over the outline (spilled), or by wider
// bead in narrow turns.
//
// # Gap
//
// Of a notch only what lies farther than e from all bead is an open gap: from
// the round of the turn itself, and from the beads beyond its two sides. With
// a = w/2 − e, b = w/2 + e and cos β = a/b that is
//
//	open(φ) = a²·(tan φ/2 − tan β) − b²·(φ/2 − β)
//
// (notch(φ) for e = 0), nothing where φ/2 ≤ β. On the outline itself no bead lies
// beyond one of the sides and more stays open. That is counted for curves, whose
// cuts are known one by one: seen from the turn, the bead beyond the other side
// closes what is not farther than w/2 − e across it, the outline ends what is
// farther than w/2 across it, and in the direction ψ from the one to the other
//
//	cut(φ) = ∫₀^φ ½·(min((w/2−e)/cos ψ, (w/2)/cos(φ−ψ))² − b²)₊ dψ.
//
// # Lay
//
// A row that ends must be joined to the next, unless it goes on into a row
// beyond the border. Along a border with rows on one side only, and along the
// outline, the joins close every second gap between rows: half of its length.
// Of rows that end on both sides as many as end on the side of the fewer (their
// number per mm is sin θ/w) can go on at no cost, where they mirror each other
// all; the rest must turn: of the border half of the share (1 − sin θ₂/sin θ₁),
// on the side of the more. With J the sum of that over all borders and A the
// area, joins take J·w/A of the length of a bead that leads its rows to the
// border; a bead that ends them earlier has shorter joins and leaves the rest
// bare. What links zones, or ends that do not meet, comes on top and is not
// counted, since nothing says how little it may be.
//
// Of a field's lines those that close deeper than two lines in their zone must be
// joined to others there, by two links of one spacing s each: with n of them that
// is 2·n·s of the length that the figure looks at, A/s for the area A as deep.
//
// # Fields
//
// Lines of one width in the direction T need at least ∬|∇·T|/s ends inside.
// Here the width follows the spacing s/|∇Level|, which takes none as long as
// it stays within the limits of the width; ends counts those of the rest.
type bound struct {
	covered, gap, lay float64
	ends              float64 // line ends inside fields
}

// limits are the widths of a bead, mm.
type limits struct{ usual, least, most float64 }

func boundOf(face plane.Region, p pattern.Pattern, w limits) bound {
	area := face.Area()
	if len(p.Curves) > 0 {
		bare, open := curveNotches(face, p.Curves, w.usual)
		return bound{covered: 100 * (1 - bare/area), gap: 100 * open / area, lay: 100}
	}
	var all stretch
	rows, joins, ends := 0.0, 0.0, 0.0
	beyond := laysOf(face, p)
	for _, z := range p.Zones {
		part := overlay.Intersect(z.Region, face)
		field := z.Lay.Field
		if field == nil {
			field = grain.Straight{Angle: z.Lay.Angle}
		}
		lost := borderLoss(part, field, w.usual, beyond)
		all.add(lost)
		if z.Lay.Field == nil {
			joins += lost.joined
			rows += part.Area() / w.usual
		} else {
			ends += lineEnds(part, field, w)
		}
	}
	b := bound{covered: 100 * (1 - all.bare/area), gap: 100 * all.open / area, lay: 100, ends: ends}
	if rows > 0 {
		b.lay = 100 * (1 - joins/rows)
	} else if links, length := fieldLinks(face, p, w); length > 0 {
		b.lay = 100 * (1 - links/length)
	}
	return b
}

// fieldLinks returns the length of links that the lines of fields need deeper than
// two lines in their zones, and the length of all lines there, mm.
func fieldLinks(face plane.Region, p pattern.Pattern, w limits) (links, length float64) {
	deep := 2 * w.usual
	for _, z := range p.Zones {
		part := overlay.Intersect(z.Region, face)
		inner := overlay.Offset(part, -deep, overlay.Round(), 0)
		if len(inner) == 0 {
			continue
		}
		made, _, err := thread.New().Zone(context.Background(), fill.Area{
			Lay: z.Lay, Spacing: w.usual, Width: w.usual, Min: w.least, Max: w.most,
			Covers: []scan.Cover{{Region: part, Clearance: w.usual / 2}},
		})
		if err != nil {
			continue
		}
		length += inner.Area() / w.usual
		for _, l := range made {
			if !slices.ContainsFunc(l.Points, func(p plane.Point) bool { return !inner.Contains(p) }) {
				links += 2 * w.usual
			}
		}
	}
	return links, length
}

// notch returns the area that a bead of width w leaves bare outside a turn
// (radians, less than π), mm².
func notch(w, turn float64) float64 {
	return w * w / 4 * (math.Tan(turn/2) - turn/2)
}

// openNotch returns the part of a notch farther than tol.CoverageOpen from bead.
func openNotch(w, turn float64) float64 {
	a, b := w/2-tol.CoverageOpen, w/2+tol.CoverageOpen
	beta := math.Acos(a / b)
	if turn/2 <= beta {
		return 0
	}
	return a*a*(math.Tan(turn/2)-math.Tan(beta)) - b*b*(turn/2-beta)
}

// openCut returns the part of a notch on the outline farther than
// tol.CoverageOpen from bead.
func openCut(w, turn float64) float64 {
	a, b := w/2-tol.CoverageOpen, w/2+tol.CoverageOpen
	const steps = 200
	sum := 0.0
	for k := range steps {
		psi := turn * (float64(k) + 0.5) / steps
		far := math.Inf(1)
		if c := math.Cos(psi); c > 0 {
			far = a / c
		}
		if c := math.Cos(turn - psi); c > 0 {
			far = math.Min(far, w/2/c)
		}
		sum += math.Max(far*far-b*b, 0) / 2 * turn / steps
	}
	return sum
}

// loss returns the area that rows of width w leave bare per mm of a border that
// they meet at an angle of that sine.
func loss(w, sin float64) float64 { return w / 4 * (1 - math.Pi/4*sin) }

// openLoss is the same for what they leave in open gaps.
func openLoss(w, sin float64) float64 {
	theta := math.Asin(math.Max(sin, leastSin))
	return (openNotch(w, theta) + openNotch(w, math.Pi-theta)) * math.Sin(theta) / (2 * w)
}

// leastSin keeps the two ends of a row apart: nearer to the border's direction
// a row of a 50 mm face ends on it nowhere or once.
const leastSin = 0.02

// borderStep is the length (mm) of the pieces in which a border is looked at.
// Reason: about one row, over which a field's direction hardly changes.
const borderStep = 0.4

// cornerSin is the sine of the least turn that counts as a corner of a border,
// 15°: flattened rounds turn by less at every point.
const cornerSin = 0.26

// laysOf returns a function that tells the direction of the rows at a place of
// the face; false where there are none.
func laysOf(face plane.Region, p pattern.Pattern) func(plane.Point) (plane.Point, bool) {
	const pitch = 4.0
	key := func(q plane.Point) [2]int { return [2]int{int(math.Floor(q.X / pitch)), int(math.Floor(q.Y / pitch))} }
	near := map[[2]int][]int{}
	box := face.Bounds()
	for i, z := range p.Zones {
		b := z.Region.Bounds()
		low, high := key(plane.Point{X: max(b.Min.X, box.Min.X), Y: max(b.Min.Y, box.Min.Y)}), key(plane.Point{X: min(b.Max.X, box.Max.X), Y: min(b.Max.Y, box.Max.Y)})
		for y := low[1]; y <= high[1]; y++ {
			for x := low[0]; x <= high[0]; x++ {
				near[[2]int{x, y}] = append(near[[2]int{x, y}], i)
			}
		}
	}
	return func(q plane.Point) (plane.Point, bool) {
		for _, i := range near[key(q)] {
			z := p.Zones[i]
			if !z.Region.Contains(q) || !face.Contains(q) {
				continue
			}
			if z.Lay.Field != nil {
				return pattern.Slope(z.Lay.Field, q).Unit().Left(), true
			}
			return plane.Point{X: 1}.Turn(z.Lay.Angle), true
		}
		return plane.Point{}, false
	}
}

// borderLoss sums the stretches of a part's border that rows along the level
// lines of field end on; beyond tells the direction of rows elsewhere.
func borderLoss(part plane.Region, field pattern.Field, w float64, beyond func(plane.Point) (plane.Point, bool)) stretch {
	var sum stretch
	for _, ring := range part {
		runs := stretches(ring, field, w, beyond)
		if n := len(runs); n > 1 && runs[n-1].goesOn(runs[0].from, runs[0].across) {
			runs[0].add(runs[n-1])
			runs = runs[:n-1]
		}
		for _, r := range runs {
			if math.Abs(r.across) >= w { // a whole row ends on it
				sum.add(r)
			}
		}
	}
	return sum
}

// stretch is a run of border without corners over which rows end one after
// another: how far it goes across them (signed), the length of the joins along
// it, what is left bare and what of that in open gaps if whole rows end there,
// and its directions at both ends.
type stretch struct {
	across, joined, bare, open float64
	from, to                   plane.Point
}

func (s *stretch) add(o stretch) {
	s.across += o.across
	s.joined += o.joined
	s.bare += o.bare
	s.open += o.open
}

// goesOn reports whether a piece of border that sets out in a direction and
// goes so far across belongs to the run.
func (s stretch) goesOn(direction plane.Point, across float64) bool {
	return s.across*across >= 0 && math.Abs(s.to.Cross(direction)) < cornerSin && s.to.Dot(direction) > 0
}

// goOn takes off what rows save that go on into those of the direction other
// beyond the border.
func (s *stretch) goOn(w, length, sin float64, own, other, outward plane.Point) {
	if own.Dot(outward) < 0 {
		own = own.Mul(-1)
	}
	if other.Dot(outward) < 0 {
		other = other.Mul(-1)
	}
	share := math.Min(other.Dot(outward)/math.Max(sin, 1e-9), 1)
	s.joined *= 1 - share
	// One turn of a row stands for both sides.
	turn, each := math.Abs(math.Atan2(own.Cross(other), own.Dot(other))), share*length*sin/(2*w)
	s.bare = math.Min(s.bare, (1-share)*s.bare+each*notch(w, turn))
	s.open = math.Min(s.open, (1-share)*s.open+each*openNotch(w, turn))
}

// outside is how far (mm) beyond a border the rows there are looked up.
const outside = 0.01

// stretches cuts a ring into runs.
func stretches(ring plane.Ring, field pattern.Field, w float64, beyond func(plane.Point) (plane.Point, bool)) []stretch {
	var out []stretch
	for i, a := range ring {
		b := ring[(i+1)%len(ring)]
		n := math.Ceil(a.Dist(b) / borderStep)
		direction := b.Sub(a).Unit()
		for k := 0.0; k < n; k++ {
			p, q := a.Lerp(b, k/n), a.Lerp(b, (k+1)/n)
			slope := pattern.Slope(field, p.Lerp(q, 0.5)).Unit()
			across, length := slope.Dot(q.Sub(p)), p.Dist(q)
			sin := math.Min(math.Abs(across)/length, 1)
			if len(out) == 0 || !out[len(out)-1].goesOn(direction, across) {
				out = append(out, stretch{from: direction})
			}
			r := &out[len(out)-1]
			one := stretch{across: across, joined: length / 2, bare: length * loss(w, sin), open: length * openLoss(w, sin)}
			outward := direction.Left().Mul(-1)
			if other, ok := beyond(p.Lerp(q, 0.5).Add(outward.Mul(outside))); ok {
				one.goOn(w, length, sin, slope.Left(), other, outward)
			}
			r.add(one)
			r.to = direction
		}
	}
	return out
}

// curveNotches returns what the turns of curves inside the face leave bare, and
// those where the outline cuts them, and what of that in open gaps, mm². Hairpins
// of more than 135° are left out: what lies outside them belongs to other lines.
func curveNotches(face plane.Region, curves []pattern.Curve, w float64) (bare, open float64) {
	inset := overlay.Offset(face, -w/2, overlay.Round(), 0)
	for _, c := range curves {
		was := false
		for i, p := range c.Points {
			now := inset.Contains(p)
			if i > 0 && now != was {
				if turn, ok := cutTurn(inset, c.Points[i-1], p); ok {
					// Of two cuts that are tied one turns by this, one by the rest.
					bare += (notch(w, turn) + notch(w, math.Pi-turn)) / 2
					open += (openCut(w, turn) + openCut(w, math.Pi-turn)) / 2
				}
			}
			was = now
			if !now || i == 0 || i+1 == len(c.Points) {
				continue
			}
			u, v := p.Sub(c.Points[i-1]), c.Points[i+1].Sub(p)
			if turn := math.Abs(math.Atan2(u.Cross(v), u.Dot(v))); turn < 0.75*math.Pi {
				bare += notch(w, turn)
				open += openNotch(w, turn)
			}
		}
	}
	return bare, open
}

// cutTurn returns the lesser turn into the border where the segment from p to q
// first meets it; not nearly along it, where rows end nowhere or once.
func cutTurn(region plane.Region, p, q plane.Point) (turn float64, ok bool) {
	d := q.Sub(p)
	for _, ring := range region {
		for i, a := range ring {
			e := ring[(i+1)%len(ring)].Sub(a)
			det := d.Cross(e)
			if det == 0 {
				continue
			}
			t, s := a.Sub(p).Cross(e)/det, a.Sub(p).Cross(d)/det
			if t >= 0 && t <= 1 && s >= 0 && s < 1 {
				turn = math.Abs(math.Atan2(math.Abs(det), math.Abs(d.Dot(e))))
				return turn, turn > cornerTurn
			}
		}
	}
	return 0, false
}

// cornerTurn is the least angle (radians) to the border at which a cut curve
// counts: the sine is cornerSin.
const cornerTurn = 0.263

// lineEnds returns ∬|∇·T|/s over the places of a part where the spacing of a
// field's lines leaves the limits of the width.
func lineEnds(part plane.Region, field pattern.Field, w limits) float64 {
	const step, d = 0.5, 0.02
	along := func(p plane.Point) plane.Point { return pattern.Slope(field, p).Unit().Left() }
	sum := 0.0
	box := part.Bounds()
	for y := box.Min.Y + step/2; y < box.Max.Y; y += step {
		for x := box.Min.X + step/2; x < box.Max.X; x += step {
			p := plane.Point{X: x, Y: y}
			s := w.usual / math.Max(pattern.Slope(field, p).Norm(), 1e-9)
			if s >= w.least && s <= w.most || !part.Contains(p) {
				continue
			}
			dx := along(plane.Point{X: x + d, Y: y}).X - along(plane.Point{X: x - d, Y: y}).X
			dy := along(plane.Point{X: x, Y: y + d}).Y - along(plane.Point{X: x, Y: y - d}).Y
			if div := math.Abs(dx+dy) / (2 * d); div < mostDivergence { // else a jump of the gradient
				sum += div * step * step / math.Min(math.Max(s, w.least), w.most)
			}
		}
	}
	return sum
}

// mostDivergence (1/mm) is that of lines about a point a tenth of a mm away;
// what is beyond is a gradient that jumps.
const mostDivergence = 10.0
