package generators

import (
	"sheenlay/engine/curves"
	"sheenlay/engine/grain"
	"sheenlay/engine/pattern"
	"sheenlay/engine/tilings"
	"sheenlay/engine/tol"
)

// rounds are the patterns of arcs and rays.
func rounds() []Generator {
	return []Generator{
		tiled(Generator{
			ID: "seven-treasures", Name: "Seven treasures",
			About: "Shippō, circles that overlap by a quarter: petals and stars, of which one set is always lit.",
			Params: []Param{
				sizeOf("Radius of a circle", 12, 3, 80, "Radius of the interlaced circles."),
				choiceOf("lines", "Lines in the stars", "Round makes the stars glitter.", "at 45°", "round the centre"),
				turnOf(45),
			},
		}, func(v values, _ uint64, s tilings.Site) ([]pattern.Zone, error) {
			return tilings.SevenTreasures(v["sizeMM"], v.choice("lines") == 1, s)
		}),
		tiled(Generator{
			ID: "scale-waves", Name: "Scale waves",
			About: "Seigaiha, the blue sea of overlapping scales: a wedge of light in every scale swings as the piece is turned.",
			Params: []Param{
				sizeOf("Radius of a scale", 10, 3, 80, "Radius of the circles; the visible part of each is as large as the square on it."),
				choiceOf("lines", "Lines run", "Round the centres as on the cloth, or straight in three directions.", "round each scale", "straight, by row"),
				turnOf(0),
			},
		}, func(v values, _ uint64, s tilings.Site) ([]pattern.Zone, error) {
			return tilings.ScaleWaves(v["sizeMM"], tilings.ScaleLines(v.choice("lines")), s)
		}),
		tiled(Generator{
			ID: "arc-tiles", Name: "Arc tiles", Random: true,
			About: "Square tiles with arcs about two corners, each turned by chance: paths that wander and close without a plan.",
			Params: []Param{
				sizeOf("Side of a tile", 10, 2, 80, "Side of a tile; the arcs run on from tile to tile."),
				turnOf(0),
			},
		}, func(v values, seed uint64, s tilings.Site) ([]pattern.Zone, error) {
			return tilings.ArcTiles(v["sizeMM"], seed, s), nil
		}),
		{
			ID: "sunburst", Name: "Sunburst",
			About: "Rays about one point, as over old doors: two opposite beams of light turn with the viewer.",
			Params: []Param{
				countOf("rays", "Rays", 24, 6, 120, "Number of sectors; made even where two kinds take turns."),
				lengthOf("hubMM", "Radius of the hub", 4, 0, 60, 0.5, "Round middle with lines about its centre; 0 lets the rays meet."),
				choiceOf("lines", "Lines run", "In turn gives the strongest contrast.", "along and across in turn", "along the rays", "across the rays"),
				turnOf(0),
			},
			build: func(v values, _ uint64, on ground) (pattern.Pattern, error) {
				return ofZones(tilings.Sunburst(v.choice("rays"), v["hubMM"], tilings.RayLines(v.choice("lines")), v.site(on)), nil)
			},
		},
		tiled(Generator{
			ID: "rings", Name: "Rings",
			About: "Rings about the middle as on a turned plate: a fan of light that stays with the viewer.",
			Params: []Param{
				choiceOf("lines", "Rings", "Stepped rings turn a little further each time.", "lines all round", "round and straight in turn", "straight, stepped"),
				sizeOf("Width of a ring", 5, 1, 60, "Width of a ring, where rings differ."),
				degreesOf("stepDeg", "Step", 15, -90, 90, "Turn from one stepped ring to the next."),
				turnOf(0),
			},
		}, func(v values, _ uint64, s tilings.Site) ([]pattern.Zone, error) {
			return tilings.Rings(v["sizeMM"], tilings.RingLines(v.choice("lines")), v.angle("stepDeg"), s)
		}),
		{
			ID: "spiral", Name: "Spiral",
			About:  "One line from the middle out, each turn one line further (Archimedes): the sheen of a turned disc.",
			Params: []Param{pitchParam(), turnOf(0)},
			build: func(v values, _ uint64, on ground) (pattern.Pattern, error) {
				return ofCurves(curves.Spiral(v.pitch(), tol.ThreadSimplifyMM, v.curveSite(on)))
			},
		},
	}
}

// wild are the patterns that chance and nature draw.
func wild() []Generator {
	return []Generator{
		tiled(Generator{
			ID: "facets", Name: "Facets", Random: true,
			About: "Cells about scattered points, like hammered metal or cut stone: single facets flash one after the other.",
			Params: []Param{
				sizeOf("Size of a facet", 8, 2, 80, "About the distance from one facet's middle to the next."),
				choiceOf("lines", "Lines run", "Along sides covers best.", "along one of the longer sides", "in a few spread directions"),
				countOf("directions", "Directions", 6, 4, 12, "How many spread directions the facets take; from 6 on no two alike touch."),
				turnOf(0),
			},
		}, func(v values, seed uint64, s tilings.Site) ([]pattern.Zone, error) {
			return tilings.Facets(v["sizeMM"], tilings.FacetLines(v.choice("lines")), v.choice("directions"), seed, s)
		}),
		{
			ID: "wood-grain", Name: "Wood grain with knots", Random: true,
			About: "Growth rings that wave and wrap round knots as in a planed board: the figure moves like that of real wood under varnish.",
			Params: []Param{
				choiceOf("figure", "Figure", "Arched is the grain of a board from the side of the stem.", "straight", "arched").usually(1),
				lengthOf("waveMM", "Height of the waves", 3, 0, 20, 0.5, "How far lines stray to the sides; lowered where lines would crowd."),
				lengthOf("lengthMM", "Length of the waves", 45, 10, 300, 1, "Along the grain."),
				countOf("knots", "Knots", 3, 0, 30, "At most; fewer where they would crowd."),
				lengthOf("knotMM", "Length of a knot", 9, 3, 60, 0.5, "From point to point, give or take a third."),
				turnOf(0),
			},
			build: func(v values, seed uint64, on ground) (pattern.Pattern, error) {
				w, _ := grain.NewWood(on.face.Centre(), grain.WoodOptions{
					Turn: v.angle("turnDeg"), Arched: v.choice("figure") == 1,
					WaveMM: v["waveMM"], LengthMM: v["lengthMM"], Knots: v.choice("knots"), KnotMM: v["knotMM"],
				}, seed, on.face.Grow(marginMM))
				return ofField(w, on)
			},
		},
		{
			ID: "flowing-noise", Name: "Flowing noise", Random: true,
			About: "Lines that swing like weed in a current: soft bands of light that slide over the face.",
			Params: []Param{
				sizeOf("Size of a swing", 25, 5, 200, "About the distance from one swing to the next along the lines."),
				degreesOf("swingDeg", "Swing", 35, 0, 55, "How far the lines turn to either side; less where they would crowd."),
				turnOf(0),
			},
			build: func(v values, seed uint64, on ground) (pattern.Pattern, error) {
				f, _ := grain.NewFlowing(on.face.Centre(), v.angle("turnDeg"), v["sizeMM"], v.angle("swingDeg"), seed, on.face.Grow(marginMM))
				return ofField(f, on)
			},
		},
	}
}

// lines are the space-filling curves.
func lines() []Generator {
	curve := func(id, name, about string, make func(float64, curves.Site) ([]pattern.Curve, error)) Generator {
		return Generator{
			ID: id, Name: name, About: about, Params: []Param{pitchParam(), turnOf(0)},
			build: func(v values, _ uint64, on ground) (pattern.Pattern, error) {
				return ofCurves(make(v.pitch(), v.curveSite(on)))
			},
		}
	}
	return []Generator{
		curve("hilbert", "Hilbert's curve",
			"One line through every point of a square grid (Hilbert 1891): half of it runs each way, an even grey from everywhere.", curves.Hilbert),
		curve("peano", "Peano's curve",
			"The first curve that fills a square (Peano 1890): three of four steps run one way, so it gleams a little from one side.", curves.Peano),
		curve("gosper", "Gosper's curve",
			"One line through every point of a triangle grid: three directions in equal shares, matt from everywhere.", curves.Gosper),
		curve("sierpinski", "Sierpiński's curve",
			"A line that closes on itself, four copies joined in the middle (after Sierpiński 1912), drawn on a square grid so that no gap is left.", curves.Sierpinski),
	}
}
