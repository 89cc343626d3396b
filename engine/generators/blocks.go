package generators

import (
	"sheenlay/engine/pattern"
	"sheenlay/engine/tilings"
)

// blocks are the tilings of straight-sided tiles on the triangle's grid.
func blocks() []Generator {
	return []Generator{
		tiled(Generator{
			ID: "tumbling-blocks", Name: "Tumbling blocks",
			About: "The quilter's block of three rhombs: in light it stands up as a stair of cubes, and turns inside out when the light moves.",
			Params: []Param{
				sizeOf("Side of a rhomb", 10, 1.5, 80, "Length of a rhomb's side; under 5 mm the lines between the tiles begin to show."),
				choiceOf("lines", "Lines run", "Along a side covers best; diagonals turn the shading.", "along a side", "along the long diagonal", "along the short diagonal"),
				turnOf(0),
			},
		}, func(v values, _ uint64, s tilings.Site) ([]pattern.Zone, error) {
			return tilings.TumblingBlocks(v["sizeMM"], tilings.Lines(v.choice("lines")), s)
		}),
		sized("hexagons", "Hexagons",
			"The honeycomb, in three directions so that no two cells that touch shine alike.",
			sizeOf("Side of a hexagon", 7, 1.5, 80, "Length of a hexagon's side."), tilings.Hexagons),
		tiled(Generator{
			ID: "triangles", Name: "Triangles",
			About: "Equal triangles in rows, fish scales to the Japanese dyer (uroko): rows of points that flash in turn.",
			Params: []Param{
				sizeOf("Side of a triangle", 12, 2, 120, "Length of a triangle's side."),
				choiceOf("lines", "Lines run", "Along sides covers best; crossed gives the strongest contrast.", "along sides, 60° apart", "crossed, 90° apart"),
				turnOf(0),
			},
		}, func(v values, _ uint64, s tilings.Site) ([]pattern.Zone, error) {
			return tilings.Triangles(v["sizeMM"], v.choice("lines") == 1, s)
		}),
		sized("hemp-leaf", "Hemp leaf",
			"Asanoha, six-pointed leaves from a triangle grid cut to its centres: every star opens and closes as the light goes round.",
			sizeOf("Side of the grid", 18, 4, 120, "Side of the triangles that are cut in three; a leaf is as long."), tilings.HempLeaf),
		tiled(Generator{
			ID: "rhombs", Name: "Rhombs without period", Random: true,
			About: "Thick and thin rhombs on five directions that never repeat: ten shades in stars and wheels that the eye keeps finding.",
			Params: []Param{
				sizeOf("Side of a rhomb", 9, 2, 80, "Length of every side."),
				choiceOf("lines", "Lines run", "Along a side covers best.", "thick along a side, thin lengthwise", "along the long diagonals", "along the short diagonals"),
				turnOf(0),
			},
		}, func(v values, seed uint64, s tilings.Site) ([]pattern.Zone, error) {
			return tilings.Rhombs(v["sizeMM"], tilings.RhombLines(v.choice("lines")), seed, s)
		}),
	}
}

// tiled completes a generator of zones that lie on a site.
func tiled(g Generator, zones func(v values, seed uint64, s tilings.Site) ([]pattern.Zone, error)) Generator {
	g.build = func(v values, seed uint64, on ground) (pattern.Pattern, error) {
		return ofZones(zones(v, seed, v.site(on)))
	}
	return g
}

// sized is a tiling with a size and a turn, and nothing else to set.
func sized(id, name, about string, size Param, zones func(sizeMM float64, s tilings.Site) ([]pattern.Zone, error)) Generator {
	g := Generator{ID: id, Name: name, About: about, Params: []Param{size, turnOf(0)}}
	return tiled(g, func(v values, _ uint64, s tilings.Site) ([]pattern.Zone, error) { return zones(v["sizeMM"], s) })
}

// bricks are the tilings on the square's grid, and the plain faces.
func bricks() []Generator {
	return []Generator{
		tiled(Generator{
			ID: "herringbone", Name: "Herringbone",
			About: "The bricklayer's and weaver's zigzag of butting bricks: two directions at right angles, the strongest contrast there is.",
			Params: []Param{
				sizeOf("Width of a brick", 5, 1.5, 60, "Short side of a brick."),
				countOf("ratio", "Length in widths", 3, 2, 8, "How many widths long a brick is."),
				turnOf(45),
			},
		}, func(v values, _ uint64, s tilings.Site) ([]pattern.Zone, error) {
			return tilings.Herringbone(v["sizeMM"], v.choice("ratio"), s)
		}),
		tiled(Generator{
			ID: "basket-weave", Name: "Basket weave",
			About: "Straps over and under, as a chair seat is woven: the straps seem to rise and dip as they pass.",
			Params: []Param{
				sizeOf("Width of a strap", 6, 1.5, 60, "Width of the straps."),
				lengthOf("gapMM", "Gap between straps", 3, 1, 60, 0.5, "Side of the small squares between the straps."),
				turnOf(0),
			},
		}, func(v values, _ uint64, s tilings.Site) ([]pattern.Zone, error) {
			return tilings.Basket(v["sizeMM"], v["gapMM"], s)
		}),
		tiled(Generator{
			ID: "chevron", Name: "Chevron",
			About: "The mason's and herald's rafter: stripes folded into zigzags whose two arms never shine together.",
			Params: []Param{
				sizeOf("Height of a stripe", 6, 1.5, 60, "Upright height of a stripe."),
				lengthOf("armMM", "Width of an arm", 12, 2, 120, 0.5, "From one fold to the next."),
				degreesOf("slopeDeg", "Slope", 35, 10, 70, "How steeply the arms rise."),
				choiceOf("lines", "Every second stripe", "Upright covers best; crossed gives the strongest contrast.", "upright lines", "lines of the other arm"),
				turnOf(0),
			},
		}, func(v values, _ uint64, s tilings.Site) ([]pattern.Zone, error) {
			return tilings.Chevron(v["sizeMM"], v["armMM"], v.angle("slopeDeg"), v.choice("lines") == 1, s)
		}),
		sized("checker", "Checker",
			"The board of two: squares at right angles to each other that change places from bright to dark with a quarter turn.",
			sizeOf("Side of a square", 8, 1.5, 100, "Side of a square."), tilings.Checker),
		sized("key-fret", "Key fret",
			"The running key of old borders with mitred corners: standing and lying arms light up in turn on an even ground.",
			sizeOf("Width of the line", 2.5, 1.2, 30, "Width of the key's line and of the gaps; a key is 6 wide and 7 high."), tilings.KeyFret),
		{
			ID: "straight", Name: "Straight",
			About:  "One direction over the whole face, like planed wood: bright from one side, dark from the other.",
			Params: []Param{turnOf(0)},
			build: func(v values, _ uint64, on ground) (pattern.Pattern, error) {
				return ofZones(tilings.Straight(v.site(on)), nil)
			},
		},
		{
			ID: "straight-border", Name: "Straight with border",
			About: "A plain middle in a frame with mitred corners, as a joiner edges a table: the frame shines when the middle does not.",
			Params: []Param{
				sizeOf("Width of the border", 6, 1, 100, "Measured inwards from the sides of the face."),
				choiceOf("shape", "Border", "Follows the sides of the face's box, or the largest circle in it.", "four rails", "round"),
				turnOf(45),
			},
			build: func(v values, _ uint64, on ground) (pattern.Pattern, error) {
				if v.choice("shape") == 1 {
					return ofZones(tilings.BorderedRound(v["sizeMM"], on.face, v.site(on.whole())), nil)
				}
				return ofZones(tilings.Bordered(v["sizeMM"], on.face, v.site(on.whole())), nil)
			},
		},
	}
}
