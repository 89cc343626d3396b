package bead_test

import (
	"fmt"

	"sheenlay/engine/bead"
)

// A free line 0.45 mm wide and 0.2 mm high, and how far apart such lines make
// a solid layer.
func ExampleModel() {
	fmt.Printf("%.4f mm²\n", bead.Stadium.Area(0.45, 0.2))
	fmt.Printf("%.4f mm apart\n", bead.Stadium.Pitch(0.45, 0.2))
	// Output:
	// 0.0814 mm²
	// 0.4071 mm apart
}

// The pattern takes its bead over from a piece whose lines lie 0.4 mm apart
// and take E 0.0326 for each mm: lines that fan out to 0.6 mm take half more.
func ExampleFromPiece() {
	feed, _ := bead.FromPiece(0.0326, 0.4, 0.2, 1.75)
	fmt.Printf("%.4f %.4f\n", feed.EPerMM(0.4), feed.EPerMM(0.6))
	// Output: 0.0326 0.0489
}
