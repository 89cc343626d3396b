package main

import (
	"bufio"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"

	"github.com/peterstace/simplefeatures/geom"

	"sheenlay/engine/plane"
	"sheenlay/engine/scan"
)

const (
	clipperName  = "clipper2-wasm"
	featuresName = "simplefeatures"
)

// copyInMemory is the floor of all reading.
var copyInMemory = peer{name: "plain copy", part: "reads nothing", most: 256, prepare: func(mb float64) (input, error) {
	data, err := madeFile(mb)
	sink := make([]byte, len(data))
	return input{megabytes(data), func() (float64, error) { return float64(copy(sink, data)), nil }}, err
}}

// toolpath is the general G-code library of the registry. It keeps every line
// as objects: at a few hundred MB it runs out of memory.
func toolpath(part string, agrees float64) peer {
	return peer{name: "gcode-toolpath", part: part, most: 16, agrees: agrees, request: func(mb float64) (map[string]any, error) {
		from, _, _, err := fileOnDisk(mb)
		return map[string]any{"kind": "toolpath", "file": from}, err
	}}
}

// beadPeers take the union of beads of one width as polygons and, where there
// is a face, its part inside the face. Their areas are near ours, not the same:
// ours holds the outline, or beads of adapted width.
func beadPeers(widthMM float64, lines func(size float64) ([]plane.Polyline, plane.Region, error), part string) []peer {
	const near = 0.04
	return []peer{
		{name: clipperName, part: part, most: 200, agrees: near, request: func(size float64) (map[string]any, error) {
			all, face, err := lines(size)
			return map[string]any{"kind": "beads", "lines": pairs(all), "width": widthMM, "face": pairs(face)}, err
		}},
		{name: featuresName, part: part, most: 200, agrees: near, prepare: func(size float64) (input, error) {
			all, face, err := lines(size)
			if err != nil {
				return input{}, err
			}
			var beads []geom.Geometry
			for _, l := range all {
				for i := 1; i < len(l); i++ {
					if l[i].Dist(l[i-1]) > 1e-6 {
						beads = append(beads, polygonOf(plane.Region{capsule(l[i-1], l[i], widthMM/2)}).AsGeometry())
					}
				}
			}
			return input{0, func() (float64, error) {
				union, err := geom.UnionMany(beads)
				if err != nil || len(face) == 0 {
					return union.Area(), err
				}
				inside, err := geom.Intersection(union, polygonOf(face).AsGeometry())
				return inside.Area(), err
			}}, nil
		}},
	}
}

// clippingPeers cut the same rows.
func clippingPeers() []peer {
	rows := func(n float64) (plane.Region, []plane.Polyline) {
		g := wavy(4000)
		return g, rowsOver(g, rowsTurn, rowSpacing(n))
	}
	return []peer{
		{name: clipperName, most: 4000, agrees: 1e-5, request: func(n float64) (map[string]any, error) {
			g, lines := rows(n)
			return map[string]any{"kind": "lines", "a": pairs(g), "lines": pairs(lines)}, nil
		}},
		{name: featuresName, most: 4000, agrees: 1e-5, prepare: func(n float64) (input, error) {
			g, lines := rows(n)
			outline, all := polygonOf(g).AsGeometry(), make([]geom.LineString, len(lines))
			for i, l := range lines {
				all[i] = lineString(l)
			}
			many := geom.NewMultiLineString(all).AsGeometry()
			return input{n, func() (float64, error) {
				cut, err := geom.Intersection(many, outline)
				return cut.Length(), err
			}}, nil
		}},
	}
}

func unionPeers() []peer {
	return []peer{
		{name: clipperName, most: 8000, agrees: 1e-5, request: func(n float64) (map[string]any, error) {
			return map[string]any{"kind": "union", "a": pairs(bars(int(n)))}, nil
		}},
		{name: featuresName, most: 8000, agrees: 1e-5, prepare: func(n float64) (input, error) {
			var all []geom.Geometry
			for _, r := range bars(int(n)) {
				all = append(all, polygonOf(plane.Region{r}).AsGeometry())
			}
			return input{n, func() (float64, error) {
				union, err := geom.UnionMany(all)
				return union.Area(), err
			}}, nil
		}},
	}
}

func offsetPeers() []peer {
	return []peer{{name: clipperName, most: math.Inf(1), agrees: 1e-4, request: func(n float64) (map[string]any, error) {
		return map[string]any{"kind": "offset", "a": pairs(wavy(int(n / 1.3))), "d": -lineMM / 2, "tolerance": arcMM}, nil
	}}}
}

// zonePeers cut the rows of every zone to zone and face; no general library
// joins them to a bead.
func zonePeers() []peer {
	const part = "only the rows cut to their zones, not joined to a bead"
	type zone struct {
		region plane.Region
		rows   []plane.Polyline
	}
	zones := func(side float64) (plane.Region, []zone, error) {
		face, p, err := blocks(side)
		var all []zone
		for _, z := range p.Zones {
			all = append(all, zone{z.Region, rowsOver(z.Region, z.Lay.Angle, lineMM)})
		}
		return face, all, err
	}
	return []peer{
		{name: clipperName, part: part, most: 200, request: func(side float64) (map[string]any, error) {
			face, all, err := zones(side)
			var list []map[string]any
			for _, z := range all {
				list = append(list, map[string]any{"a": pairs(z.region), "lines": pairs(z.rows)})
			}
			return map[string]any{"kind": "zones", "face": pairs(face), "zones": list}, err
		}},
		{name: featuresName, part: part, most: 200, prepare: func(side float64) (input, error) {
			face, all, err := zones(side)
			if err != nil {
				return input{}, err
			}
			outline := polygonOf(face).AsGeometry()
			return input{0, func() (float64, error) {
				sum := 0.0
				for _, z := range all {
					inside, err := geom.Intersection(polygonOf(z.region).AsGeometry(), outline)
					if err != nil {
						return 0, err
					}
					many := make([]geom.LineString, len(z.rows))
					for i, l := range z.rows {
						many[i] = lineString(l)
					}
					cut, err := geom.Intersection(geom.NewMultiLineString(many).AsGeometry(), inside)
					if err != nil {
						return 0, err
					}
					sum += cut.Length()
				}
				return sum, nil
			}}, nil
		}},
	}
}

// rowsOver returns the rows of a lattice through the origin that meet a
// region's box, each from end to end of it.
func rowsOver(g plane.Region, angle, spacing float64) (rows []plane.Polyline) {
	frame, in := scan.NewFrame(angle), plane.EmptyBox()
	for _, r := range g {
		for _, p := range r {
			in = in.Include(frame.In(p))
		}
	}
	for n := math.Ceil(in.Min.Y / spacing); n*spacing < in.Max.Y; n++ {
		rows = append(rows, plane.Polyline{
			frame.Out(plane.Point{X: in.Min.X - 1, Y: n * spacing}), frame.Out(plane.Point{X: in.Max.X + 1, Y: n * spacing}),
		})
	}
	return rows
}

// capsule is the outline of a bead with half circles of nine points.
func capsule(a, b plane.Point, radius float64) plane.Ring {
	var ring plane.Ring
	out := a.Sub(b).Unit().Mul(radius).Left()
	for k := range 18 {
		at := a
		if k >= 9 {
			at = b
		}
		ring = append(ring, at.Add(out.Turn(math.Pi*float64(k%9)/8+math.Pi*float64(k/9))))
	}
	return ring
}

// polygonOf hands a region over whose first ring is its outline.
func polygonOf(g plane.Region) geom.Polygon {
	var rings []geom.LineString
	for _, r := range g {
		rings = append(rings, lineString(append(plane.Polyline(r[:len(r):len(r)]), r[0])))
	}
	return geom.NewPolygon(rings)
}

func lineString(l plane.Polyline) geom.LineString {
	flat := make([]float64, 0, 2*len(l))
	for _, p := range l {
		flat = append(flat, p.X, p.Y)
	}
	return geom.NewLineString(geom.NewSequence(flat, geom.DimXY))
}

// pairs hands rings and lines over to node.
func pairs[T ~[]plane.Point](lines []T) [][][2]float64 {
	out := make([][][2]float64, len(lines))
	for i, l := range lines {
		for _, p := range l {
			out[i] = append(out[i], [2]float64{p.X, p.Y})
		}
	}
	return out
}

// node runs peers.js, which answers a request a line.
type node struct {
	in  io.WriteCloser
	out *bufio.Reader
	cmd *exec.Cmd
}

func startNode() (*node, error) {
	cmd := exec.Command("node", "--max-old-space-size=8192", "site/figures/peers.js")
	cmd.Stderr = os.Stderr
	in, err := cmd.StdinPipe()
	if err != nil {
		return nil, err
	}
	out, err := cmd.StdoutPipe()
	if err != nil {
		return nil, err
	}
	return &node{in, bufio.NewReaderSize(out, 1<<20), cmd}, cmd.Start()
}

func (n *node) stop() {
	n.in.Close()
	n.cmd.Wait()
}

func (n *node) ask(request map[string]any) (ms, value float64, failed, err error) {
	request["runs"], request["enoughMS"], request["shortestMS"] = runs, enough.Milliseconds(), shortest.Milliseconds()
	line, err := json.Marshal(request)
	if err != nil {
		return 0, 0, nil, err
	}
	if _, err := n.in.Write(append(line, '\n')); err != nil {
		return 0, 0, nil, err
	}
	if line, err = n.out.ReadBytes('\n'); err != nil {
		return 0, 0, nil, fmt.Errorf("peers.js gave no answer: %w", err)
	}
	var answer struct {
		MS, Value float64
		Error     string
	}
	if err := json.Unmarshal(line, &answer); err != nil {
		return 0, 0, nil, err
	}
	if answer.Error != "" {
		return 0, 0, nil, errors.New(answer.Error)
	}
	return answer.MS, answer.Value, nil, nil
}

// measurePeers times all peers over the sizes they can do. What a library fails
// at is a result, not an error.
func measurePeers(stages []stage) (all []timing, err error) {
	other, err := startNode()
	if err != nil {
		return nil, err
	}
	defer other.stop()
	for _, s := range stages {
		for _, p := range s.peers {
			for _, size := range s.sizes {
				if size > p.most {
					break
				}
				t := timing{Stage: s.name, Who: p.name, Size: size}
				ask := p.inGo
				if p.request != nil {
					ask = other.inNode(p)
				}
				var failed error
				if t.MS, t.Value, failed, err = ask(size); err != nil {
					return nil, fmt.Errorf("%s, %s, %g %s: %w", s.name, p.name, size, s.size, err)
				}
				if failed != nil {
					t.Failed = failed.Error()
				}
				all = append(all, t)
			}
		}
	}
	return all, nil
}

func (p peer) inGo(size float64) (ms, value float64, failed, err error) {
	in, err := p.prepare(size)
	if err == nil {
		ms, value, failed = best(in.run)
	}
	return ms, value, failed, err
}

func (n *node) inNode(p peer) func(size float64) (ms, value float64, failed, err error) {
	return func(size float64) (ms, value float64, failed, err error) {
		request, err := p.request(size)
		if err != nil {
			return 0, 0, nil, err
		}
		return n.ask(request)
	}
}
