package specimen

import "sheenlay/engine/plane"

// Sample is a scenario of the page: things made for the reading day of a
// small harbour town's library.
type Sample struct {
	ID      string // also the file name, without ".gcode"
	Title   string
	About   string
	Options Options
}

// Samples returns the scenarios in the order the page shows them. Each file
// is under 150 kB.
func Samples() []Sample {
	at := plane.Point{X: 110, Y: 110}
	base := func(name string, shape Shape) Options {
		return Options{
			Name: name, Shape: shape, At: at, Walls: 2, FillDegree: 45, FirstMM: 0.2, HeightMM: 0.2, WidthMM: 0.45,
			Heated: true, Retract: RetractByE, LiftMM: 0.4, PrimeLine: true, Skirt: true, Layers: 5,
			Marker: Marker{Text: MarkColon, Word: "LAYER"}, MarkerAt: BeforeRetract, Types: typeSets[1],
			ProgressInLayer: true, FanInLayer: true,
		}
	}
	tile := base("harbour tile", Disc(45))
	tile.Layers = 4

	mark := base("bookmark", Tag(140, 34, 4))
	mark.RelativeE, mark.Layers, mark.At = true, 3, plane.Point{X: 110, Y: 100}
	mark.Marker, mark.Types = Marker{Text: MarkOf, Word: "layer", Base: 1}, typeSets[2]

	shelf := base("shelf tag", Tag(70, 30, 3))
	shelf.Retract, shelf.LiftMM, shelf.Labels = RetractByCommand, 0, LabelsNumber
	shelf.Marker = Marker{Text: MarkHeight, Word: "LAYER"}

	lamp := base("lamp panel", Rectangle(70, 90))
	lamp.Identical, lamp.Layers, lamp.Walls = 3, 5, 1
	lamp.Marker, lamp.MarkerAt, lamp.RelativeE = Marker{Text: MarkPair, Word: "LAYER", Z: true}, AfterTravel, true

	box := base("letter box", Islands(70))
	box.Layers, box.Brim, box.Arcs, box.Types = 4, 3, true, Types{}
	box.Marker = Marker{Text: MarkNone}

	return []Sample{
		{"harbour-tile", "Harbour tile", "A round coaster, 90 mm across, 0.8 mm thick.", tile},
		{"bookmark", "Bookmark", "140 × 34 mm with a hole for a ribbon.", mark},
		{"shelf-tag", "Shelf tag", "70 × 30 mm, hung by a round hole.", shelf},
		{"lamp-panel", "Lamp panel", "70 × 90 mm; its three bottom layers are alike.", lamp},
		{"letter-box", "Letter box", "A box that stands on a rim and four feet: several islands, and no layer comments.", box},
	}
}

// TestFiles returns the specimens kept in testdata/sliced: absolute and
// relative E × retracted and primed × lifted and not at the layer marker, each
// with a marker of another shape, and the dress files come in.
func TestFiles() []Sample {
	at := plane.Point{X: 110, Y: 110}
	file := func(id, about string, relative, retracted, lifted bool, text, word string, base int, more func(*Options)) Sample {
		o := Options{
			Name: id, Shape: Rectangle(24, 16), At: at, Walls: 2, FillDegree: 45, Layers: 4, Heated: true, PrimeLine: true,
			RelativeE: relative, Retract: RetractByE, Marker: Marker{Text: text, Word: word, Base: base},
		}
		switch {
		case retracted && lifted:
			o.LiftMM, o.MarkerAt = 0.4, AfterLift
		case retracted:
			o.MarkerAt = AfterRetract
		case lifted:
			o.RunOn, o.LiftMM, o.MarkerAt = true, 0.4, AfterLift
		default:
			o.MarkerAt = BeforeRetract
		}
		if more != nil {
			more(&o)
		}
		return Sample{ID: id, About: about, Options: o}
	}
	return []Sample{
		file("absolute-retracted-lifted", "word and number from zero", false, true, true, MarkColon, "LAYER", 0, nil),
		file("absolute-retracted-low", "number of a count, from one", false, true, false, MarkOf, "layer", 1, func(o *Options) {
			o.Shape, o.Skirt, o.Types = Disc(10), true, typeSets[2]
		}),
		file("absolute-primed-lifted", "number and height", false, false, true, MarkHeight, "SCHICHT", 0, func(o *Options) {
			o.Types, o.CRLF = typeSets[3], true
		}),
		file("absolute-primed-low", "in parentheses", false, false, false, MarkBracket, "couche", 1, func(o *Options) {
			o.ResetE, o.LowerCase, o.Shape = true, true, Annulus(11, 4)
		}),
		file("relative-retracted-lifted", "a pair before and after", true, true, true, MarkPair, "LAYER", 0, func(o *Options) {
			o.Marker.Z, o.Types, o.AccelInLayer, o.FanInLayer = true, typeSets[1], true, true
		}),
		file("relative-retracted-low", "dashes, an invented word", true, true, false, MarkDashes, "blorp", 0, func(o *Options) {
			o.Shape, o.Labels = Parts(3, 2, 5, 5, 8), LabelsMacro
		}),
		file("relative-primed-lifted", "mistyped, with an equals sign", true, false, true, MarkEquals, "LAYR", 0, func(o *Options) {
			o.NoBlanks, o.Shape = true, Letter(30)
		}),
		file("relative-primed-low", "the height alone", true, false, false, MarkZ, "strato", 0, func(o *Options) {
			o.BOM, o.NoFinalEnd, o.Shape = true, true, Slits(24, 14, 3, 0.8)
		}),
		file("by-command", "a change without a number", false, true, false, MarkChange, "LAYER", 0, func(o *Options) {
			o.Retract, o.Labels, o.Copies = RetractByCommand, LabelsNumber, []plane.Point{{X: 30}}
			o.ProgressInLayer, o.UnknownInLayer = true, true
		}),
		file("inches", "number sign, in inches", false, true, true, MarkHash, "CAPA", 1, func(o *Options) {
			o.Inch = true
		}),
		file("numbered", "a message command, numbered lines with checksums", true, true, true, MarkCommand, "LAYER", 0, func(o *Options) {
			o.Numbered, o.HeatInLayer = true, true
		}),
		file("arcs", "begin and end of each layer, arcs", true, true, false, MarkEnds, "level", 1, func(o *Options) {
			o.Arcs, o.Shape, o.Support, o.Brim = true, Tag(30, 14, 3), true, 2
		}),
		file("progress", "a progress command with the layer's number", false, true, false, MarkDone, "", 0, func(o *Options) {
			o.Shape, o.TurnDegree, o.RelativeHead = Star(5, 16, 40), 10, true
		}),
		file("silent", "no comment at all", true, false, false, MarkNone, "", 0, func(o *Options) {
			o.Shape, o.RawBytes = Twins(9, 12, 0.6), true
		}),
	}
}
