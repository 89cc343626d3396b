package fill

import "sheenlay/engine/fill/facetest"

// The faces, patterns and measures of facetest, by short names.
var (
	circle       = facetest.Circle
	rect         = facetest.Rect
	disc         = facetest.Disc
	annulus      = facetest.Annulus
	star         = facetest.Star
	letterA      = facetest.LetterA
	gear         = facetest.Gear
	plate        = facetest.Plate
	frame3       = facetest.Frame3
	neck         = facetest.Neck
	blocks       = facetest.Blocks
	oneDirection = facetest.OneDirection
	facets       = facetest.Facets
	herringbone  = facetest.Herringbone
	measure      = facetest.Measure
	picture      = facetest.Picture
)
