package specimen

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"sheenlay/engine/deposit"
	"sheenlay/engine/plane"
)

// Make returns the specimen the options describe.
func Make(o Options) Specimen {
	o = o.Filled()
	b := newBuilder(o)
	b.head()
	if !o.Sequential {
		b.stack()
	} else {
		all, layers := b.objects, b.truth.Layers
		for n := range all {
			b.objects = all[n : n+1]
			b.stack()
			if n == 0 {
				layers = b.truth.Layers
			}
			b.raise(b.z + 10)
		}
		b.objects, b.truth.Layers = all, layers
	}
	b.tail()
	return b.done()
}

// stack writes all layers of the objects in hand.
func (b *builder) stack() {
	for i := range b.o.Layers {
		b.layer(i)
	}
}

type builder struct {
	emitter
	objects []Shape // placed
	truth   Truth
	last    Cut // From side of the cut under way
	z       float64
	bound   plane.Box
}

func newBuilder(o Options) *builder {
	b := &builder{emitter: emitter{o: o, number: 1}}
	b.state.RelativeE = o.RelativeE
	b.bound = plane.EmptyBox()
	for _, by := range append([]plane.Point{{}}, o.Copies...) {
		s := o.Shape.Apply(o.TurnDegree*math.Pi/180, o.At.Add(by))
		b.objects = append(b.objects, s)
		b.truth.Footprint = append(b.truth.Footprint, s.Region()...)
	}
	b.bound = b.truth.Footprint.Bounds()
	t := &b.truth
	t.Name, t.FirstHeightMM, t.HeightMM = o.Name, o.FirstMM, o.HeightMM
	t.WidthMM, t.FilamentMM = o.WidthMM, o.FilamentMM
	t.PitchMM = PitchMM(o.WidthMM, o.FirstMM)
	t.EPerMM = EPerMM(o.WidthMM, o.FirstMM, o.FilamentMM)
	t.NoMarkers = o.Marker.Text == MarkNone
	switch {
	case o.Marker.Base < 0:
		t.Refuse = "raft"
	case o.Sequential:
		t.Refuse = "sequential"
	case o.ToolInLayer:
		t.Refuse = "tool change"
	}
	t.Bed = plane.Box{Max: plane.Point{X: 220, Y: 220}}
	if o.Centred {
		t.Bed = plane.Box{Min: plane.Point{X: -110, Y: -110}, Max: plane.Point{X: 110, Y: 110}}
	}
	return b
}

// from notes that what lies before a layer ends here: its last bead, or the
// last command of the start code that is more than a move or a mode.
func (b *builder) from() {
	b.last = Cut{FromLine: b.line + 1, FromOffset: int64(len(b.out)), AtFrom: b.state}
}

func (b *builder) mark(text string, i int) {
	if text == "" {
		return
	}
	text = b.o.Marker.fill(text, i, b.o.Layers, b.z)
	if text[0] == ';' || text[0] == '(' {
		b.comment(text)
	} else {
		b.other(text)
	}
	if b.o.Marker.Z {
		zs, _ := shown(b.z, 3)
		b.comment(";Z:" + zs)
	}
}

// between writes the moves from the last bead of one layer to the first bead
// of the next, with the marker where the options want it.
func (b *builder) between(i int, to plane.Point) {
	o := b.o
	first, second := o.Marker.split()
	if second != "" && o.Marker.Text == MarkEnds && i > 0 {
		b.comment(o.Marker.fill(second, i-1, o.Layers, b.z))
	}
	place := o.MarkerAt
	if i == 0 && place == BeforeRetract && o.RelativeHead {
		place = AfterRetract
	}
	if place == BeforeRetract {
		b.mark(first, i)
	}
	if i > 0 && !o.RunOn {
		b.pullBack()
	}
	if i == 0 && !o.RunOn {
		b.o.Wipe = false // nothing has been laid that could be wiped over
		b.pullBack()
		b.o.Wipe = o.Wipe
	}
	if place == AfterRetract {
		b.mark(first, i)
	}
	high := b.z + o.LiftMM
	if i == 0 {
		high = max(high, 2)
	}
	if o.LiftMM > 0 || i == 0 || !o.ZLate {
		b.raise(high)
	}
	if place == AfterLift {
		b.mark(first, i)
	}
	if i == 1 && o.FanInLayer {
		b.setFan(1)
	}
	b.travel(to)
	if b.state.Z != b.z {
		b.raise(b.z)
	}
	if place == AfterTravel {
		b.mark(first, i)
	}
	b.primed()
	if place == AfterPrime {
		b.mark(first, i)
	}
	if o.Marker.Text == MarkPair {
		b.mark(second, i)
	}
}

// height returns the Z (mm) at which layer i is laid.
func (b *builder) height(i int) float64 {
	if i < b.o.Identical {
		return b.o.FirstMM * float64(i+1)
	}
	return float64(b.o.FirstMM*float64(b.o.Identical)) + float64(b.o.HeightMM*float64(i-b.o.Identical+1))
}

// job is one stroke to be laid.
type job struct {
	class  deposit.Class
	object int // −1 for none
	ring   Contour
	line   plane.Polyline
}

func (j job) start() plane.Point {
	if len(j.line) > 0 {
		return j.line[0]
	}
	return j.ring.Ring[0]
}

func (b *builder) jobs(i int) []job {
	var all []job
	o := b.o
	h := o.FirstMM
	degree := o.FillDegree
	if i >= o.Identical {
		h = o.HeightMM
		degree += 90 * float64((i-o.Identical+1)%2)
	}
	pitch := PitchMM(o.WidthMM, h)
	if i == 0 {
		// Brim loops touch the piece; a skirt keeps a distance from all.
		for k := o.Brim; k > 0; k-- {
			for n, s := range b.objects {
				grown, ok := insetAll(Shape{Contours: s.Contours[:1]}, -(o.WidthMM/2 + float64(k-1)*pitch))
				if ok {
					all = append(all, job{class: deposit.Brim, object: n, ring: grown[0]})
				}
			}
		}
		if o.Skirt {
			g := b.bound.Grow(4 + float64(o.Brim)*pitch)
			r := boxAt(g.Centre().X, g.Centre().Y, g.Size().X, g.Size().Y)
			all = append([]job{{class: deposit.Skirt, object: -1, ring: r}}, all...)
		}
	}
	if o.Support && i < 3 {
		at := plane.Point{X: b.bound.Max.X + 6, Y: b.bound.Centre().Y}
		for k := range 6 {
			x := at.X + float64(k)*2
			l := plane.Polyline{{X: x, Y: at.Y - 6}, {X: x, Y: at.Y + 6}}
			if k%2 == 1 {
				l = l.Reversed()
			}
			all = append(all, job{class: deposit.Support, object: -1, line: l})
		}
	}
	for n, s := range b.objects {
		all = append(all, b.fillObject(n, s, pitch, degree)...)
	}
	return all
}

func (b *builder) fillObject(n int, s Shape, pitch, degree float64) []job {
	var all []job
	walls := 0
	for k := range b.o.Walls {
		rings, ok := insetAll(s, b.o.WidthMM/2+float64(k)*pitch)
		if !ok {
			break
		}
		for _, r := range rings {
			all = append(all, job{class: deposit.Wall, object: n, ring: r})
		}
		walls++
	}
	if b.o.NoFill {
		return all
	}
	edge := b.o.WidthMM / 2
	if walls > 0 {
		edge = b.o.WidthMM/2 + (float64(walls)-0.15)*pitch
	}
	inner, ok := insetAll(s, edge)
	if !ok {
		return all
	}
	var rings []plane.Ring
	for _, c := range inner {
		rings = append(rings, c.Ring)
	}
	for _, l := range hatch(rings, degree, pitch) {
		all = append(all, job{class: deposit.Fill, object: n, line: l})
	}
	return all
}

func (b *builder) layer(i int) {
	o := b.o
	if len(b.truth.Layers) > 0 {
		b.from()
	}
	first := i == 0 && len(b.truth.Layers) == 0
	b.z = b.height(i)
	jobs := b.jobs(i)
	b.object, b.label = "", ""
	b.between(i, b.startOf(jobs))
	if o.ResetE && !o.RelativeE && i > 0 {
		b.write("G92 E0", "")
		b.state.E = 0
	}
	b.last.Z = b.z
	began, class, object := false, deposit.Unknown, -1
	for k, j := range jobs {
		if j.object != object {
			b.named(j.object, object)
			object = j.object
		}
		if j.class != class {
			class = j.class
			b.class, b.open = class, false
			if o.Types.Text != "" {
				b.label = o.Types.Names[class]
				b.comment(strings.ReplaceAll(o.Types.Text, "%t", b.label))
			}
		}
		if first && k > 0 {
			b.inside(k, len(jobs))
		}
		if o.Decoys && k%3 == 2 {
			b.comment(fmt.Sprintf("; segment %d", k))
		}
		b.reach(j.start(), j.class, k > 0)
		if !began {
			b.last.ToLine, b.last.ToOffset, b.last.AtTo = b.line+1, int64(len(b.out)), b.state
			began, b.record = true, first
		}
		b.stroke(j)
	}
	b.record = false
	b.truth.Layers = append(b.truth.Layers, b.last)
	if object >= 0 && o.Labels == LabelsMacro {
		b.named(-1, object)
	}
}

func (b *builder) startOf(jobs []job) plane.Point {
	if len(jobs) == 0 {
		return b.o.At
	}
	return jobs[0].start()
}

func (b *builder) named(now, before int) {
	switch b.o.Labels {
	case LabelsNumber:
		b.other(fmt.Sprintf("M486 S%d", now))
	case LabelsMacro:
		if before >= 0 {
			b.other(fmt.Sprintf("PART_END NAME=tile_%d", before))
		}
		if now >= 0 {
			b.other(fmt.Sprintf("PART_BEGIN NAME=tile_%d", now))
		}
	case LabelsComment:
		b.comment(fmt.Sprintf("; part: tile %d", now))
	}
	b.open = false
}

// inside scatters commands over the first layer.
func (b *builder) inside(k, n int) {
	switch {
	case b.o.FanInLayer && k == n/3:
		b.setFan(0.2)
	case b.o.ToolInLayer && (k == (n+1)/2 || k == n-1):
		b.state.Tool = 1 - b.state.Tool
		b.other(fmt.Sprintf("T%d", b.state.Tool))
		b.open = false
	case b.o.HeatInLayer && k == n/2:
		b.other("M104 S200")
		b.state.NozzleC = 200
	case b.o.AccelInLayer && k == n/4:
		b.other("M204 P800 T1200")
		b.other("M205 X8 Y8")
	case b.o.ProgressInLayer && k%max(1, n/3) == 1:
		b.other(fmt.Sprintf("M73 P%d R12", k*10/n))
	case b.o.UnknownInLayer && k == max(1, n*2/3):
		b.other("M9123 S1 P0.5")
		b.other("BELL TIMES=2")
	}
}

// reach goes to the start of a stroke: along the bead when it is next to the
// end of the last one and of the same kind, else by a travel.
func (b *builder) reach(p plane.Point, class deposit.Class, may bool) {
	here := plane.Point{X: b.state.X, Y: b.state.Y}
	gap := here.Dist(p)
	if gap < 0.001 {
		return
	}
	near := 2.5 * b.o.WidthMM
	if may && b.open && class == deposit.Fill && gap < near {
		b.lay(p, b.perMM(), b.speed())
		return
	}
	long := may && gap > 4
	if long {
		b.pullBack()
		if b.o.LiftMM > 0 {
			b.raise(b.z + b.o.LiftMM)
		}
	}
	b.travel(p)
	if long {
		if b.o.LiftMM > 0 {
			b.raise(b.z)
		}
		b.primed()
	}
}

func (b *builder) perMM() float64 {
	h := b.o.FirstMM
	if b.z > b.o.FirstMM*(float64(b.o.Identical)+0.5) {
		h = b.o.HeightMM
	}
	return EPerMM(b.o.WidthMM, h, b.o.FilamentMM)
}

func (b *builder) speed() float64 {
	mms := b.o.PrintMMs
	if b.z > b.o.FirstMM+1e-9 {
		mms *= 2
	}
	if b.class == deposit.Wall {
		mms *= 0.9
	}
	return math.Round(mms * 60)
}

func (b *builder) stroke(j job) {
	if len(j.line) > 0 {
		for _, p := range j.line[1:] {
			b.lay(p, b.perMM(), b.speed())
		}
		return
	}
	r := j.ring.Ring
	if b.o.Arcs && j.ring.Radius > 0 {
		ccw := r.Area() > 0
		c := j.ring.Centre
		from := c.Add(r[0].Sub(c).Unit().Mul(j.ring.Radius))
		if !b.o.FullCircles {
			b.layArc(c.Add(c.Sub(from)), c, ccw, b.perMM(), b.speed())
		}
		b.layArc(r[0], c, ccw, b.perMM(), b.speed())
		return
	}
	for k := 1; k <= len(r); k++ {
		b.lay(r[k%len(r)], b.perMM(), b.speed())
	}
}

func (b *builder) done() Specimen {
	t := b.truth
	t.Strokes = b.strokes
	t.Commands = slices.Clone(b.command)
	var sums [7]ClassSum
	for _, s := range b.strokes {
		c := &sums[s.Class]
		c.Class = s.Class.String()
		c.Strokes++
		c.LengthMM += s.Length()
		c.FilamentMM += s.Filament()
	}
	for _, c := range sums {
		if c.Strokes > 0 {
			t.ByClass = append(t.ByClass, c)
		}
	}
	return Specimen{Bytes: b.out, Truth: t, Options: b.o}
}
