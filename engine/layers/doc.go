// Package layers finds where the first layer of a sliced file starts and where
// the next ones do, from weighed evidence and without a list of programs, and
// reads what those layers lay down.
//
// # Evidence
//
// Material: a level is a run of extruding moves at one Z. Moves that lay
// nothing (lifts, travels) never make a level, so a hop is not a layer.
//
// Marker lines: comments, messages and word commands are brought into a normal
// form in which numbers stand apart (see text), and texts that differ only in
// numbers form a family. A family marks layers when its lines part the levels:
// between two of them material is laid, and its Z rises. That alone is not
// enough, since labels come once per layer too; the words (compared by edit
// distance with a small lexicon in several languages) or the numbers (counting
// up by one, or stating the Z that follows) must say so as well.
//
// # Where the cut lies
//
// Cuts lie between whole lines. With markers a layer starts with its marker
// line; with several (before and after the change of Z) with the first of
// those that stand between the material of two layers; with markers that say
// "end" only, with the line after. Without markers a layer starts with the
// first line that moves the machine after the last material of the layer
// below: the first of retraction, wipe, lift, travel, change of Z. The first
// layer then starts with the first such line after the start code's last
// command that is no plain move.
//
// The machine's state at a cut may be anything; the join makes it equal there.
//
// # No guessing
//
// Where evidence disagrees or is weak, Result.NeedsChoice is set, and the lines
// that come into question stand in Result.Candidates. A person's choice goes
// into Options and is checked like any other evidence.
package layers
