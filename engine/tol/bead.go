package tol

// BeadTotal is the share by which the volume fed on a layer may differ from
// covered area × height. Reason: the model-free invariant of a gapless layer
// (check-values "Bead geometry"); 1 % is under what a maker can see or weigh
// and over what rounding E to five decimals can cause. User: bead.
const BeadTotal = 0.01

// BeadWidthRoundTrip is the share by which a width read back from a file may
// differ from the width it was made with. Reason: five decimals of E on the
// shortest usable line (1 mm, E 0.03) are 0.03 %; three decimals of X and Y
// another 0.1 %. User: tests of bead.
const BeadWidthRoundTrip = 0.005

// BeadShortest is the length (mm) of the shortest segment that is asked for
// its E per mm. Reason: coordinates with three decimals make a 0.5 mm segment
// uncertain by 0.3 %, shorter ones by more. User: bead.
const BeadShortest = 0.5

// BeadSame is the share within which two values of E per mm count as the same
// setting. Reason: twice BeadTotal; flow is set by makers in whole percent.
// User: bead.
const BeadSame = 0.02

// BeadWidthLimit is how far (mm) a width may lie beyond the permitted range
// without a finding. Reason: merging short segments keeps their area and so
// moves widths by rounding; a hundredth of a millimetre of width is 2 % of a
// bead, less than the machine holds. User: bead.
const BeadWidthLimit = 0.01
