package tol

// BalanceSlight is the share by which the filament of a layer is changed without
// a word, so that what is laid fills what is covered. Reason: flow is set by
// makers in whole percent, and 3 % cannot be seen. User: making.
const BalanceSlight = 0.03

// BalanceMost is the share beyond which a pattern counts as too fine for its
// bead. Reason: the change is spread over the whole layer, so that single lines
// get that much too little where the pattern is coarse; a tenth of a bead's width
// is half of what neighbouring beads overlap by squeeze. User: making.
const BalanceMost = 0.1

// BalanceOpen is the share of the face left open beyond which a layer is not
// solid: its lines stand alone and keep their filament. Reason: solid patterns
// made far too small leave up to 10 %, lines one and a half widths apart 25 % and
// more. User: making.
const BalanceOpen = 0.2

// DrawnOverhang is the share of its width by which a bead on a drawn line may
// reach beyond the face before the line is cut. Reason: a line drawn half a
// nozzle inside the outline, for a nozzle that is not quite the line width, must
// stay in one piece. User: making.
const DrawnOverhang = 0.1

// OutlineLink (line widths) is the longest way along the outline by which two
// drawn lines that it cut are joined unasked. Reason: rows one line apart that
// meet a round outline at a slant end up to ten widths from each other on a face
// of 60 mm; lines drawn farther apart are a picture that a link would change.
// User: making.
const OutlineLink = 12
