package gcode

import (
	"math"

	"sheenlay/engine/plane"
)

// ArcForm is an arc as its words give it, mm. Either R, or the centre: as
// increments from the start, whatever the distance mode (NISTIR 6556, §3.5.17),
// or, where Places says so (G90.1), as a place in machine coordinates.
type ArcForm struct {
	Plane                  Plane
	Left                   bool // G3, counter-clockwise
	I, J, K, R             float64
	HasI, HasJ, HasK, HasR bool
	Places                 bool
}

// arcProblem is what is wrong with an arc: a sentence where there is no arc,
// and the difference of its radii (mm) where there is one. A refused arc is one
// that machines read in different ways.
type arcProblem struct {
	text     string
	mismatch float64
	refused  bool
}

// sameEnd is the distance (mm) under which an arc ends where it starts and is
// a full circle. Reason: far under the last written decimal, far over the
// rounding of a float sum.
const sameEnd = 1e-6

// SolveArc returns the arc from one place to another, by NISTIR 6556, §3.5.3:
// in centre form an end equal to the start is a full circle; in radius form a
// positive radius takes the way of at most 180° and a negative one the longer.
// The zero Arc comes with a problem in words. A helix is an arc whose places
// differ along the plane's third axis.
func SolveArc(from, to Place, form ArcForm) (Arc, arcProblem) {
	start, end := flatten(from, form.Plane), flatten(to, form.Plane)
	if form.HasR {
		return solveRadius(start, end, form)
	}
	given, some, all := form.centre()
	switch {
	case !some:
		return Arc{}, arcProblem{text: "An arc has neither a radius nor a centre."}
	case form.Places && !all:
		return Arc{}, arcProblem{text: "An arc names one coordinate of its centre only, and the centre is said to be a place (G90.1).", refused: true}
	}
	offset, arc := given, Arc{Centre: start.Add(given), Plane: form.Plane}
	if form.Places {
		offset, arc.Centre = given.Sub(start), given
	}
	arc.Radius = offset.Norm()
	if arc.Radius < sameEnd {
		return Arc{}, arcProblem{text: "An arc has its centre at its start."}
	}
	toEnd := end.Sub(arc.Centre)
	problem := arcProblem{mismatch: math.Abs(toEnd.Norm() - arc.Radius)}
	if end.Dist(start) < sameEnd {
		arc.Sweep = 2 * math.Pi
	} else {
		arc.Sweep = angleBetween(offset.Mul(-1), toEnd)
		if !form.Left {
			arc.Sweep = 2*math.Pi - arc.Sweep
		}
	}
	if !form.Left {
		arc.Sweep = -arc.Sweep
	}
	return arc, problem
}

// centre returns the centre as its words give it, in the axes of the plane;
// whether any of the two words is there, and whether both are.
func (f *ArcForm) centre() (given plane.Point, some, all bool) {
	switch f.Plane {
	case PlaneZX:
		return plane.Point{X: f.K, Y: f.I}, f.HasK || f.HasI, f.HasK && f.HasI
	case PlaneYZ:
		return plane.Point{X: f.J, Y: f.K}, f.HasJ || f.HasK, f.HasJ && f.HasK
	}
	return plane.Point{X: f.I, Y: f.J}, f.HasI || f.HasJ, f.HasI && f.HasJ
}

func solveRadius(start, end plane.Point, form ArcForm) (Arc, arcProblem) {
	chord := end.Sub(start)
	length := chord.Norm()
	switch {
	case length < sameEnd:
		return Arc{}, arcProblem{text: "An arc given by its radius ends where it starts."}
	case form.R == 0:
		return Arc{}, arcProblem{text: "An arc has the radius 0."}
	}
	radius := math.Abs(form.R)
	high := float64(radius*radius) - float64(length*length)/4
	problem := arcProblem{}
	if high < 0 {
		if length/2-radius > 0.01 {
			return Arc{}, arcProblem{text: "The radius of an arc is less than half the way to its end."}
		}
		problem.mismatch = length/2 - radius
		high, radius = 0, length/2
	}
	// The centre lies to the left of the chord for a left arc of at most 180°
	// and for a right one of more.
	side := math.Sqrt(high) / length
	if form.Left != (form.R > 0) {
		side = -side
	}
	centre := start.Lerp(end, 0.5).Add(chord.Left().Mul(side))
	sweep := 2 * math.Asin(math.Min(1, length/2/radius))
	if form.R < 0 {
		sweep = 2*math.Pi - sweep
	}
	if !form.Left {
		sweep = -sweep
	}
	return Arc{Centre: centre, Radius: radius, Sweep: sweep, Plane: form.Plane}, problem
}

// angleBetween returns the counter-clockwise angle from a to b in (0, 2π].
func angleBetween(a, b plane.Point) float64 {
	angle := math.Atan2(a.Cross(b), a.Dot(b))
	if angle <= 0 {
		angle += 2 * math.Pi
	}
	return angle
}

// flatten returns the coordinates of a place in the axes of a plane: X and Y,
// Z and X, Y and Z.
func flatten(p Place, in Plane) plane.Point {
	switch in {
	case PlaneZX:
		return plane.Point{X: p.Z, Y: p.X}
	case PlaneYZ:
		return plane.Point{X: p.Y, Y: p.Z}
	}
	return plane.Point{X: p.X, Y: p.Y}
}

// nearHalf reports whether the sweep lies in the ranges that NISTIR 6556,
// §3.5.3.1, advises against for the radius form.
func (a Arc) nearHalf() bool {
	degrees := math.Abs(a.Sweep) * 180 / math.Pi
	return degrees > 165 && degrees < 195 || degrees > 345
}

// Length returns the length of the move's path, mm: of the helix for an arc.
func (m *Move) Length() float64 {
	dx, dy, dz := m.To.X-m.From.X, m.To.Y-m.From.Y, m.To.Z-m.From.Z
	if !m.Arc.Is() {
		return math.Sqrt(float64(dx*dx) + float64(dy*dy) + float64(dz*dz))
	}
	rise := dz
	switch m.Arc.Plane {
	case PlaneZX:
		rise = dy
	case PlaneYZ:
		rise = dx
	}
	return math.Hypot(m.Arc.Radius*m.Arc.Sweep, rise)
}

// Direction returns the unit direction in XY in which the move leaves its
// start; the zero point for a move that goes straight up or stands still.
func (m *Move) Direction() plane.Point {
	if !m.Arc.Is() || m.Arc.Plane != PlaneXY {
		return plane.Point{X: m.To.X - m.From.X, Y: m.To.Y - m.From.Y}.Unit()
	}
	out := plane.Point{X: m.From.X, Y: m.From.Y}.Sub(m.Arc.Centre).Left().Unit()
	if m.Arc.Sweep < 0 {
		out = out.Mul(-1)
	}
	return out
}

// maxArcPoints bounds the points of one flattened arc.
const maxArcPoints = 1 << 16

// AppendArc appends the path of a move in XY, without its start and with its
// exact end, as chords that leave the arc by at most toleranceMM (> 0; smaller
// than 0.0001 counts as that). A straight move appends its end alone.
//
// The chord of an angle a leaves its arc by R(1 − cos(a/2)).
func AppendArc(dst []plane.Point, m Move, toleranceMM float64) []plane.Point {
	end := plane.Point{X: m.To.X, Y: m.To.Y}
	if !m.Arc.Is() {
		return append(dst, end)
	}
	share := math.Max(toleranceMM, 0.0001) / m.Arc.Radius
	step := math.Pi / 2
	if share < 1 {
		step = math.Min(step, 2*math.Acos(1-share))
	}
	n := int(math.Min(maxArcPoints, math.Ceil(math.Abs(m.Arc.Sweep)/step)))
	start := flatten(m.From, m.Arc.Plane).Sub(m.Arc.Centre)
	for i := 1; i < n; i++ {
		t := float64(i) / float64(n)
		p := m.Arc.Centre.Add(start.Turn(m.Arc.Sweep * t))
		switch m.Arc.Plane {
		case PlaneZX:
			p = plane.Point{X: p.Y, Y: m.From.Y + (m.To.Y-m.From.Y)*t}
		case PlaneYZ:
			p = plane.Point{X: m.From.X + (m.To.X-m.From.X)*t, Y: p.X}
		}
		dst = append(dst, p)
	}
	return append(dst, end)
}
