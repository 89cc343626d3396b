package join_test

import (
	"fmt"
	"strings"

	"sheenlay/engine/join"
	"sheenlay/engine/plane"
)

// A sliced file of two layers gets a new first one. The machine stands where
// the original leaves it when the second layer begins.
func Example() {
	file := "G90\nM83\nG28\nG1 Z5 F3000\n" +
		";LAYER:0\nM106 S0\nG1 X10 Y10 Z0.2\nG1 X20 E0.34 F1200\n" +
		";LAYER:1\nG1 Z0.4\nG1 X10 E0.34\n"
	first, second := int64(strings.Index(file, ";LAYER:0")), int64(strings.Index(file, ";LAYER:1"))
	in := join.Input{
		Head: []byte(file),
		Cuts: []join.Cut{{From: first, To: second}},
		Layers: []join.Layer{{ZMM: 0.2, Operations: []join.Operation{{
			Points: []plane.Point{{X: 12, Y: 10}, {X: 12, Y: 20}, {X: 12.4, Y: 20}},
			E:      []float64{0.34, 0.0136},
			Feed:   []float64{1200, 1200},
		}}}},
		Settings: join.Settings{LiftMM: 0.3, Say: []string{"two strokes"}},
	}
	result, found := join.Build(in)
	fmt.Println("findings:", len(found))
	fmt.Print(string(result.Blocks[0].Bytes))
	proof := join.Prove(result.FinishedHead(in.Head), in.Head, join.PlanOf(in, result, join.Machine{}))
	for _, c := range proof.Clauses {
		fmt.Println(c.OK, c.Name)
	}
	// Output:
	// findings: 0
	// ; sheenlay: new face begins; beads 1, kept strokes 0, prime lines 0, Z 0.2 mm
	// ; sheenlay: two strokes
	// ; sheenlay: retraction 0.8 mm by E, lift 0.3 mm, travel 7200 mm/min
	// ;LAYER:0
	// M106 S0
	// G1 E-0.8 F2400
	// G0 X12 Y10 F7200
	// G1 Z0.2 F600
	// G1 E0.8 F2400
	// G1 X12 Y20 E0.34 F1200
	// G1 X12.4 Y20 E0.0136
	// G1 E-0.8 F2400
	// G1 Z0.5 F600
	// G0 X20 Y10 F7200
	// G1 Z0.2 F600
	// G1 E0.8 F2400
	// G92 E0.34
	// G1 F1200
	// ; sheenlay: new face ends; from the next line on the file is as it was
	// true Head and tail are the original's bytes
	// true Where the tail begins the machine is as the original leaves it
	// true Commands of the removed layer are kept, in order
	// true No move off the bed, too low, cold, retracted, or too fast; nothing too hot
	// true Height, filament and place of every bead are as asked and as in the piece
	// true Every line can be read
}
