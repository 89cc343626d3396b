package layers_test

import (
	"bytes"
	"fmt"
	"strings"
)

// shape is a way in which a file marks its layers. The builder below writes
// files of any shape with the true boundaries as oracle.
type shape struct {
	name string
	// marker returns the lines that mark layer k of n at Z, from 0.
	marker func(k, n int, z float64) []string
	after  func(k, n int, z float64) []string // second half of a before/after pair
	ends   func(k, n int, z float64) []string // lines that end layer k

	where       int // of marker: 0 before retraction, 1 after it, 2 after the Z move
	absolute    bool
	prime       float64 // Z of a priming line in the start code; 0 for none
	primeInBed  bool    // priming line crosses the piece
	hop         bool    // travels within layers are lifted
	labels      bool    // type labels within layers
	layers      int     // 0 counts as 6
	first, step float64
	unmarked    bool // the first layer has no marker
	windows     bool
	sameZParts  int // objects per layer
	header      []string
	trailing    []string
}

// file is a built file with its true boundaries (lines from 1).
type file struct {
	data  []byte
	lines []int // where each layer starts
}

type builder struct {
	shape
	bytes.Buffer
	line   int
	e      float64
	starts []int
	eol    string
}

func (b *builder) put(format string, a ...any) {
	b.line++
	fmt.Fprintf(&b.Buffer, format, a...)
	b.WriteString(b.eol)
}

func (b *builder) all(lines []string) {
	for _, l := range lines {
		b.put("%s", l)
	}
}

func (b *builder) feed(x, y, amount float64) {
	b.e += amount
	if b.absolute {
		b.put("G1 X%.3f Y%.3f E%.5f", x, y, b.e)
	} else {
		b.put("G1 X%.3f Y%.3f E%.5f", x, y, amount)
	}
}

func (b *builder) filament(amount float64) {
	b.e += amount
	if b.absolute {
		b.put("G1 E%.5f F2400", b.e)
	} else {
		b.put("G1 E%.5f F2400", amount)
	}
}

func (b *builder) square(x, y, side float64) {
	b.feed(x+side, y, side*0.04)
	b.feed(x+side, y+side, side*0.04)
	b.feed(x, y+side, side*0.04)
	b.feed(x, y, side*0.04)
}

// build writes a file of the shape.
func build(s shape) file {
	b := &builder{shape: s, eol: "\n"}
	if s.windows {
		b.eol = "\r\n"
	}
	n, first, step := s.layers, s.first, s.step
	if n == 0 {
		n = 6
	}
	if first == 0 {
		first = 0.25
	}
	if step == 0 {
		step = 0.2
	}
	b.put("; coaster for the reading day")
	b.all(s.header)
	b.put("M140 S60")
	b.put("M104 S205")
	b.put("G21")
	b.put("G90")
	if s.absolute {
		b.put("M82")
	} else {
		b.put("M83")
	}
	b.put("G28")
	b.put("G92 E0")
	if s.prime > 0 {
		b.put("G1 Z%.3f F1200", s.prime)
		b.put("G1 X2 Y20 F6000")
		b.feed(2, 180, 10)
		b.put("G1 X2.4 Y180 F6000")
		b.feed(2.4, 20, 10)
		if s.primeInBed {
			b.put("G1 X60 Y101 F6000")
			b.feed(140, 101, 8)
		}
		b.put("G92 E0")
		b.e = 0
	}
	b.put("M109 S205")
	for k := range n {
		z := first + float64(k)*step
		b.layer(k, n, z)
	}
	if s.ends != nil {
		b.all(s.ends(n-1, n, 0))
	}
	b.filament(-1)
	b.put("G1 Z%.3f F1200", first+float64(n)*step+10)
	b.put("M104 S0")
	b.put("M84")
	b.all(s.trailing)
	return file{b.Bytes(), b.starts}
}

func (b *builder) layer(k, n int, z float64) {
	marked := b.marker != nil && !(b.unmarked && k == 0)
	started := false
	begin := func() {
		if !started {
			b.starts = append(b.starts, b.line+1)
			started = true
		}
	}
	mark := func() {
		if marked {
			begin()
			b.all(b.marker(k, n, z))
		}
	}
	if k > 0 && b.ends != nil {
		b.all(b.ends(k-1, n, z))
		if !marked {
			begin()
		}
	}
	if b.where == 0 {
		mark()
	}
	if !marked {
		begin()
	}
	if k > 0 {
		b.filament(-0.8)
	}
	if b.where == 1 {
		mark()
	}
	b.put("G1 Z%.3f F1200", z+0.4)
	b.put("G1 X80 Y80 F9000")
	b.put("G1 Z%.3f F1200", z)
	if b.where == 2 {
		mark()
	}
	if b.after != nil && marked {
		b.all(b.after(k, n, z))
	}
	if k > 0 {
		b.filament(0.8)
	}
	if k == 1 {
		b.put("M106 S255")
	}
	if b.labels && k == 0 {
		b.put(";KIND:skirt")
		b.put("G1 F1800")
		b.square(70, 70, 60)
	}
	parts := max(1, b.sameZParts)
	for p := range parts {
		x := 80 + float64(p)*25
		if b.labels {
			b.put(";KIND:outer wall")
		}
		b.put("G1 X%.3f Y80 F9000", x)
		b.put("G1 F1500")
		b.square(x, 80, 20)
		b.filament(-0.8)
		if b.hop {
			b.put("G1 Z%.3f F1200", z+0.4)
		}
		b.put("G1 X%.3f Y82 F9000", x+2)
		if b.hop {
			b.put("G1 Z%.3f F1200", z)
		}
		b.filament(0.8)
		if b.labels {
			b.put(";KIND:solid")
		}
		for i := range 16 {
			b.feed(x+2+float64((i/2+i)%2)*16, 82+float64(i), 0.6)
		}
	}
}

func numbered(format string, from int) func(k, n int, z float64) []string {
	return func(k, n int, z float64) []string { return []string{fmt.Sprintf(format, k+from)} }
}

func counted(format string, from int) func(k, n int, z float64) []string {
	return func(k, n int, z float64) []string { return []string{fmt.Sprintf(format, k+from, n)} }
}

func plain(lines ...string) func(k, n int, z float64) []string {
	return func(int, int, float64) []string { return lines }
}

func stating(lines ...string) func(k, n int, z float64) []string {
	return func(k, n int, z float64) []string {
		out := []string{}
		for _, l := range lines {
			if strings.Contains(l, "%") {
				l = fmt.Sprintf(l, z)
			}
			out = append(out, l)
		}
		return out
	}
}

// shapes are marker shapes, each described by its form.
var shapes = []shape{
	{name: "numbered from zero", marker: numbered(";LAYER:%d", 0)},
	{name: "numbered from zero, after retraction", marker: numbered(";LAYER:%d", 0), where: 1},
	{name: "numbered from zero, after Z", marker: numbered(";LAYER:%d", 0), where: 2},
	{name: "numbered from one with words", marker: numbered("; layer %d, Z follows", 1)},
	{name: "count three of many", marker: counted("; layer %d/%d", 1)},
	{name: "count with a word", marker: counted("; Layer #%d of %d", 1), absolute: true},
	{name: "no number", marker: plain(";LAYER_CHANGE")},
	{name: "no number with Z and height", marker: stating(";LAYER_CHANGE", ";Z:%.2f", ";HEIGHT:0.2"), labels: true},
	{name: "pair before and after", marker: stating(";BEFORE_LAYER_CHANGE", ";%.2f"), after: stating(";AFTER_LAYER_CHANGE", ";%.2f"), hop: true},
	{name: "typo", marker: numbered(";LAYR:%d", 0), labels: true},
	{name: "swapped letters", marker: numbered("; lyaer %d", 1)},
	{name: "German", marker: numbered("; Schicht %d", 1), windows: true},
	{name: "German with a typo", marker: numbered("; Schict %d", 1)},
	{name: "French", marker: numbered(";COUCHE=%d", 0), absolute: true},
	{name: "Spanish", marker: numbered("(capa %d)", 1)},
	{name: "Italian, no number", marker: plain("; nuovo strato")},
	{name: "Portuguese", marker: numbered(";camada_%d", 0)},
	{name: "Polish", marker: numbered("; warstwa nr %d", 1)},
	{name: "Russian", marker: numbered("; Слой %d", 1)},
	{name: "Chinese without blanks", marker: numbered(";第%d层", 1)},
	{name: "unknown word, counts", marker: numbered("; qvoz %d", 1), labels: true},
	{name: "unknown word, states Z", marker: stating("; qvoz %.2f")},
	{name: "camel case", marker: numbered(";NextLayer %d", 1)},
	{name: "comment behind the Z move", marker: nil},
	{name: "message", marker: counted("M117 Layer %d/%d", 1)},
	{name: "message after Z", marker: counted("M117 Layer %d/%d", 1), where: 2, hop: true},
	{name: "word command with a number", marker: numbered("SET_PRINT_STATS CURRENT_LAYER=%d", 1)},
	{name: "full width", marker: numbered(";ＬＡＹＥＲ：%d", 0)},
	{name: "no markers", hop: true},
	{name: "no markers, absolute", absolute: true},
	{name: "no markers, labels", labels: true},
	{name: "no markers, priming beside", prime: 0.3},
	{name: "priming line at the layer's Z", prime: 0.25, marker: numbered(";LAYER:%d", 0)},
	{name: "priming line lower", prime: 0.2, marker: numbered(";LAYER:%d", 0)},
	{name: "priming line higher, from one", prime: 0.4, marker: numbered("; layer %d", 1)},
	{name: "priming line across the piece", prime: 0.25, primeInBed: true, marker: numbered(";LAYER:%d", 0)},
	{name: "priming line lower, no number", prime: 0.2, marker: plain(";LAYER_CHANGE")},
	{name: "ends only", ends: numbered("; end of layer %d", 0)},
	{name: "ends and starts", ends: numbered("; end layer %d", 0), marker: numbered("; start layer %d", 0)},
	{name: "changes only", marker: numbered("; layer change %d", 1), unmarked: true},
	{name: "changes only, no number", marker: plain("; next layer"), unmarked: true},
	{name: "two layers", marker: numbered(";LAYER:%d", 0), layers: 2},
	{name: "two layers, no markers", layers: 2},
	{name: "three layers, no number", marker: plain("; LAYER CHANGE"), layers: 3},
	{name: "count in the head", header: []string{";LAYER_COUNT:6", ";LAYERS:6", "; layer height 0.2"}, marker: numbered(";LAYER:%d", 0)},
	{name: "settings at the end", trailing: []string{"; layer_height = 0.2", "; first_layer_height = 0.25", "; layer = 7"}, marker: numbered("; layer %d", 0)},
	{name: "several objects", sameZParts: 3, marker: numbered(";LAYER:%d", 0), labels: true, hop: true},
	{name: "several objects, no markers", sameZParts: 3, hop: true},
	{name: "thin layers", step: 0.05, first: 0.1, marker: numbered(";LAYER:%d", 0)},
	{name: "thin layers, no markers", step: 0.05, first: 0.1},
	{name: "time at the end of each layer", ends: func(k, n int, z float64) []string {
		return []string{fmt.Sprintf(";TIME_ELAPSED:%d.5", k*37)}
	}, marker: numbered(";LAYER:%d", 0)},
}
