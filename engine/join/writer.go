package join

import (
	"math"

	"sheenlay/engine/gcode"
	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// writer writes the lines of a block. Positions are program coordinates in mm,
// held in thousandths as they are written, so that nothing drifts; filament is
// held exactly and what rounding leaves over goes into the next word.
type writer struct {
	gcode.Writer
	lines int

	x, y, z    int64 // thousandths of mm, program coordinates
	placed     bool  // x and y are what has been written last
	feed       float64
	relativeE  bool
	register   float64 // filament register as wanted, mm
	written    int64   // filament register as written, 1e-5 mm
	drawn      float64 // drawn back by E, mm
	byCommand  bool    // drawn back by G10
	pending    float64 // filament of merged segments, mm
	figures    Figures
	shift      plane.Point // machine − program, mm
	shiftZ     float64
	travelFeed float64
}

func (w *writer) end() {
	w.End()
	w.lines++
}

// comment writes a comment line.
func (w *writer) comment(text string) {
	w.Comment(text)
	w.lines++
}

// raw writes a comment line of the original as it was.
func (w *writer) raw(line []byte) {
	w.Bytes = append(w.Bytes, line...)
	if w.CarriageReturn {
		w.Bytes = append(w.Bytes, '\r')
	}
	w.Bytes = append(w.Bytes, '\n')
	w.lines++
}

func (w *writer) command(text string) {
	w.Line(text)
	w.lines++
}

func thousandths(mm float64) int64 { return int64(math.Round(mm * 1000)) }

// axis adds a word of an axis, given in thousandths of mm.
func (w *writer) axis(letter byte, units int64) { w.Coord(letter, float64(units)/1000) }

func (w *writer) rate(mmPerMin float64) {
	if mmPerMin != w.feed {
		w.Value('F', mmPerMin, 2)
		w.feed = mmPerMin
	}
}

// e writes the word that feeds mm of filament (negative draws back).
func (w *writer) e(mm float64) {
	w.register += mm
	units := int64(math.Round(w.register * 1e5))
	if w.relativeE {
		w.E(float64(units-w.written) / 1e5)
	} else {
		w.E(float64(units) / 1e5)
	}
	w.written = units
}

// travelTo moves in X and Y without feeding, where that is a move at all.
func (w *writer) travelTo(p plane.Point) {
	x, y := thousandths(p.X-w.shift.X), thousandths(p.Y-w.shift.Y)
	if w.placed && x == w.x && y == w.y {
		return
	}
	if w.placed {
		w.figures.TravelMM += math.Hypot(float64(x-w.x), float64(y-w.y)) / 1000
	}
	w.Begin("G0")
	w.axis('X', x)
	w.axis('Y', y)
	w.rate(w.travelFeed)
	w.end()
	w.x, w.y, w.placed = x, y, true
}

// zTo moves in Z alone, where that is a move at all.
func (w *writer) zTo(z, mmPerMin float64) {
	units := thousandths(z - w.shiftZ)
	if units == w.z {
		return
	}
	w.Begin("G1")
	w.axis('Z', units)
	w.rate(mmPerMin)
	w.end()
	w.z = units
}

// lay feeds mm of filament on the way to p. A segment too short to be written
// hands its filament to the next.
func (w *writer) lay(p plane.Point, mm, mmPerMin float64) {
	x, y := thousandths(p.X-w.shift.X), thousandths(p.Y-w.shift.Y)
	w.pending += mm
	if x == w.x && y == w.y {
		return
	}
	w.figures.LengthMM += math.Hypot(float64(x-w.x), float64(y-w.y)) / 1000
	w.figures.EMM += w.pending
	w.Begin("G1")
	w.axis('X', x)
	w.axis('Y', y)
	w.e(w.pending)
	w.rate(mmPerMin)
	w.end()
	w.pending = 0
	w.x, w.y = x, y
}

// layArc lays the pending filament along an arc to p.
func (w *writer) layArc(a arc, p plane.Point, mmPerMin float64) {
	x, y := thousandths(p.X-w.shift.X), thousandths(p.Y-w.shift.Y)
	w.figures.LengthMM += a.length(x-w.x, y-w.y)
	w.figures.EMM += w.pending
	w.figures.Arcs++
	if a.left {
		w.Begin("G3")
	} else {
		w.Begin("G2")
	}
	w.axis('X', x)
	w.axis('Y', y)
	w.axis('I', a.i)
	w.axis('J', a.j)
	w.e(w.pending)
	w.rate(mmPerMin)
	w.end()
	w.pending = 0
	w.x, w.y = x, y
}

// depth brings the filament drawn back by E to the wanted depth, mm.
func (w *writer) depth(mm, mmPerMin float64) {
	if math.Abs(mm-w.drawn) < tol.JoinRetraction {
		return
	}
	w.Begin("G1")
	w.e(w.drawn - mm)
	w.rate(mmPerMin)
	w.end()
	w.drawn = mm
}

// firmware brings the retraction by command to the wanted state.
func (w *writer) firmware(drawn bool) {
	if drawn == w.byCommand {
		return
	}
	if drawn {
		w.command("G10")
	} else {
		w.command("G11")
	}
	w.byCommand = drawn
}

// setRegister makes the filament register read mm.
func (w *writer) setRegister(mm float64) {
	w.command("G92 E" + plainNumber(mm, 5))
	w.register = mm
	w.written = int64(math.Round(mm * 1e5))
}

// plainNumber writes v with at most the given decimals.
func plainNumber(v float64, digits int) string { return string(gcode.AppendFixed(nil, v, digits)) }
