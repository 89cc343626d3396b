package specimen

import (
	"bytes"
	"fmt"
	"io"

	"sheenlay/engine/plane"
)

// Large writes a sliced file of at least the given number of bytes: a normal
// start and first layer, then layers alike until the size is reached. The
// extruder is relative, so that layers can be alike. It returns the truth of
// the start; Layers holds the first two.
func Large(w io.Writer, size int64) (Truth, error) {
	o := Options{
		Name: "large plate", Shape: Parts(5, 5, 18, 18, 22), At: plane.Point{X: 110, Y: 110}, Walls: 2, FillDegree: 45,
		RelativeE: true, Retract: RetractByE, Heated: true, Layers: 2, Marker: Marker{Text: MarkColon, Word: "LAYER"}, Types: typeSets[1],
	}
	s := Make(o)
	// The second layer, from its marker to the end of its last bead, is the
	// block that is said again with other numbers.
	marker := []byte(";LAYER:1\n")
	at := bytes.Index(s.Bytes, marker)
	block := s.Bytes[at+len(marker) : s.Truth.End.FromOffset]
	head, foot := s.Bytes[:s.Truth.End.FromOffset], s.Bytes[s.Truth.End.FromOffset:]
	written := int64(0)
	put := func(b []byte) error {
		n, err := w.Write(b)
		written += int64(n)
		return err
	}
	if err := put(head); err != nil {
		return s.Truth, err
	}
	old := []byte("Z0.4\n")
	for layer := 2; written+int64(len(foot)) < size; layer++ {
		z, _ := shown(0.2*float64(layer+1), 3)
		if err := put(fmt.Appendf(nil, ";LAYER:%d\n", layer)); err != nil {
			return s.Truth, err
		}
		if err := put(bytes.ReplaceAll(block, old, []byte("Z"+z+"\n"))); err != nil {
			return s.Truth, err
		}
	}
	return s.Truth, put(foot)
}
