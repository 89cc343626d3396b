// Package gcode reads and writes G-code: bytes to lines, lines to the state of
// a machine and its moves, and numbers back to bytes.
//
// # Reading
//
// A Scanner cuts bytes into Lines without allocating per line, over one whole
// slice or pushed chunk by chunk; both give the same lines. A Line holds its
// words, its comment and what is wrong with it. An Interp follows the lines
// and holds the complete State of the machine; every line yields one Move.
//
//	s := gcode.NewScanner(data)
//	in := gcode.NewInterp(gcode.Options{})
//	for s.Next() {
//		move := in.Step(s.Line())
//		...
//	}
//
// Interp.Next does both at once, and for whole files that is several times
// as fast: nearly every line then goes from its bytes straight to the state.
//
// # Language
//
// NISTIR 6556 (Kramer, Proctor, Messina: The NIST RS274NGC Interpreter,
// Version 3, 2000) is the standard for what it covers: words, numbers without
// exponents, blanks that mean nothing, comments in parentheses, modal groups,
// the order of execution on a line, arcs, G92. Parameters (#) and expressions
// ([ ]) are recognised and reported, never evaluated.
//
// Beyond it stands the dialect of sliced files: comments after a semicolon,
// checksums after an asterisk, the E register with M82 and M83, temperatures,
// fans, limits, commands whose argument is free text, and commands that are
// words with KEY=VALUE arguments.
//
// # Units
//
// All lengths are mm, all speeds mm/min, whatever the file's units; angles are
// radians, counter-clockwise. Positions in a State and a Move are machine
// coordinates: program coordinates plus the offsets in force.
package gcode
