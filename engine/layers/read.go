package layers

import (
	"bytes"
	"math"
	"strings"

	"sheenlay/engine/deposit"
	"sheenlay/engine/finding"
	"sheenlay/engine/gcode"
	"sheenlay/engine/plane"
	"sheenlay/engine/tol"
)

// maxPoints bounds the points kept of the layers read.
const maxPoints = 20_000_000

// Read returns what the first n layers lay down, from the bytes of the file's
// head, which must reach the start of layer n+1 or the end of the material.
// Layers that the result does not hold are not returned. Arcs are flattened
// within tol.LayerArc. Material that is fed while Z changes belongs to the
// layer in whose lines it stands.
func Read(head []byte, r Result, n int, o gcode.Options) ([]deposit.Layer, finding.List) {
	known := len(r.Layers)
	if r.LastEnds {
		known--
	}
	n = min(n, known)
	if n <= 0 {
		return nil, nil
	}
	rd := reader{layers: make([]deposit.Layer, n)}
	for i := range rd.layers {
		rd.layers[i] = deposit.Layer{Index: i, Z: r.Layers[i].Z, Height: r.Layers[i].HeightMM}
	}
	s := gcode.NewScanner(head)
	in := gcode.NewInterp(o)
	at := -1
	for line := 1; ; line++ {
		from := s.Offset()
		for at+1 < len(r.Layers) && from >= r.Layers[at+1].Offset {
			at++
			rd.cut()
		}
		if at >= n || !in.Next(s) {
			break
		}
		if !s.Passed() {
			rd.labels(s.Line())
		}
		if at >= 0 {
			rd.move(mark{line, from, s.Offset()}, in.Move(), in.At().Tool, &rd.layers[at])
		}
		if rd.points > maxPoints {
			rd.log.Add("layers-large", finding.Stop, s.Line(), 0, "The first layer has more points than can be handled here.",
				"Slice the piece with a coarser resolution.")
			break
		}
	}
	rd.cut()
	return rd.layers, append(in.Findings(), rd.log.Findings()...)
}

// reader gathers strokes.
type reader struct {
	layers        []deposit.Layer
	open          *deposit.Stroke // last stroke of the layer being read; nil after a cut
	label, object string
	points        int
	path          []plane.Point
	log           gcode.Log
}

// cut ends the open stroke.
func (rd *reader) cut() { rd.open = nil }

// move adds the move of a line to the layer, or ends the open stroke.
func (rd *reader) move(here mark, m *gcode.Move, tool int, layer *deposit.Layer) {
	switch m.Kind {
	case gcode.None:
		return
	case gcode.Extrude:
	case gcode.Unretract:
		if m.Moves() {
			rd.cut()
		}
		return
	default:
		rd.cut()
		return
	}
	from := plane.Point{X: m.From.X, Y: m.From.Y}
	rd.path = gcode.AppendArc(rd.path[:0], *m, tol.LayerArc)
	length, before := 0.0, from
	for _, p := range rd.path {
		length += p.Dist(before)
		before = p
	}
	if length == 0 {
		return
	}
	if rd.open != nil && rd.open.Tool != tool {
		rd.cut()
	}
	if rd.open == nil {
		class, sure := classOf(rd.label)
		layer.Strokes = append(layer.Strokes, deposit.Stroke{
			Points: []plane.Point{from}, Z: m.To.Z, FirstLine: here.line, FirstOffset: here.offset,
			Label: rd.label, Object: rd.object, Tool: tool, Class: class, Confidence: sure,
		})
		rd.open = &layer.Strokes[len(layer.Strokes)-1]
	}
	s := rd.open
	s.LastLine, s.LastOffset = here.line, here.end
	for _, p := range rd.path {
		step := p.Dist(from)
		if step == 0 {
			continue
		}
		s.Points = append(s.Points, p)
		s.E = append(s.E, m.Fed*step/length)
		s.Feed = append(s.Feed, m.Feed)
		from = p
		rd.points++
	}
}

// labels follows the comments and commands that name what is laid.
func (rd *reader) labels(l *gcode.Line) {
	label, object := rd.label, rd.object
	switch {
	case l.Is(gcode.NamedCommand):
		object = objectOfCommand(l, object)
	case l.Code == gcode.M(486):
		object = objectOfNumber(l, object)
	case l.Is(gcode.HasComment):
		if name, ok := typeComment(l.Comment); ok {
			label = name
		} else if name, ok := objectComment(l.Comment); ok {
			object = name
		}
	}
	if label != rd.label || object != rd.object {
		rd.label, rd.object = label, object
		rd.cut()
	}
}

// objectOfCommand reads a word command that names an object: OBJECT and START
// in its name with an argument NAME, or OBJECT and END.
func objectOfCommand(l *gcode.Line, object string) string {
	name := bytes.ToUpper(l.Name)
	if !bytes.Contains(name, []byte("OBJECT")) {
		return object
	}
	switch {
	case bytes.Contains(name, []byte("START")):
		return string(l.Argument("NAME"))
	case bytes.Contains(name, []byte("END")):
		return ""
	}
	return object
}

// objectOfNumber reads the command that numbers objects (M486 S) or names the
// present one (M486 A).
func objectOfNumber(l *gcode.Line, object string) string {
	if l.Is(gcode.FreeText) {
		return string(l.Text)
	}
	if v, ok := l.Value('S'); ok {
		if v < 0 {
			return ""
		}
		return "object " + strings.TrimSpace(string(gcode.AppendFixed(nil, math.Round(v), 0)))
	}
	return object
}

// typeKeys open a comment that labels what is laid next.
var typeKeys = []string{"type", "feature", "typ", "tipo", "kind", "linetype", "line type", "segment type", "role", "тип", "类型"}

// typeComment reads "KEY: label" with one of typeKeys, or a comment that is
// nothing but the name of a class.
func typeComment(comment []byte) (string, bool) {
	if len(comment) == 0 || len(comment) > maxText {
		return "", false
	}
	if i := bytes.IndexAny(comment, ":="); i > 0 {
		key, ok := normal(comment[:i])
		for _, k := range typeKeys {
			if ok && key.key == k {
				return string(bytes.TrimSpace(comment[i+1:])), true
			}
		}
		return "", false
	}
	if len(bytes.Fields(comment)) <= 3 {
		if class, _ := classOf(string(comment)); class != deposit.Unknown {
			return string(comment), true
		}
	}
	return "", false
}

// objectComment reads comments that start or stop an object: "printing object
// NAME", "stop printing object NAME", "MESH:NAME".
func objectComment(comment []byte) (string, bool) {
	if len(comment) > maxText {
		return "", false
	}
	low := bytes.ToLower(comment)
	if rest, ok := bytes.CutPrefix(low, []byte("mesh:")); ok {
		name := string(bytes.TrimSpace(comment[len(comment)-len(rest):]))
		if strings.EqualFold(name, "NONMESH") {
			name = ""
		}
		return name, true
	}
	i := bytes.Index(low, []byte("object"))
	if i < 0 || !bytes.Contains(low, []byte("print")) {
		return "", false
	}
	if bytes.Contains(low[:i], []byte("stop")) || bytes.Contains(low[:i], []byte("end")) {
		return "", true
	}
	return string(bytes.Trim(comment[i+len("object"):], " \t:=,")), true
}

// classWords are the words by which labels name classes; common practice, no
// published source. The first that occurs decides.
var classWords = []struct {
	word  string
	class deposit.Class
}{
	{"skirt", deposit.Skirt}, {"brim", deposit.Brim}, {"support", deposit.Support}, {"interface", deposit.Support},
	{"raft", deposit.Support}, {"prime", deposit.Priming}, {"priming", deposit.Priming}, {"purge", deposit.Priming},
	{"tower", deposit.Priming}, {"wipe", deposit.Priming},
	{"wall", deposit.Wall}, {"perimeter", deposit.Wall}, {"outline", deposit.Wall}, {"contour", deposit.Wall}, {"shell", deposit.Wall},
	{"infill", deposit.Fill}, {"fill", deposit.Fill}, {"skin", deposit.Fill}, {"solid", deposit.Fill}, {"surface", deposit.Fill},
	{"bottom", deposit.Fill}, {"bridge", deposit.Fill}, {"gap", deposit.Fill}, {"top", deposit.Fill},
}

// classOf returns the class that a label names, and how sure that is.
func classOf(label string) (deposit.Class, float64) {
	if label == "" || len(label) > maxText {
		return deposit.Unknown, 0
	}
	t, ok := normal([]byte(label))
	if !ok {
		return deposit.Unknown, 0
	}
	for _, c := range classWords {
		for _, w := range strings.Fields(t.key) {
			if w == c.word || len(c.word) > 3 && strings.TrimSuffix(w, "s") == c.word {
				return c.class, 0.9
			}
		}
	}
	return deposit.Unknown, 0
}
