package protocol

import (
	"math"

	"sheenlay/engine/bead"
	"sheenlay/engine/making"
)

// Figure is one number of a report: its place in "figures", what a person
// calls it, its unit, and what it says. The report is written from this table.
type Figure struct {
	Name  string `json:"name"`
	Label string `json:"label"`
	Unit  string `json:"unit,omitempty"` // "mm", "mm²", "share" (0 to 1), …; "" for counts and factors
	Doc   string `json:"doc"`

	when need
	of   func(from) any
}

// need is what a figure cannot be given without.
type need int

const (
	always   need = iota
	finished      // a finished file
	followed      // a finished file, the rest of which was followed to its end
)

// from is what figures are taken from: a job done, its first layer, and the
// whole file, nil where it is not known.
type from struct {
	m *making.Made
	l *making.Layer
	w *totals
}

// Figures returns every figure that a report can hold, in the order in which
// they are read best.
func Figures() []Figure {
	return []Figure{
		{"lengthMM", "Length of the pattern", "mm", "Length of all beads of the pattern on the first layer.", always, func(f from) any { return f.l.Stats.LengthMM }},
		{"strands", "Unbroken lines", "", "Number of beads laid without a travel; one for each island at best.", always, func(f from) any { return len(f.l.Strands) }},
		{"travels", "Travels within islands", "", "Breaks of the bead within an island.", always, func(f from) any { return f.l.Stats.Travels }},
		{"crossings", "Crossings", "", "Places where bead would be laid over bead.", always, func(f from) any { return f.l.Stats.Crossings }},
		{"zones", "Zones", "", "Zones of the pattern that hold bead.", always, func(f from) any { return f.l.Stats.Zones }},
		{"bridges", "Bridges", "", "Places where two loops of the bead were made one.", always, func(f from) any { return f.l.Stats.Bridges }},
		{"areaMM2", "Area of the face", "mm²", "Area that the pattern has to cover on the first layer.", always, func(f from) any { return f.l.Face.Area() }},
		{"leftOutMM2", "Left out", "mm²", "Area of parts too narrow for a bead.", always, func(f from) any { return f.l.Stats.LeftOutMM2 }},
		{"layWithin1Deg", "Along its lay", "share", "Share of the length that runs within 1° of its zone's lay, links included; fields are left out.", always, func(f from) any { return f.l.Stats.ShareOfLayWithin1Deg }},
		{"widthMM", "Line width", "mm", "Width of one line and distance of neighbouring lines.", always, func(f from) any { return f.m.Line.WidthMM }},
		{"heightMM", "Layer height", "mm", "Height of the first layer, from the sliced file.", always, func(f from) any { return f.m.Line.HeightMM }},
		{"ePerMM", "Filament for each mm", "mm/mm", "Filament fed for each mm of a line of that width, before the balance.", always, func(f from) any { return f.m.Line.EPerMM }},
		{"sectionMM2", "Section of a line", "mm²", "Area of plastic in the cross-section of one line.", always, func(f from) any { return f.m.Line.SectionMM2 }},
		{"freeWidthMM", "A line by itself", "mm", "How wide one line would be beside no neighbour, if its section is a rectangle with half-round ends; real ones come near it when laid fast, and are flatter when laid slowly. 0 where it would be higher than wide.", always, func(f from) any { width, _ := f.m.Line.ByItself(); return width }},
		{"flatMM", "Its flat on the plate", "mm", "Width in which such a line touches the plate; the rest up to the next line is the groove that one sees.", always, func(f from) any { _, flat := f.m.Line.ByItself(); return flat }},
		{"flowMM3s", "Flow of material", "mm³/s", "Plastic melted each second at the pattern's speed.", always, func(f from) any { return f.m.Line.FlowMM3s }},
		{"layers", "Layers with the pattern", "", "Number of layers that are replaced.", always, func(f from) any { return len(f.m.Layers) }},

		{"coveredShare", "Covered", "share", "Share of the face under bead.", finished, func(f from) any { return f.m.Coverage.Covered.Percent / 100 }},
		{"doubleShare", "Laid twice", "share", "Share of the face under two beads or more.", finished, func(f from) any { return f.m.Coverage.Double.Percent / 100 }},
		{"spilledShare", "Spilled", "share", "Bead outside the footprint, as a share of the face.", finished, func(f from) any { return f.m.Coverage.Spilled.Percent / 100 }},
		{"gapShare", "Open gaps", "share", "Share of the face farther from bead than a squeeze closes.", finished, func(f from) any { return f.m.Coverage.Open.Percent / 100 }},
		{"coveredMM2", "Covered area", "mm²", "Area of the face under bead.", finished, func(f from) any { return f.m.Coverage.Covered.MM2 }},
		{"doubleMM2", "Area laid twice", "mm²", "Area of the face under two beads or more.", finished, func(f from) any { return f.m.Coverage.Double.MM2 }},
		{"spilledMM2", "Area spilled", "mm²", "Area of bead outside the footprint.", finished, func(f from) any { return f.m.Coverage.Spilled.MM2 }},
		{"gapMM2", "Area of open gaps", "mm²", "Area farther from bead than a squeeze closes.", finished, func(f from) any { return f.m.Coverage.Open.MM2 }},
		{"balance", "Balance", "", "Factor on the filament of the first layer that makes what is laid fill what is covered: where beads meet they share their room. Between 0.9 and 1.1, with a finding beyond 3 %; 1 where single lines do not make a solid layer.", finished, func(f from) any { return f.l.Balance }},
		{"filled", "Filled", "", "Plastic that the pattern of the first layer lays, as a factor of covered area × height × flow: 1 within a hundredth for a solid layer, which the balance sees to; less or more where single lines do not make one.", finished, func(f from) any { return f.l.Filled }},
		{"balanceOfAll", "Balance, of all layers", "", "The balance farthest from 1 among all layers that carry the pattern.", finished, func(f from) any { return farthest(f.m.Layers) }},
		{"eMM", "Filament", "mm", "Filament that the new layers feed, prime line and kept strokes included.", finished, func(f from) any { return f.m.Join.Figures.EMM }},
		{"oldEMM", "Filament before", "mm", "Filament that the replaced layers fed.", finished, func(f from) any { return f.m.Times.OldFilamentMM }},
		{"massG", "Mass", "g", "Mass of the new layers' filament at the density given.", finished, func(f from) any {
			return bead.Mass(f.m.Join.Figures.EMM, f.m.Line.Feed.FilamentDiameterMM, f.m.Job.Bead.DensityGCM3)
		}},
		{"timeS", "Time", "s", "Predicted time of the new layers.", finished, func(f from) any { return f.m.Times.NewS }},
		{"oldTimeS", "Time before", "s", "Predicted time of the replaced layers.", finished, func(f from) any { return f.m.Times.OldS }},
		{"addedTimeS", "Change of the time", "s", "How much longer the new layers take than the replaced ones; less than nothing where they are faster.", finished, func(f from) any { return f.m.Times.NewS - f.m.Times.OldS }},
		{"addedEMM", "Change of the filament", "mm", "How much more filament the new layers feed than the replaced ones.", finished, func(f from) any { return f.m.Times.NewMM - f.m.Times.OldFilamentMM }},
		{"wholeTimeS", "Time of the finished file", "s", "Predicted time of the whole finished file, heating left out; known once the sliced file was followed to its end.", followed, func(f from) any { return f.w.afterS }},
		{"oldWholeTimeS", "Time of the sliced file", "s", "Predicted time of the whole file as it was sliced, heating left out.", followed, func(f from) any { return f.w.beforeS }},
		{"wholeEMM", "Filament of the finished file", "mm", "Filament that the whole finished file feeds.", followed, func(f from) any { return f.w.afterMM }},
		{"oldWholeEMM", "Filament of the sliced file", "mm", "Filament that the whole file fed as it was sliced.", followed, func(f from) any { return f.w.beforeMM }},
		{"blockLines", "New lines of text", "", "Lines of G-code that are new.", finished, func(f from) any { return f.m.Join.Figures.Lines }},
		{"arcs", "Arcs", "", "New lines that are arcs, where the job asks for them; each stands for four straight ones or more.", finished, func(f from) any { return f.m.Join.Figures.Arcs }},
		{"joinLine", "Joins at line", "", "Line of the finished file at which the new bytes begin.", finished, func(f from) any { return f.m.Join.JoinLine }},
		{"tailLine", "Tail from line", "", "Line of the finished file from which it is the sliced file again.", finished, func(f from) any { return f.m.Join.TailLine }},
		{"peakFlowMM3s", "Peak flow", "mm³/s", "Largest flow of material that the proof met in the new bytes.", finished, func(f from) any { return f.m.Proof.PeakFlowMM3s }},
		{"pieceEPerMM", "The piece's filament for each mm", "mm/mm", "Mean filament for each mm of the replaced layers, from the file.", finished, func(f from) any { return f.m.Proof.PieceEPerMM }},
		{"newEPerMM", "New filament for each mm", "mm/mm", "Mean filament for each mm of the new layers, from the finished file.", finished, func(f from) any { return f.m.Proof.NewEPerMM }},
		{"travelMM", "Length of travels", "mm", "Way without material in the new layers.", finished, func(f from) any { return f.m.Join.Figures.TravelMM }},
		{"allTravels", "Travels", "", "Moves without material in the new layers, between kept strokes, prime line and islands too.", finished, func(f from) any { return f.m.Join.Figures.Travels }},
		{"liftedTravels", "Lifted travels", "", "Those that are retracted and lifted.", finished, func(f from) any { return f.m.Join.Figures.Lifted }},
		{"bareTravelMM", "Travels over bare face", "mm", "Way without material over parts of the first layer that are still bare; the rest goes over what is laid, or outside.", finished, func(f from) any { return f.l.BareTravelMM() }},
	}
}

// farthest returns the balance farthest from 1.
func farthest(layers []making.Layer) float64 {
	most := 1.0
	for _, l := range layers {
		if math.Abs(l.Balance-1) > math.Abs(most-1) {
			most = l.Balance
		}
	}
	return most
}

// figures writes the numbers of a report; whole is nil where it is not known.
func figures(m *making.Made, whole *totals) map[string]any {
	out := map[string]any{}
	has := always
	switch {
	case len(m.Block) > 0 && whole != nil:
		has = followed
	case len(m.Block) > 0:
		has = finished
	}
	for _, f := range Figures() {
		if f.when <= has {
			out[f.Name] = f.of(from{m, &m.Layers[0], whole})
		}
	}
	return out
}
