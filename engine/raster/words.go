package raster

import (
	"encoding/binary"
	"math/bits"
)

// This file contains the work on eight pixels at a time.

const (
	ones      = 0x0101010101010101
	layerBits = ones * Layers
)

// bump adds one bead to the cells [from, to), which eight more follow. Counts
// stop at 63.
func bump(cells []uint8, from, to int) {
	if from >= to {
		return
	}
	s := cells[from : to+8]
	for len(s) > 16 {
		v := binary.LittleEndian.Uint64(s) + ones
		// A count that reached 64 shows in bit 6 and goes back by one.
		binary.LittleEndian.PutUint64(s, v-(v>>6)&ones)
		s = s[8:]
	}
	v := binary.LittleEndian.Uint64(s) + firstBytes(len(s)-8)
	binary.LittleEndian.PutUint64(s, v-(v>>6)&ones)
}

// mark sets the Near bit of the cells [from, to), which seven more follow.
func mark(cells []uint8, from, to int) {
	if from >= to {
		return
	}
	s := cells[from:to]
	for ; len(s) >= 8; s = s[8:] {
		binary.LittleEndian.PutUint64(s, binary.LittleEndian.Uint64(s)|ones<<7)
	}
	if len(s) > 0 {
		b := cells[to-len(s):]
		binary.LittleEndian.PutUint64(b, binary.LittleEndian.Uint64(b)|firstBytes(len(s))<<7)
	}
}

// firstBytes returns a one in each of the first n bytes of a word, n from 1 to 8.
func firstBytes(n int) uint64 { return ones >> (uint(64-8*n) & 63) }

// countSpan returns how many of the cells [from, to), which seven more follow,
// lie under at least one and under at least two beads.
func countSpan(cells []uint8, from, to int) (some, more int) {
	if from >= to {
		return 0, 0
	}
	s := cells[from:to]
	for ; len(s) >= 8; s = s[8:] {
		if v := binary.LittleEndian.Uint64(s) & layerBits; v != 0 {
			a, b := flags(v)
			some += bits.OnesCount64(a)
			more += bits.OnesCount64(b)
		}
	}
	if len(s) > 0 {
		a, b := flags(binary.LittleEndian.Uint64(cells[to-len(s):]) & (firstBytes(len(s)) * Layers))
		some += bits.OnesCount64(a)
		more += bits.OnesCount64(b)
	}
	return some, more
}

// flags tells for eight counts in one word which are at least one and which at
// least two, as ones: a count plus 63, or plus 62, has bit 6 set.
func flags(v uint64) (some, more uint64) {
	return (v + layerBits) >> 6 & ones, (v + layerBits - ones) >> 6 & ones
}
