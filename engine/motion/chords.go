package motion

import "sheenlay/engine/plane"

// Chords gives the straight moves that stand for one bent move: from its start
// along the way (mm, X and Y, without the start, with the end), with the rise
// and the filament in proportion to the length. Points that repeat the one
// before are left out. An empty way, or one that never leaves the start, gives
// the move as it is.
func Chords(m Move, way []plane.Point, each func(*Move)) {
	at := plane.Point{X: m.From[0], Y: m.From[1]}
	total := 0.0
	before := at
	for _, p := range way {
		total += p.Dist(before)
		before = p
	}
	if total == 0 {
		each(&m)
		return
	}
	chord := Move{From: m.From, Feed: m.Feed}
	gone := 0.0
	for i, p := range way {
		length := p.Dist(at)
		if length == 0 {
			continue
		}
		gone += length
		chord.To = [3]float64{p.X, p.Y, m.From[2] + float64((m.To[2]-m.From[2])*(gone/total))}
		chord.DE = m.DE * (length / total)
		if i == len(way)-1 {
			chord.Dwell = m.Dwell
		}
		each(&chord)
		chord.From, at = chord.To, p
	}
}
