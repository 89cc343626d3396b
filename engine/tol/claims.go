package tol

// ClaimsSameSize is the difference (mm) of two measures of a machine that are
// one measure, written twice. Reason: settings carry two decimals at most.
// User: claims.
const ClaimsSameSize = 0.02

// ClaimsOutline is the share by which the outline of a bed in a comment may
// differ from a rectangle or a disc. Reason: outlines of discs have from some
// dozen corners on, and coordinates to a hundredth. User: claims.
const ClaimsOutline = 0.01
