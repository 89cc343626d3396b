package coverage

import (
	"encoding/binary"
	"math/bits"

	"sheenlay/engine/raster"
)

// This file contains the way from counters to kinds, eight pixels at a time.

// tally counts pixels by kind.
type tally [kinds]int

// ones has the lowest bit of each byte set. Times a number below 256 it has that
// number in each byte.
const ones = 0x0101010101010101

// classify turns the counters of c into kinds, in place, and counts the kinds.
func classify(c, kept *raster.Counts, face *raster.Mask) (t tally) {
	for j := range c.Rows {
		row := c.Row(j)
		at := 0
		for _, s := range face.Spans(j) {
			t.beyond(row[at:s.From])
			t.inside(row[s.From:s.To])
			if kept != nil {
				t.keep(row[s.From:s.To], kept.Row(j)[s.From:s.To])
			}
			at = int(s.To)
		}
		t.beyond(row[at:])
	}
	return t
}

// flags tells for eight counters which have one bead or more, two or more, and
// the mark of being near, as ones.
func flags(v uint64) (some, more, near uint64) {
	const layers = ones * raster.Layers
	n := v & layers
	// A count of 1 to 63 plus 63 has bit 6 set; of 2 to 63 plus 62 likewise.
	return (n + layers) >> 6 & ones, (n + layers - ones) >> 6 & ones, v >> 7 & ones
}

// beyond turns cells outside the face.
func (t *tally) beyond(row []uint8) {
	if len(row) == 0 {
		return
	}
	t[Outside] += len(row)
	for ; len(row) >= 8; row = row[8:] {
		if v := binary.LittleEndian.Uint64(row); v != 0 {
			binary.LittleEndian.PutUint64(row, t.beyondWord(v))
		}
	}
	var rest [8]uint8
	copy(rest[:], row)
	binary.LittleEndian.PutUint64(rest[:], t.beyondWord(binary.LittleEndian.Uint64(rest[:])))
	copy(row, rest[:])
}

func (t *tally) beyondWord(v uint64) uint64 {
	some, _, _ := flags(v)
	n := bits.OnesCount64(some)
	t[Spilled] += n
	t[Outside] -= n
	return some * uint64(Spilled)
}

// inside turns cells of the face.
func (t *tally) inside(row []uint8) {
	for ; len(row) >= 8; row = row[8:] {
		v := binary.LittleEndian.Uint64(row)
		if v&(ones*raster.Layers) == ones { // nearly everywhere
			t[Once] += 8
			binary.LittleEndian.PutUint64(row, ones*uint64(Once))
			continue
		}
		binary.LittleEndian.PutUint64(row, t.insideWord(v, ones))
	}
	if len(row) > 0 {
		var rest [8]uint8
		copy(rest[:], row)
		valid := uint64(ones) >> (64 - 8*uint(len(row)))
		binary.LittleEndian.PutUint64(rest[:], t.insideWord(binary.LittleEndian.Uint64(rest[:]), valid))
		copy(row, rest[:])
	}
}

// insideWord turns those of eight cells that valid has a one for.
func (t *tally) insideWord(v, valid uint64) uint64 {
	some, more, near := flags(v)
	none := valid &^ some
	near &= none
	covered, double, narrow := bits.OnesCount64(some), bits.OnesCount64(more), bits.OnesCount64(near)
	t[Once] += covered - double
	t[Double] += double
	t[Narrow] += narrow
	t[Open] += bits.OnesCount64(valid) - covered - narrow
	return (some^more)*uint64(Once) + more*uint64(Double) + near*uint64(Narrow) + (none^near)*uint64(Open)
}

// keep turns open and narrow cells of the face that kept strokes cover or come
// near.
func (t *tally) keep(row, kept []uint8) {
	for i := 0; i < len(row); i++ {
		for i+8 <= len(row) && binary.LittleEndian.Uint64(kept[i:]) == 0 {
			i += 8
		}
		if i == len(row) || kept[i] == 0 {
			continue
		}
		k := Kind(row[i])
		if k != Open && k != Narrow {
			continue
		}
		now := Narrow
		if kept[i]&raster.Layers != 0 {
			now = Kept
		}
		t[k]--
		t[now]++
		row[i] = uint8(now)
	}
}
