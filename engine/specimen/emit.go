package specimen

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"sheenlay/engine/deposit"
	"sheenlay/engine/plane"
)

// emitter writes lines in the dress the options ask for and keeps the state
// those lines bring the machine to, as numbers read back from what was
// written, so that the truth holds no digit the file does not.
type emitter struct {
	o       Options
	out     []byte
	line    int // lines written
	number  int // next N word
	state   State
	class   deposit.Class
	label   string
	object  string
	record  bool // strokes and commands are collected
	strokes []deposit.Stroke
	open    bool    // the last stroke may be continued
	carry   float64 // E not yet written, mm
	command []string
	rate    float64 // last F written, mm/min
}

func (m *emitter) end() {
	if m.o.CRLF {
		m.out = append(m.out, '\r')
	}
	m.out = append(m.out, '\n')
	m.line++
}

// comment writes a comment line.
func (m *emitter) comment(text string) {
	m.out = append(m.out, text...)
	m.end()
}

// command writes a line that is not a comment.
func (m *emitter) write(text, comment string) {
	if m.o.LowerCase {
		text = strings.ToLower(text)
	}
	if m.o.Numbered {
		text = "N" + strconv.Itoa(m.number) + " " + text
		sum := byte(0)
		for i := range len(text) {
			sum ^= text[i]
		}
		text += "*" + strconv.Itoa(int(sum))
		m.number++
	}
	m.out = append(m.out, text...)
	if comment != "" {
		m.out = append(m.out, ' ')
		m.out = append(m.out, comment...)
	}
	m.end()
}

// other writes a command that is not a motion.
func (m *emitter) other(text string) {
	m.write(text, "")
	if m.record {
		// As it stands in the file, without number, checksum and case.
		if m.o.LowerCase {
			text = strings.ToLower(text)
		}
		m.command = append(m.command, text)
	}
}

// shown rounds v to d decimals and returns the text (no exponent, no -0) and
// the value a reader gets from it.
func shown(v float64, d int) (string, float64) {
	s := strconv.FormatFloat(v, 'f', d, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" || s == "" {
		s = "0"
	}
	back, _ := strconv.ParseFloat(s, 64)
	return s, back
}

func (m *emitter) scale() float64 {
	if m.o.Inch {
		return 25.4
	}
	return 1
}

// axis returns the word of an axis for an absolute target (mm) and the place
// that is reached.
func (m *emitter) axis(letter string, target float64) (string, float64) {
	d := 3
	if m.o.Inch {
		d = 5
	}
	s, v := shown(target/m.scale(), d)
	return letter + s, v * m.scale()
}

// feedE returns the E word that feeds mm of filament and what is fed in truth.
// What rounding leaves over is carried to the next word.
func (m *emitter) feedE(mm float64) (string, float64) {
	want := mm + m.carry
	d := 5
	if m.o.Inch {
		d = 7
	}
	if m.o.RelativeE {
		s, v := shown(want/m.scale(), d)
		got := float64(v * m.scale())
		m.carry = want - got
		m.state.E += got
		return "E" + s, got
	}
	s, v := shown((m.state.E+want)/m.scale(), d)
	got := float64(v*m.scale()) - m.state.E
	m.carry = want - got
	m.state.E = v * m.scale()
	return "E" + s, got
}

func (m *emitter) words(parts ...string) string {
	if m.o.NoBlanks {
		return strings.Join(parts, "")
	}
	return strings.Join(parts, " ")
}

func (m *emitter) feed(parts []string, mmPerMin float64) []string {
	if m.rate == mmPerMin {
		return parts
	}
	s, v := shown(mmPerMin/m.scale(), 2)
	m.rate = mmPerMin
	m.state.FeedMMPerMin = v * m.scale()
	return append(parts, "F"+s)
}

// travel moves in X and Y without feeding.
func (m *emitter) travel(p plane.Point) {
	m.open = false
	parts := m.feed([]string{"G0"}, m.o.TravelMMs*60)
	wx, x := m.axis("X", p.X)
	wy, y := m.axis("Y", p.Y)
	m.write(m.words(append(parts, wx, wy)...), "")
	m.state.X, m.state.Y = x, y
}

// raise moves in Z alone.
func (m *emitter) raise(z float64) {
	m.open = false
	parts := m.feed([]string{"G1"}, m.o.TravelMMs*60)
	w, v := m.axis("Z", z)
	m.write(m.words(append(parts, w)...), "")
	m.state.Z = v
}

func (m *emitter) note(from plane.Point, points []plane.Point, filament float64) {
	if !m.record {
		return
	}
	if !m.open {
		m.strokes = append(m.strokes, deposit.Stroke{
			Points: []plane.Point{from}, Z: m.state.Z, FirstLine: m.line + 1, FirstOffset: int64(len(m.out)),
			Label: m.label, Object: m.object, Tool: m.state.Tool, Class: m.class, Confidence: 1,
		})
		m.open = true
	}
	s := &m.strokes[len(m.strokes)-1]
	total := plane.Polyline(append([]plane.Point{from}, points...)).Length()
	for _, p := range points {
		share := filament
		if total > 0 {
			share *= p.Dist(from) / total
		}
		s.Points, s.E, s.Feed = append(s.Points, p), append(s.E, share), append(s.Feed, m.state.FeedMMPerMin)
		from = p
	}
}

func (m *emitter) noted() {
	if m.record && m.open {
		s := &m.strokes[len(m.strokes)-1]
		s.LastLine, s.LastOffset = m.line, int64(len(m.out))
	}
}

// lay feeds filament along a straight line.
func (m *emitter) lay(p plane.Point, perMM, mmPerMin float64) {
	from := plane.Point{X: m.state.X, Y: m.state.Y}
	parts := m.feed([]string{"G1"}, mmPerMin)
	wx, x := m.axis("X", p.X)
	wy, y := m.axis("Y", p.Y)
	to := plane.Point{X: x, Y: y}
	we, fed := m.feedE(float64(perMM * to.Dist(from)))
	m.note(from, []plane.Point{to}, fed)
	m.write(m.words(append(parts, wx, wy, we)...), "")
	m.state.X, m.state.Y = x, y
	m.noted()
}

// layArc feeds filament along the arc about centre from here to p, counter-
// clockwise when ccw.
func (m *emitter) layArc(p, centre plane.Point, ccw bool, perMM, mmPerMin float64) {
	from := plane.Point{X: m.state.X, Y: m.state.Y}
	word := "G2"
	if ccw {
		word = "G3"
	}
	parts := m.feed([]string{word}, mmPerMin)
	wx, x := m.axis("X", p.X)
	wy, y := m.axis("Y", p.Y)
	wi, i := m.axis("I", centre.X-from.X)
	wj, j := m.axis("J", centre.Y-from.Y)
	to := plane.Point{X: x, Y: y}
	c := from.Add(plane.Point{X: i, Y: j})
	points, length := arcPoints(from, to, c, ccw)
	we, fed := m.feedE(float64(perMM * length))
	m.note(from, points, fed)
	m.write(m.words(append(parts, wx, wy, wi, wj, we)...), "")
	m.state.X, m.state.Y = x, y
	m.noted()
}

// arcPoints flattens an arc to within 0.002 mm, without its first point.
func arcPoints(from, to, c plane.Point, ccw bool) ([]plane.Point, float64) {
	a0, a1 := from.Sub(c), to.Sub(c)
	sweep := math.Atan2(a0.Cross(a1), a0.Dot(a1))
	if ccw && sweep <= 0 {
		sweep += 2 * math.Pi
	}
	if !ccw && sweep >= 0 {
		sweep -= 2 * math.Pi
	}
	r := a0.Norm()
	n := max(2, int(math.Ceil(math.Abs(sweep)/(2*math.Acos(1-0.002/math.Max(r, 0.01))))))
	var points []plane.Point
	for k := 1; k < n; k++ {
		points = append(points, c.Add(a0.Turn(sweep*float64(k)/float64(n))))
	}
	return append(points, to), math.Abs(sweep) * r
}

// pullBack retracts by what the options say. Nothing happens when filament is
// pulled back already.
func (m *emitter) pullBack() {
	m.open = false
	switch m.o.Retract {
	case RetractByCommand:
		if !m.state.ByCommand {
			m.write("G10", "")
			m.state.ByCommand = true
		}
	case RetractByE:
		if m.state.RetractedMM > 0 {
			return
		}
		part := m.o.RetractMM
		if m.o.Wipe && m.line > 0 {
			// Half of it along a short move back over the bead.
			p := plane.Point{X: m.state.X - 0.6, Y: m.state.Y + 0.2}
			parts := m.feed([]string{"G1"}, m.o.TravelMMs*30)
			wx, x := m.axis("X", p.X)
			wy, y := m.axis("Y", p.Y)
			we, fed := m.feedE(-part / 2)
			m.write(m.words(append(parts, wx, wy, we)...), "")
			m.state.X, m.state.Y = x, y
			m.state.RetractedMM -= fed
			part /= 2
		}
		parts := m.feed([]string{"G1"}, 2400)
		we, fed := m.feedE(-part)
		m.write(m.words(append(parts, we)...), "")
		m.state.RetractedMM -= fed
	}
}

// primed feeds back what was pulled back.
func (m *emitter) primed() {
	m.open = false
	if m.state.ByCommand {
		m.write("G11", "")
		m.state.ByCommand = false
	}
	if m.state.RetractedMM > 0 {
		parts := m.feed([]string{"G1"}, 1800)
		we, _ := m.feedE(m.state.RetractedMM - m.carry)
		m.write(m.words(append(parts, we)...), "")
		m.state.RetractedMM = 0
		m.carry = 0
	}
}

func (m *emitter) setFan(share float64) {
	m.other(fmt.Sprintf("M106 S%d", int(math.Round(share*255))))
	m.state.FanShare = math.Round(share*255) / 255
}
