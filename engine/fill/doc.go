// Package fill lays one unbroken bead over each island of a face: every zone's
// lines keep their lay up to the edge, joins run along zone borders, and no
// bead is crossed or laid twice. The way of an island through it, file by file:
//
//	survey, worker  which zones appear on it, and what bounds each
//	merge           zones without room for two beads go to a neighbour
//	cell            a zone is cut into cells that one sweep of rows fills
//	fold            rows that mirror those of the next cell at their common
//	                border go on over it, and the two are one cell
//	weave, corner   a graph of what may close the cells' zigzags: the two ends
//	                of each (its poles), their corners, the places where corners
//	                of several cells meet, the stretches of border between
//	tjoin           the least bead along borders that pairs all poles (a T-join)
//	braid, zigzag,  the rows, turns, tips and border beads of every cell
//	tip
//	knot            ends that meet at a place are linked without crossings
//	close           what could not be tied is led elsewhere, or its cell becomes
//	                a comb: a loop of its own, zigzag up, border bead down
//	package loops   loops that run side by side are joined by bridges, as
//	                Kruskal's tree, until one is left
//	finish, check   the loop is opened, and checked as a whole
//
// What geometry forbids is reported, never passed over.
//
// Rows are spaced to fill their cell exactly, so a zone's Phase cannot choose
// where the first row lies. It shifts the rows between the outermost two from
// where they would lie without it; the bead along one border is then as much
// wider and that along the other as much thinner, which bounds the shift: 0.18
// of 0.42 mm lines between 0.24 and 0.80 mm wide, 0.12 between 0.30 and 0.55.
// Cells of fewer than four rows, and those beside a hole or a step of their
// zone, are not shifted.
//
// Zones with a field and patterns of curves are laid by a Threader, which the
// pipeline passes in, so that fill does not depend on how fields are followed
// and their loops are joined with those of straight zones into the same bead.
package fill
