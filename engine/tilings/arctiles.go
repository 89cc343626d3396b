package tilings

import (
	"sheenlay/engine/grain"
	"sheenlay/engine/pattern"
	"sheenlay/engine/plane"
)

// ArcTiles returns square tiles of sideMM, each turned one of two ways at
// random, filled with arcs about two opposite corners (grain.Arcs). Lines run on
// from tile to tile, so all tiles are one zone with one field.
func ArcTiles(sideMM float64, seed uint64, s Site) []pattern.Zone {
	return []pattern.Zone{{
		Region: plane.Region{rectangle(s.Box)}, Name: "face",
		Lay: pattern.Lay{Field: grain.NewArcs(s.Anchor, s.Turn, sideMM, seed)},
	}}
}
