package motion

import (
	"fmt"
	"math"

	"sheenlay/engine/finding"
	"sheenlay/engine/tol"
)

// Move is one straight move or a pause. Arcs are given as the chords they are
// flattened to.
type Move struct {
	From, To [3]float64 // mm
	DE       float64    // filament fed (negative: drawn back), mm
	Feed     float64    // mm/min; along the way, or of the filament when it moves alone
	Dwell    float64    // s of standing still after the move
}

// Estimate is what a list of moves takes.
type Estimate struct {
	Seconds        float64 // all of it
	FeedingSeconds float64 // moving and feeding
	TravelSeconds  float64 // moving without feeding
	RetractSeconds float64 // filament alone
	DwellSeconds   float64
	FeedingMM      float64 // way with feeding
	TravelMM       float64 // way without
	FilamentMM     float64 // sum of DE, so a retraction and its return cancel
	Moves          int64   // moves added
	Unusable       int64   // left out: a number that is not one, no speed, or farther, slower, longer than any machine goes
}

// Findings says (Caution) when moves had to be left out of the estimate.
func (e Estimate) Findings() finding.List {
	if e.Unusable == 0 {
		return nil
	}
	return finding.List{{
		Code: "motion-unusable", Level: finding.Caution,
		Text:   fmt.Sprintf("%d of %d moves have no usable place, speed or pause; the predicted time leaves them out.", e.Unusable, e.Moves),
		Remedy: "Check the file's feed rates.", Value: float64(e.Unusable), Unit: "moves",
	}}
}

type kind uint8

const (
	feeding kind = iota
	travel
	retract
	pause
)

// block is a move inside the window. Speeds are kept as squares: the rules of
// look-ahead are linear in them.
type block struct {
	length  float64 // mm; pause: seconds
	accel   float64
	cruise  float64 // mm/s, after the axis limits
	limit2  float64 // largest square of the entry speed the corner permits
	entry2  float64 // planned
	reserve float64 // 2·accel·length
	owner   int64   // index of the move it belongs to
	kind    kind
}

// ending is what the next corner needs to know of the block before it.
type ending struct {
	ux, uy, uz            float64 // unit direction
	length, cruise, accel float64
	known                 bool // has a direction in space
}

// The window starts small enough for the processor's cache and grows while its
// moves settle nothing, up to a bound. Only where braking takes more than half
// the largest window, 32 768 moves, is the plan slower than the endless one.
const (
	firstWindow   = 1024
	largestWindow = 65536
)

// Planner adds up the time of moves given one after another, in bounded
// memory and without allocating for each. Create it with NewPlanner; it is not
// safe for concurrent use.
type Planner struct {
	limits Limits
	// OnMove, if set before the first Add, is called once for every move, in
	// order, with its index from 0 and the time it ends (s). Moves that were
	// left out end with the move before them.
	OnMove func(index int64, endSeconds float64)

	est     Estimate
	blocks  []block
	before  ending
	carry2  float64    // square of the speed at which the first block is entered
	now     float64    // end of the last block emitted
	told    int64      // moves reported to OnMove
	accels  [3]float64 // by kind
	limited bool       // any axis limit is set
	level   [2]float64 // speed and acceleration under which X and Y limit no level move
}

// NewPlanner returns a planner for a machine with these limits, which should
// have passed Validate.
func NewPlanner(l Limits) *Planner {
	p := &Planner{blocks: make([]block, 0, firstWindow)}
	p.Limit(l)
	return p
}

// Limit sets the limits of the moves added from now on, for files that change
// them on their way; they should have passed Validate. A corner is taken by the
// limits of the move behind it.
func (p *Planner) Limit(l Limits) {
	p.limits, p.limited = l, false
	p.level = [2]float64{math.Inf(1), math.Inf(1)}
	for i := X; i <= Y; i++ {
		if v := l.MaxSpeedMMs[i]; v > 0 {
			p.level[0] = min(p.level[0], v)
		}
		if a := l.MaxAccelMMs2[i]; a > 0 {
			p.level[1] = min(p.level[1], a)
		}
	}
	p.accels = [3]float64{feeding: l.AccelMMs2, travel: l.TravelAccelMMs2, retract: l.RetractAccelMMs2}
	for i := range axes {
		if l.MaxSpeedMMs[i] > 0 || l.MaxAccelMMs2[i] > 0 {
			p.limited = true
		}
	}
}

// Add appends a move. A move without any motion or pause takes no time.
func (p *Planner) Add(m *Move) {
	index := p.est.Moves
	p.est.Moves++
	dx, dy, dz := m.To[0]-m.From[0], m.To[1]-m.From[1], m.To[2]-m.From[2]
	// Products rounded one by one: no compiler may fuse them, or the time of a
	// file would depend on the machine that works it out.
	square := float64(dx*dx) + float64(dy*dy) + float64(dz*dz)
	way := math.Sqrt(square)
	moves := way > tol.MotionShortest || math.Abs(m.DE) > tol.MotionShortest
	// Written so that NaN fails every comparison.
	if usable := way <= tol.MotionFarthest && math.Abs(m.DE) <= tol.MotionFarthest &&
		m.Dwell >= 0 && m.Dwell <= tol.MotionLongest &&
		(!moves || (m.Feed >= tol.MotionSlowest && m.Feed < math.MaxFloat64)); !usable {
		p.est.Unusable++
		return
	}
	p.est.FilamentMM += m.DE
	if moves {
		if len(p.blocks) == cap(p.blocks) {
			p.plan(false)
		}
		// Resliced instead of appended: the whole block is set anew, and
		// clearing it first cost a tenth of the time.
		p.blocks = p.blocks[:len(p.blocks)+1]
		b := &p.blocks[len(p.blocks)-1]
		b.owner = index
		p.shape(b, m, dx, dy, dz, way)
	}
	if m.Dwell > 0 {
		if len(p.blocks) == cap(p.blocks) {
			p.plan(false)
		}
		p.blocks = append(p.blocks, block{length: m.Dwell, kind: pause, owner: index})
		p.before.known = false
	}
}

// shape fills in what the move alone decides, and the speed at which its
// corner with the move before may be taken.
func (p *Planner) shape(b *block, m *Move, dx, dy, dz, way float64) {
	const minutesPerSecond = 1.0 / 60
	cruise := m.Feed * minutesPerSecond
	filament := math.Abs(m.DE)
	b.limit2, b.entry2 = 0, 0
	if way <= tol.MotionShortest {
		b.kind, b.length, b.cruise, b.accel = retract, filament, cruise, p.accels[retract]
		if v := p.limits.MaxSpeedMMs[E]; v > 0 {
			b.cruise = min(cruise, v)
		}
		if a := p.limits.MaxAccelMMs2[E]; a > 0 {
			b.accel = min(b.accel, a)
		}
		b.reserve = float64(2 * b.accel * b.length)
		p.before.known = false
		return
	}
	per := 1 / way
	b.kind, b.length = travel, way
	next := ending{ux: dx * per, uy: dy * per, uz: dz * per, length: way, known: true}
	if m.DE > 0 {
		b.kind = feeding
	}
	accel := p.accels[b.kind]
	// Most moves are level and slow enough for X and Y at any direction; only
	// the filament is then asked.
	if p.limited && !(dz == 0 && cruise <= p.level[0] && accel <= p.level[1] && p.filamentFree(filament*per, cruise, accel)) {
		share := [axes]float64{math.Abs(next.ux), math.Abs(next.uy), math.Abs(next.uz), filament * per}
		for i, s := range share {
			if v := p.limits.MaxSpeedMMs[i]; v > 0 && cruise*s > v {
				cruise = v / s
			}
			if a := p.limits.MaxAccelMMs2[i]; a > 0 && accel*s > a {
				accel = a / s
			}
		}
	}
	b.cruise, b.accel = cruise, accel
	b.reserve = float64(2 * accel * way)
	next.cruise, next.accel = cruise, accel
	if p.before.known {
		b.limit2 = p.corner(&p.before, &next)
	}
	p.before = next
}

// filamentFree reports whether a move that feeds share mm for each mm of its
// way stays within the limits of the filament's drive.
func (p *Planner) filamentFree(share, cruise, accel float64) bool {
	v, a := p.limits.MaxSpeedMMs[E], p.limits.MaxAccelMMs2[E]
	return (v == 0 || cruise*share <= v) && (a == 0 || accel*share <= a)
}

// corner returns the largest square of the speed between two moves. Each limit
// is first compared without a root or a division, since most do not bind.
func (p *Planner) corner(a, b *ending) float64 {
	slower, accel, length := a.cruise, a.accel, a.length
	if b.cruise < slower {
		slower = b.cruise
	}
	if b.accel < accel {
		accel = b.accel
	}
	if b.length < length {
		length = b.length
	}
	limit2 := float64(slower * slower)
	x, y, z := b.ux-a.ux, b.uy-a.uy, b.uz-a.uz
	bend2 := float64(x*x) + float64(y*y) + float64(z*z)
	if bend2 < tol.MotionStraight*tol.MotionStraight {
		return limit2
	}
	if p.limits.CurveLimited {
		// For a finely divided curve the bend ≈ turn angle, so length/bend is
		// its radius; at a sharp corner of long moves this is no limit.
		if v2 := float64(accel * length); v2*v2 < limit2*limit2*bend2 {
			limit2 = v2 / math.Sqrt(bend2)
		}
	}
	// Not binding by a bound from below: s ≥ 1−h for s = √(1−h), so
	// s(1+s)/h ≥ (1−h)(2−h)/h.
	if h := bend2 / 4; p.limits.Corner == ArcOfDeviation &&
		accel*p.limits.DeviationMM*(1-h)*(2-h) >= limit2*h {
		return limit2
	}
	if v2 := p.limits.cornerSquare(bend2, accel); v2 < limit2 {
		return v2
	}
	return limit2
}

// plan settles the speeds of the window and emits the blocks whose plan later
// moves cannot change; the last one among them keeps its successor's entry.
func (p *Planner) plan(final bool) {
	n := len(p.blocks)
	if n == 0 {
		return
	}
	// Backward: every block must be able to brake to the entry of the next;
	// after the window stands a stop. A block whose corner, not its braking,
	// limits it is settled for good, and so is everything before it.
	settled, next2 := 0, 0.0
	for i := n - 1; i > 0; i-- {
		b := &p.blocks[i]
		b.entry2 = next2 + b.reserve
		if b.limit2 <= b.entry2 {
			b.entry2 = b.limit2
			if settled == 0 {
				settled = i
			}
		}
		next2 = b.entry2
	}
	out := n
	if !final {
		out = settled
		if settled < n/4 {
			if n < largestWindow {
				p.blocks = append(make([]block, 0, 2*n), p.blocks...)
				return
			}
			out = n / 2
		}
	}
	p.emit(out, n)
	kept := copy(p.blocks, p.blocks[out:])
	p.blocks = p.blocks[:kept]
}

// emit runs forward over the first out blocks and adds up their time.
func (p *Planner) emit(out, n int) {
	v0 := math.Sqrt(p.carry2)
	for i := range out {
		b := &p.blocks[i]
		if p.told < b.owner && p.OnMove != nil {
			p.tell(b.owner)
		}
		exit2 := 0.0
		if i+1 < n {
			exit2 = p.carry2 + b.reserve
			if planned := p.blocks[i+1].entry2; planned < exit2 {
				exit2 = planned
			}
		}
		if b.kind == pause {
			p.now += b.length
			p.est.DwellSeconds += b.length
			p.carry2, v0 = 0, 0
			continue
		}
		v1 := math.Sqrt(exit2)
		seconds := 0.0
		ramps := float64(2*b.cruise*b.cruise) - p.carry2 - exit2 // times 2a: the two ramps' length
		if ramps <= b.reserve {
			// (2v−v0−v1)/a + (2ad−ramps)/(2av), in one division.
			twice := 2 * b.cruise
			seconds = (float64((b.cruise-v0+(b.cruise-v1))*twice) + (b.reserve - ramps)) / (b.accel * twice)
		} else {
			seconds = (2*math.Sqrt((b.reserve+p.carry2+exit2)/2) - v0 - v1) / b.accel
		}
		switch b.kind {
		case feeding:
			p.est.FeedingSeconds += seconds
			p.est.FeedingMM += b.length
		case travel:
			p.est.TravelSeconds += seconds
			p.est.TravelMM += b.length
		default:
			p.est.RetractSeconds += seconds
		}
		p.now += seconds
		p.carry2, v0 = exit2, v1
	}
}

// tell reports the moves before index as ended now.
func (p *Planner) tell(index int64) {
	for ; p.told < index && p.OnMove != nil; p.told++ {
		p.OnMove(p.told, p.now)
	}
}

// Finish plans what is left, coming to a stop, and returns the sum. The
// planner may then be used for another list only after Reset.
func (p *Planner) Finish() Estimate {
	p.plan(true)
	p.tell(p.est.Moves)
	p.est.Seconds = p.now
	return p.est
}

// Reset forgets all moves and keeps the limits and the memory.
func (p *Planner) Reset() {
	*p = Planner{limits: p.limits, OnMove: p.OnMove, blocks: p.blocks[:0], accels: p.accels, limited: p.limited, level: p.level}
}

// Time returns what the moves take on a machine with these limits. An empty
// list takes no time.
func Time(moves []Move, l Limits) Estimate {
	p := NewPlanner(l)
	for i := range moves {
		p.Add(&moves[i])
	}
	return p.Finish()
}
