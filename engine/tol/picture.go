package tol

// PicturePixels is the largest number of pixels that is read. Reason: 64
// million is the largest photograph of a usual camera and 256 MB of memory.
// User: picture.
const PicturePixels = 64_000_000

// PictureStep is the default distance (mm) between the samples a picture is
// brought to before its outlines are drawn. Reason: half a usual bead; finer
// detail cannot be laid. User: picture.
const PictureStep = 0.2

// PictureNodes is the largest number of samples after that. Reason: 400 mm
// at 0.2 mm both ways; a larger picture is sampled more coarsely.
// User: picture.
const PictureNodes = 4_000_000

// PictureOutline is the greatest distance (mm) an outline moves when its
// points are thinned. Reason: an eighth of a 0.4 mm bead, under the width at
// which a bead's edge can be placed. User: picture.
const PictureOutline = 0.05

// PictureSpeck is the default area (mm²) under which a zone is merged with
// what surrounds it. Reason: a patch of 2 × 2 mm holds about five lines of
// 0.4 mm, the fewest that show a direction (common practice, no published
// source). User: picture.
const PictureSpeck = 4.0

// PictureRim is the width (mm) up to which levels between a darker and a lighter
// one are taken for the edge of these. Reason: three lines of 0.42 mm, the fewest
// that are seen to run a way; and the default blur makes a sharp edge 1 mm wide.
// User: picture.
const PictureRim = 1.3

// LetteringRunes is the largest number of characters set. Reason: a plate of
// 400 mm holds fewer that can be read. User: lettering.
const LetteringRunes = 2_000
