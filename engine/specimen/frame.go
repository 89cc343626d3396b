package specimen

import (
	"fmt"

	"sheenlay/engine/deposit"
	"sheenlay/engine/plane"
)

// head writes what stands before the first layer: comments, start code, prime
// line.
func (b *builder) head() {
	o := b.o
	if o.BOM {
		b.out = append(b.out, 0xEF, 0xBB, 0xBF)
	}
	b.comment("; piece: " + o.Name)
	b.comment(fmt.Sprintf("; first layer %.3g mm, others %.3g mm, bead %.3g mm, filament %.3g mm", o.FirstMM, o.HeightMM, o.WidthMM, o.FilamentMM))
	if o.RawBytes {
		b.comment("; made in K\xf8benhavn, \xb5m")
	}
	if o.Decoys {
		for _, text := range []string{"; layer_height = 0.2", "; first_layer_speed = 20", "; bottom_layers = 3", "; wall loops 2", "; estimated time: 12 m 5 s", "; thumbnail begin 16x16 88", "; iVBORw0KGgoAAAANSUhEUgAAABAAAAAQ", "; thumbnail end"} {
			b.comment(text)
		}
	}
	for i := range o.LinesOver {
		b.comment(fmt.Sprintf("; setting %d = %d", i, i*7%13))
	}
	if o.Numbered {
		b.number = 0
		b.write("M110 N0", "")
	}
	if o.Inch {
		b.write("G20", "; inches")
	} else {
		b.write("G21", "; millimetres")
	}
	b.state.Inch = o.Inch
	b.write("G90", "")
	if o.RelativeE {
		b.write("M83", "")
	} else {
		b.write("M82", "")
	}
	if o.Heated {
		b.write("M140 S60", "")
		b.write("M104 S205", "")
		b.write("M190 S60", "")
		b.write("M109 S205", "")
		b.state.NozzleC, b.state.BedC = 205, 60
	}
	b.write("M107", "")
	b.write("G28", "; home")
	if o.ToolCommand {
		b.write("T0", "")
	}
	if o.Heated && o.AccelInLayer {
		b.write("M204 P1000 T1500", "")
	}
	b.from()
	if o.RelativeHead {
		b.write("G91", "")
		rise, v := shown(5/b.scale(), 4)
		b.write("G1 Z"+rise+" F"+b.rateText(600), "")
		b.rate, b.state.FeedMMPerMin = 600, 600
		b.state.Z = v * b.scale()
		b.write("G90", "")
	} else {
		b.raise(5)
	}
	b.write("G92 E0", "")
	b.state.E = 0
	if o.PrimeLine {
		// In front of the piece, at a height of its own, so that it is told
		// from the first layer by Z as well.
		corner := b.truth.Bed.Min
		b.travel(corner.Add(plane.Point{X: 10, Y: 5}))
		b.raise(o.FirstMM + 0.08)
		b.class = deposit.Priming
		b.lay(corner.Add(plane.Point{X: 70, Y: 5}), EPerMM(0.6, o.FirstMM+0.08, o.FilamentMM), 900)
		b.lay(corner.Add(plane.Point{X: 70, Y: 5.6}), EPerMM(0.6, o.FirstMM+0.08, o.FilamentMM), 900)
		b.lay(corner.Add(plane.Point{X: 10, Y: 5.6}), EPerMM(0.6, o.FirstMM+0.08, o.FilamentMM), 900)
		b.from()
		b.write("G92 E0", "")
		b.state.E = 0
	}
	if o.Marker.Count {
		b.comment(fmt.Sprintf(";%s_COUNT:%d", o.Marker.Word, o.Layers))
	}
}

func (b *builder) rateText(mmPerMin float64) string {
	s, _ := shown(mmPerMin/b.scale(), 2)
	return s
}

// tail writes what stands behind the last layer.
func (b *builder) tail() {
	b.from()
	b.truth.End = b.last
	b.pullBack()
	b.raise(b.z + 5)
	b.write("M107", "")
	if b.o.Heated {
		b.write("M104 S0", "")
		b.write("M140 S0", "")
	}
	b.travel(b.truth.Bed.Min.Add(plane.Point{X: 5, Y: 200}))
	b.write("M84", "")
	b.comment("; end of " + b.o.Name)
	if b.o.NoFinalEnd {
		b.out = b.out[:len(b.out)-1]
		if b.o.CRLF {
			b.out = b.out[:len(b.out)-1]
		}
	}
	b.truth.End.ToLine, b.truth.End.ToOffset = b.line+1, int64(len(b.out))
}
