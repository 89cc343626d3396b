package raster

import "encoding/binary"

// This file contains the work on eight pixels at a time.

const (
	ones      = 0x0101010101010101
	layerBits = ones * Layers
)

// bump adds one bead to the pixels [from, to) of row. Counts stop at 63.
func bump(row []uint8, from, to int) {
	for ; to-from >= 8; from += 8 {
		b := row[from : from+8 : from+8]
		v := binary.LittleEndian.Uint64(b) + ones
		// A count that reached 64 shows in bit 6 and goes back by one.
		binary.LittleEndian.PutUint64(b, v-(v>>6)&ones)
	}
	if from < to {
		b := row[from : from+8 : from+8]
		v := binary.LittleEndian.Uint64(b) + ones>>(64-8*uint(to-from))
		binary.LittleEndian.PutUint64(b, v-(v>>6)&ones)
	}
}

// mark sets the Near bit of the pixels [from, to) of row.
func mark(row []uint8, from, to int) {
	for ; to-from >= 8; from += 8 {
		b := row[from : from+8 : from+8]
		binary.LittleEndian.PutUint64(b, binary.LittleEndian.Uint64(b)|ones<<7)
	}
	for ; from < to; from++ {
		row[from] |= Near
	}
}

// countSpan returns how many of the pixels [from, to) of row lie under at least
// one and under at least two beads.
func countSpan(row []uint8, from, to int) (some, more int) {
	for from < to {
		// Up to 255 words are summed byte by byte before the bytes are.
		var a, b uint64
		for end := min(to, from+8*255); from < end; from += 8 {
			v := binary.LittleEndian.Uint64(row[from:from+8:from+8]) & layerBits
			if to-from < 8 {
				v &= 1<<(8*uint(to-from)) - 1
			}
			// A count of 1..63 plus 63 has bit 6 set; of 2..63 plus 62 likewise.
			a += (v + layerBits) >> 6 & ones
			b += (v + layerBits - ones) >> 6 & ones
		}
		some += sumBytes(a)
		more += sumBytes(b)
	}
	return some, more
}

// sumBytes returns the sum of the eight bytes of v.
func sumBytes(v uint64) int {
	const even = 0x00ff00ff00ff00ff
	return int((v&even + v>>8&even) * 0x0001000100010001 >> 48)
}
