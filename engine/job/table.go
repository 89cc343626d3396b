package job

func pieceFields() []Field {
	return []Field{
		text("piece.file", "Sliced file", "", 4096, "Name of the sliced file; the native host looks for it beside the job file.").private(),
		text("piece.sha256", "Fingerprint", "", 64, "Fingerprint of the sliced file (SHA-256 of the SHA-256s of its 4 MiB slices, in hexadecimal); when given, another file of the same name is refused.").private(),
		whole("piece.firstLine", "First layer starts at line", 0, 0, anyLine, "Line where the first layer begins, if you know it better; it counts together with the line of the second layer. 0 leaves both to the page.").private(),
		whole("piece.nextLine", "Second layer starts at line", 0, 0, anyLine, "Line where the second layer begins; see the first layer.").private(),
		{Path: "piece.islands", Label: "Islands with the pattern", Kind: Lines, Default: []any{}, Max: 4096, Doc: "Numbers of the islands that get the pattern, from 0; empty means all. The others keep their own first layer.", Private: true},
		{Path: "piece.classes", Label: "Corrected strokes", Kind: Words, Default: map[string]any{}, Max: 4096, Private: true,
			Choices: []Option{{"wall", "wall"}, {"fill", "fill"}, {"skirt", "skirt"}, {"brim", "brim"}, {"support", "support"}, {"priming", "priming"}},
			Doc:     "What a stroke is for, by its number, where the person corrected the engine."},
	}
}

func artFields() []Field {
	return []Field{
		choice("art.kind", "Artwork", "generator", "Where the picture comes from.",
			Option{"generator", "Built-in pattern"}, Option{"lines", "Drawn lines (SVG)"}, Option{"shapes", "Drawn shapes (SVG)"},
			Option{"picture", "Picture"}, Option{"lettering", "Lettering"}, Option{"trial", "Trial plate"}),
		text("art.generator", "Pattern", "tumbling-blocks", 64, "Id of the built-in pattern."),
		{Path: "art.params", Label: "Pattern parameters", Kind: Table, Default: map[string]any{}, Min: -1e6, Max: 32, Doc: "Parameters of the built-in pattern by key; each has its own limits in the pattern's table."},
		whole("art.seed", "Seed", 1, 0, noNumber, "Start of the random draw, for patterns that have one: the same seed gives the same pattern."),
		{Path: "art.lays", Label: "Pinned lay angles", Unit: "deg", Kind: Table, Default: map[string]any{}, Min: -360, Max: 4096, Doc: "Lay angle by kind of zone (\"kind:0\") or by zone (\"zone:12\"), where the person set it."},
		num("art.turnLaysDeg", "Turn all lays", "deg", 0, -180, 180, 5, "Turns every lay angle without turning the shapes."),
		choice("art.assign", "Lay of drawn shapes", "auto", "How shapes without an angle of their own get one.",
			Option{"auto", "As far apart as possible"}, Option{"colour", "By tone of the colour"}),
		text("art.svg", "Drawing", "", 8*mebi, "The SVG text itself, so that a job file is whole.").heavy(),
		text("art.name", "Artwork's file name", "", 4096, "Name of the file the artwork came from, for the sentence and the report.").private(),
		num("art.mmPerUnit", "Size of one drawing unit", "mm", 0, 0, 1000, 0.01, "Millimetres of one user unit of the drawing; 0 takes it as recognised."),
		flag("art.joinGaps", "Join the drawn lines", false, "Joins lines that do not meet into one unbroken bead; what was added is shown under Lines and Both layers."),
		flag("art.strokes", "Outlines of strokes too", false, "Takes the strokes of filled shapes as shapes of their own."),
		text("art.picture", "Picture", "", 24*mebi, "PNG or JPEG as base64; or plain pixels: width and height as two 32-bit little-endian numbers, then RGBA rows from the top.").heavy(),
		num("art.pictureWidthMM", "Width of the picture", "mm", 0, 0, 1000, 1, "Width on the plate; 0 covers the whole face."),
		whole("art.levels", "Levels", 4, 2, 8, "Number of tones or colours a picture is brought to."),
		choice("art.levelsBy", "Levels by", "tone", "What separates the levels.", Option{"tone", "Tone"}, Option{"colour", "Colour"}),
		num("art.fromDeg", "Lay of the darkest", "deg", 0, -180, 180, 5, "Lay angle of the darkest level."),
		num("art.toDeg", "Lay of the lightest", "deg", 90, -180, 180, 5, "Lay angle of the lightest level."),
		num("art.smoothMM", "Smoothing", "mm", 0.6, 0, 10, 0.1, "Details of a picture smaller than this are smoothed away."),
		text("art.text", "Text", "READING\nDAY", 2000, "The words to letter, one line of text a line."),
		num("art.capHeightMM", "Height of capitals", "mm", 12, 2, 300, 0.5, "Height of a capital letter."),
		choice("art.font", "Font", "bold", "Weight of the bundled font.", Option{"regular", "Regular"}, Option{"bold", "Bold"}),
		choice("art.align", "Lines of text", "centre", "How lines of text stand to each other.", Option{"left", "Left"}, Option{"centre", "Centred"}, Option{"right", "Right"}),
		num("art.textDeg", "Lay of the letters", "deg", 90, -180, 180, 5, "Lay angle inside the letters."),
		num("art.groundDeg", "Lay of the ground", "deg", 0, -180, 180, 5, "Lay angle of everything the artwork leaves free."),
		choice("art.trialAcross", "Varied across", "spacing", "What changes from column to column of a trial plate.", trialQuantities()...),
		num("art.trialAcrossFrom", "Across from", "", 0.38, -1000, 1000, 0.01, "Value of the first column."),
		num("art.trialAcrossTo", "Across to", "", 0.5, -1000, 1000, 0.01, "Value of the last column."),
		whole("art.trialColumns", "Columns", 5, 1, 12, "Number of columns of a trial plate."),
		choice("art.trialDown", "Varied down", "flow", "What changes from row to row of a trial plate.", append(trialQuantities(), Option{"none", "Nothing"})...),
		num("art.trialDownFrom", "Down from", "", 0.94, -1000, 1000, 0.01, "Value of the first row."),
		num("art.trialDownTo", "Down to", "", 1.06, -1000, 1000, 0.01, "Value of the last row."),
		whole("art.trialRows", "Rows", 4, 1, 12, "Number of rows of a trial plate."),
		choice("art.trialMarks", "Marks", "turned", "How the ticks that name the patches are made.",
			Option{"turned", "Turned lines"}, Option{"cut", "Left free"}, Option{"raised", "Standing alone"}),
	}
}

func trialQuantities() []Option {
	return []Option{{"spacing", "Line spacing (mm)"}, {"flow", "Flow (1 = as set)"}, {"speed", "Speed (mm/s)"}, {"lay", "Lay angle (deg)"}}
}

func placementFields() []Field {
	return []Field{
		num("placement.xMM", "Move right", "mm", 0, -1000, 1000, 0.5, "How far to the right of the face's middle the pattern lies (along X), seen from above."),
		num("placement.yMM", "Move back", "mm", 0, -1000, 1000, 0.5, "How far behind the face's middle the pattern lies (along Y), seen from above."),
		num("placement.turnDeg", "Turn", "deg", 0, -360, 360, 1, "Turns the pattern counter-clockwise, seen from above; its lays turn with it."),
		num("placement.scale", "Scale", "", 1, 0.01, 100, 0.05, "Scales the shapes of the pattern; the lines stay one bead apart."),
		flag("placement.mirror", "Mirror", false, "Mirrors the pattern left to right."),
		flag("placement.readFromBelow", "Reads right from below", true, "Mirrors lettering and pictures so that they read right on the finished face, which is seen from below."),
	}
}

func keepFields() []Field {
	return []Field{
		flag("keep.around", "Keep skirt, brim and supports", true, "Lays skirt, brim and supports of the first layer exactly as sliced."),
		whole("keep.walls", "Walls kept", 0, 0, 3, "Number of wall loops of the first layer laid exactly as sliced; the pattern fills the inside."),
		num("keep.overlapPercent", "Overlap with walls", "%", 15, 0, 50, 1, "How far the pattern reaches into a kept wall, in percent of the line width, so that both bond."),
		num("keep.marginMM", "Margin to trim", "mm", 0, 0, 20, 0.5, "Lets the pattern reach beyond the face on purpose; the excess is trimmed by hand."),
	}
}

func layersFields() []Field {
	return []Field{
		whole("layers.count", "Layers with the pattern", 1, 1, 12, "Number of layers from the bottom that carry the pattern, for light diffusers."),
		num("layers.turnDeg", "Turn per layer", "deg", 0, -180, 180, 5, "Turns the lays of each further layer by this much."),
		num("layers.shiftMM", "Shift per layer", "mm", 0, -10, 10, 0.05, "Shifts the lines of each further layer across their lay."),
	}
}

func beadFields() []Field {
	return []Field{
		choice("bead.source", "Bead", "piece", "Where the amount of material comes from.",
			Option{"piece", "As in the sliced file"}, Option{"own", "My own values"}),
		num("bead.widthMM", "Line width", "mm", 0, 0.1, 3, 0.01, "Width of one line and distance of neighbouring lines.").zero("as in the sliced file").read(),
		num("bead.heightMM", "Layer height", "mm", 0, 0.04, 1.5, 0.01, "Height of the first layer as you know it; a disagreement with the sliced file is shown.").zero("as in the sliced file").read(),
		num("bead.flowPercent", "Flow", "%", 100, 50, 200, 1, "More or less material than the bead needs by its size; 100 % leaves it as it is."),
		num("bead.minWidthShare", "Narrowest line", "nozzles", 0.6, 0.5, 1, 0.05, "Lines that draw together never get narrower than this many nozzle widths."),
		num("bead.maxWidthShare", "Widest line", "nozzles", 2, 1, 3, 0.05, "Lines that fan out never get wider than this many nozzle widths."),
		num("bead.speedMMs", "Speed", "mm/s", 20, 1, 500, 1, "Speed of the pattern's bead.").read(),
		num("bead.startSpeedMMs", "Speed of the start", "mm/s", 12, 1, 500, 1, "Speed at the beginning of the bead, where it must catch the plate."),
		num("bead.startLengthMM", "Length of the slow start", "mm", 300, 0, 20000, 50, "How much of the bead is laid at that speed."),
		num("bead.turnSpeedMMs", "Speed in small turns", "mm/s", 15, 1, 500, 1, "Speed where the bead turns within its own width."),
		num("bead.travelSpeedMMs", "Travel speed", "mm/s", 120, 5, 1000, 5, "Speed of moves without material.").read(),
		num("bead.densityGCM3", "Density", "g/cm³", 1.24, 0.5, 3, 0.01, "Density of the filament, for its mass only."),
	}
}

func primeFields() []Field {
	return []Field{
		choice("prime.source", "Prime line", "own", "How the nozzle is filled before the pattern starts.",
			Option{"own", "Lay a prime line"}, Option{"file", "The file's own start is enough"}),
		num("prime.lengthMM", "Length of the prime line", "mm", 40, 5, 500, 5, "How much line is laid beside the piece before the pattern begins."),
		num("prime.gapMM", "Distance from the piece", "mm", 4, 1, 50, 0.5, "How far from the piece it is laid."),
		choice("prime.side", "Side", "auto", "Side of the piece where the prime line lies.",
			Option{"auto", "Where there is room"}, Option{"front", "Front"}, Option{"back", "Back"}, Option{"left", "Left"}, Option{"right", "Right"}),
		choice("prime.lead", "From prime line to pattern", "bead", "Whether the prime line runs on into the pattern as one bead, a tail to snip off, or the nozzle is lifted over.",
			Option{"bead", "One unbroken bead"}, Option{"lift", "Lifted over"}),
		num("prime.wipeMM", "Wipe at the end", "mm", 0, 0, 20, 0.5, "Moves back over the end of the bead without material."),
	}
}

func joinFields() []Field {
	return []Field{
		choice("join.pause", "Pause after the pattern", "none", "Command that stops the machine for a filament change once the pattern is laid.",
			Option{"none", "None"}, Option{"M600", "M600 (filament change)"}, Option{"M0", "M0 (wait for the button)"}, Option{"M25", "M25 (pause the file)"}),
		num("join.parkXMM", "Park at X", "mm", 0, -1000, 1000, 1, "Place of the nozzle during the pause; kept on the bed and off the piece."),
		num("join.parkYMM", "Park at Y", "mm", 0, -1000, 1000, 1, "Place of the nozzle during the pause; kept on the bed and off the piece."),
		num("join.parkLiftMM", "Lift while parked", "mm", 5, 0.5, 100, 0.5, "Height above the layer during the pause."),
		flag("join.arcs", "Curves as arcs", false, "Writes round curves as arcs (G2 and G3) within 0.01 mm, which makes the file shorter; only for machines that follow arcs, and no smaller than a radius of 5 mm, since many cut them into chords of 1 mm."),
	}
}
