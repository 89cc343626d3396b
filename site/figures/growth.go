package main

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"math/rand/v2"

	"sheenlay/engine/coverage"
	"sheenlay/engine/deposit"
	"sheenlay/engine/fill"
	"sheenlay/engine/footprint"
	"sheenlay/engine/gcode"
	"sheenlay/engine/generators"
	"sheenlay/engine/grain"
	"sheenlay/engine/layers"
	"sheenlay/engine/overlay"
	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
	"sheenlay/engine/scan"
	"sheenlay/engine/specimen"
	"sheenlay/engine/strand"
	"sheenlay/engine/thread"
)

const (
	lineMM     = 0.42
	fileLineMM = 0.45 // width of the lines in made files
)

var (
	fileSizes = []float64{1, 4, 16, 64, 256}
	faceSizes = []float64{25, 50, 100, 150, 200}
)

// stages is the table of all that is timed.
func stages() []stage {
	return []stage{
		{
			name: "scan", title: "Reading: every word of every line",
			about: "A made file in memory. The scanner finds every word, comment and error of every line.",
			sizes: fileSizes, size: "MB", work: "MB of file", each: "MB/s",
			prepare: prepareScan,
			peers:   []peer{copyInMemory},
		},
		{
			name: "parse", title: "Reading and following the machine",
			about: "The same file; the interpreter also follows the machine's whole state and says what every line moves.",
			sizes: fileSizes, size: "MB", work: "MB of file", each: "MB/s",
			prepare: prepareParse,
			peers:   []peer{copyInMemory, toolpath("", 1e-6)},
		},
		{
			name: "survey", title: "Counting the layers of a whole file",
			about: "The same file, in chunks of 4 MB, once its layer marker is known.",
			sizes: fileSizes, size: "MB", work: "MB of file", each: "MB/s",
			prepare: prepareSurvey,
			peers:   []peer{copyInMemory},
		},
		joinStage(),
		jobStage(),
		{
			name: "footprint", title: "Footprint: outline, holes and walls of a layer",
			about: "A square layer of a made file, two walls and solid fill.",
			sizes: faceSizes, size: "mm", work: "m of line", each: "m/s",
			prepare: func(size float64) (input, error) {
				layer, err := squareLayer(size)
				if err != nil {
					return input{}, err
				}
				return input{metres(linesOf(layer)), func() (float64, error) {
					return footprint.Of(context.Background(), layer, footprint.Options{}).Region.Area(), nil
				}}, nil
			},
			peers: beadPeers(fileLineMM, func(size float64) ([]plane.Polyline, plane.Region, error) {
				layer, err := squareLayer(size)
				return linesOf(layer), nil, err
			}, "only the union of the beads, not what is wall, hole or fill"),
		},
		{
			name: "fill", title: "Fill: one bead over a face of zones",
			about: "Tumbling blocks of 10 mm on a square face, 0.42 mm lines.",
			sizes: faceSizes, size: "mm", work: "m of bead", each: "m/s",
			prepare: func(size float64) (input, error) {
				request, made, err := blocksOn(size)
				return input{made.Stats.LengthMM / 1000, func() (float64, error) {
					again, err := fill.Fill(context.Background(), request)
					return again.Stats.LengthMM, err
				}}, err
			},
			peers: zonePeers(),
		},
		{
			name: "coverage", title: "Coverage: what lies under bead, twice, or open",
			about: "The bead of the table above, counted on a grid of at most a tenth of a line.",
			sizes: faceSizes, size: "mm", work: "m of bead", each: "m/s",
			prepare: func(size float64) (input, error) {
				request, made, err := blocksOn(size)
				return input{made.Stats.LengthMM / 1000, func() (float64, error) {
					return coverage.Measure(context.Background(), coverage.Job{Face: request.Face, Strands: made.Strands, LineMM: lineMM}).Covered.MM2, nil
				}}, err
			},
			peers: beadPeers(lineMM, func(size float64) ([]plane.Polyline, plane.Region, error) {
				request, made, err := blocksOn(size)
				return linesOfStrands(made.Strands), request.Face, err
			}, "only the area covered, all beads of one width"),
		},
		{
			name: "thread", title: "Threading: lines along a field",
			about: "Wood grain with three knots on a square face, closed into loops. No general library does a part of it.",
			sizes: faceSizes, size: "mm", work: "m of bead", each: "m/s",
			prepare: prepareThread,
		},
		{
			name: "clipping", title: "Clipping: rows cut to an outline",
			about: "Rows at 30° cut to an outline of 5200 points with six holes.",
			sizes: []float64{250, 500, 1000, 2000, 4000}, size: "rows", work: "rows", each: "rows/s",
			prepare: prepareClipping,
			peers:   clippingPeers(),
		},
		{
			name: "union", title: "Union of bars",
			about: "Bars of 6 × 0.42 mm thrown on a plate in all directions, about 16 mm² of plate each.",
			sizes: []float64{500, 1000, 2000, 4000, 8000}, size: "bars", work: "bars", each: "bars/s",
			prepare: func(n float64) (input, error) {
				rings := bars(int(n))
				return input{n, func() (float64, error) { return overlay.Normalize(rings, overlay.NonZero).Area(), nil }}, nil
			},
			peers: unionPeers(),
		},
		{
			name: "offset", title: "Offset of an outline",
			about: "The outline of the clipping table with more or fewer points, moved in by half a line, round corners within 4 µm.",
			sizes: []float64{650, 2600, 10400, 41600, 166400}, size: "points", work: "points", each: "points/s",
			prepare: func(n float64) (input, error) {
				g := wavy(int(n / 1.3))
				return input{n, func() (float64, error) { return overlay.Offset(g, -lineMM/2, overlay.Round(), arcMM).Area(), nil }}, nil
			},
			peers: offsetPeers(),
		},
	}
}

// arcMM is how far a round corner may lie from its arc.
const arcMM = 0.004

func madeFile(mb float64) ([]byte, error) {
	var file bytes.Buffer
	file.Grow(int(mb*1e6) + 1<<20)
	_, err := specimen.Large(&file, int64(mb*1e6))
	return file.Bytes(), err
}

func prepareScan(mb float64) (input, error) {
	data, err := madeFile(mb)
	return input{megabytes(data), func() (float64, error) {
		words := 0
		for s := gcode.NewScanner(data); s.Next(); {
			words += len(s.Line().Words())
		}
		return float64(words), nil
	}}, err
}

func prepareParse(mb float64) (input, error) {
	data, err := madeFile(mb)
	return input{megabytes(data), func() (float64, error) {
		in, way := gcode.NewInterp(gcode.Options{}), 0.0
		for s := gcode.NewScanner(data); in.Next(s); {
			if move := in.Move(); move.Moves() {
				way += math.Hypot(move.To.X-move.From.X, move.To.Y-move.From.Y)
			}
		}
		return way, nil
	}}, err
}

func prepareSurvey(mb float64) (input, error) {
	data, err := madeFile(mb)
	if err != nil {
		return input{}, err
	}
	found := layers.Find(data, layers.Options{})
	return input{megabytes(data), func() (float64, error) {
		v := layers.NewSurvey(found, gcode.Options{})
		for at := 0; at < len(data); at += 4 << 20 {
			end := min(len(data), at+4<<20)
			v.Push(data[at:end], end == len(data))
		}
		return float64(v.Count), nil
	}}, nil
}

func megabytes(data []byte) float64 { return float64(len(data)) / 1e6 }

// squareLayer is the first layer of a made file.
func squareLayer(side float64) (deposit.Layer, error) {
	made := specimen.Make(specimen.Options{Shape: specimen.Rectangle(side, side), At: plane.Point{X: 110, Y: 110}, WidthMM: fileLineMM, Walls: 2, FillDegree: 45, Heated: true, Layers: 2})
	read, findings := layers.Read(made.Bytes, layers.Find(made.Bytes, layers.Options{}), 1, gcode.Options{})
	if len(read) == 0 {
		return deposit.Layer{}, fmt.Errorf("the layer of a plate is not read: %v", findings)
	}
	return read[0], nil
}

func linesOf(layer deposit.Layer) (lines []plane.Polyline) {
	for _, s := range layer.Strokes {
		lines = append(lines, plane.Polyline(s.Points))
	}
	return lines
}

func linesOfStrands(strands []strand.Strand) (lines []plane.Polyline) {
	for _, s := range strands {
		lines = append(lines, plane.Polyline(s.Points))
	}
	return lines
}

func metres(lines []plane.Polyline) (sum float64) {
	for _, l := range lines {
		sum += l.Length() / 1000
	}
	return sum
}

// blocks is the pattern of the tables on a square face.
func blocks(side float64) (plane.Region, pattern.Pattern, error) {
	face := box(-side/2, -side/2, side/2, side/2)
	g, err := generators.ByID("tumbling-blocks")
	if err != nil {
		return nil, pattern.Pattern{}, err
	}
	p, err := g.Build(nil, 1, face.Bounds())
	return face, p, err
}

func blocksOn(side float64) (fill.Request, fill.Result, error) {
	face, p, err := blocks(side)
	if err != nil {
		return fill.Request{}, fill.Result{}, err
	}
	request := fill.Request{Face: face, Pattern: p, WidthMM: lineMM, MinWidthMM: 0.24, MaxWidthMM: 0.8, Threader: thread.New()}
	made, err := fill.Fill(context.Background(), request)
	return request, made, err
}

func prepareThread(side float64) (input, error) {
	face := box(-side/2, -side/2, side/2, side/2)
	wood, _ := grain.NewWood(plane.Point{}, grain.WoodOptions{WaveMM: 3, LengthMM: 45, Knots: 3, KnotMM: 9}, 1, face.Bounds())
	area := fill.Area{
		Zone: strand.Ground, Lay: pattern.Lay{Field: wood}, Spacing: lineMM, Width: lineMM, Min: 0.30, Max: 0.55,
		Covers: []scan.Cover{{Region: face, Clearance: lineMM / 2}},
	}
	run := func() (float64, error) {
		made, _, err := thread.New().Zone(context.Background(), area)
		sum := 0.0
		for _, l := range made {
			sum += plane.Polyline(l.Points).Length()
		}
		return sum, err
	}
	way, err := run()
	return input{way / 1000, run}, err
}

const rowsTurn = math.Pi / 6

func rowSpacing(rows float64) float64 { return 200 / rows }

func prepareClipping(rows float64) (input, error) {
	g := wavy(4000)
	return input{rows, func() (float64, error) {
		return scan.Cut(g, scan.NewFrame(rowsTurn), 0, rowSpacing(rows)).Length(), nil
	}}, nil
}

// wavy is an outline of radius 92 mm with two harmonics and six wavy holes,
// 1.3·n points in all.
func wavy(n int) plane.Region {
	ring := func(c plane.Point, radius float64, n int) plane.Ring {
		r := make(plane.Ring, n)
		for i := range r {
			a := 2 * math.Pi * float64(i) / float64(n)
			r[i] = c.Add(plane.Point{X: radius * (1 + 0.05*math.Sin(9*a) + 0.02*math.Sin(31*a))}.Turn(a))
		}
		return r
	}
	g := plane.Region{ring(plane.Point{}, 92, n)}
	for k := range 6 {
		g = append(g, ring(plane.Point{X: 50}.Turn(float64(k)*math.Pi/3), 12, n/20).Reversed())
	}
	return g
}

func bars(n int) []plane.Ring {
	rng := rand.New(rand.NewPCG(1, 2))
	side := 4 * math.Sqrt(float64(n))
	rings := make([]plane.Ring, n)
	for i := range rings {
		m := plane.Rotate(math.Pi * rng.Float64()).Then(plane.Translate(side*rng.Float64(), side*rng.Float64()))
		rings[i] = m.ApplyRegion(box(0, 0, 6, lineMM))[0]
	}
	return rings
}
