package tol

// CloseToInteger is the distance from a whole number within which a value
// counts as whole, for codes and indices. Source: NISTIR 6556, §3.3.2.1.
// User: gcode.
const CloseToInteger = 0.0001

// ArcRadii is the largest difference (mm) between the radius at the start and
// at the end of an arc in centre form. Source: NISTIR 6556, §3.5.3.2 (0.0002 in
// under inches). User: gcode.
const ArcRadii = 0.002

// ArcRadiiInches is ArcRadii under inch units, in mm (0.0002 in; NISTIR 6556,
// §3.5.3.2). User: gcode.
const ArcRadiiInches = 0.0002 * 25.4

// ArcRadiiWritten is the difference of radii (mm) up to which an arc is only
// noted instead of called wrong. Reason: with three written decimals each of
// start, end and centre is off by up to 0.0005·√2, so radii differ by up to
// 0.0029 in files that are right. User: gcode.
const ArcRadiiWritten = 0.003

// StatePosition is the difference (mm) under which two machine positions count
// as one when states are compared. Reason: axes are written with three
// decimals, and relative moves carry a float sum of such numbers. User: gcode.
const StatePosition = 0.0006

// StateRegister is the difference (mm) under which two values of the filament
// register count as one. Reason: E is written with five decimals; the rest is
// float noise of a sum over a file. User: gcode.
const StateRegister = 0.00002

// StateRetraction is the difference (mm) under which two retraction depths
// count as one, and under which a depth counts as nothing. Reason: a drawn-back
// 0.8 given back through an absolute register of 1e5 mm leaves 1e-11; five
// written decimals leave 1e-5. Users: gcode, join.
const StateRetraction = 0.00002

// StateSetting is the relative difference under which two settings (speeds,
// temperatures, limits) count as one. Reason: they are written numbers, equal
// up to the rounding of a unit conversion. User: gcode.
const StateSetting = 1e-9

// StillAxis is the distance (mm) under which an axis counts as standing still.
// Reason: half of the last of four decimals. User: gcode.
const StillAxis = 0.00005

// FarthestAxis is the largest coordinate (mm) that is believed; larger written
// values are reported and not followed. Reason: 100 m is beyond any machine
// and keeps every sum finite. User: gcode.
const FarthestAxis = 1e5

// FarthestFilament is the largest value of the filament register (mm) that is
// believed. Reason: 10 km is thirty full spools. User: gcode.
const FarthestFilament = 1e7

// ArcOtherReading is the difference of radii (mm) from which it is asked whether
// the centre of an arc fits when its words are read the other way, as a place
// instead of an increment or the reverse. Reason: thirty times what written
// decimals can do (ArcRadiiWritten), so that a file is refused for its reading
// of centres only where its own reading is plainly wrong. User: gcode.
const ArcOtherReading = 0.1
