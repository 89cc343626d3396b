package motion_test

import (
	"math"

	"sheenlay/engine/motion"
)

// This file holds two independent ways to the same time.

// leg is a move as the oracles see it: its own limits and the corner before it.
type leg struct {
	length, cruise, accel, entry, dwell float64
}

// legs turns moves into legs by trigonometry (angles by Acos, not by
// differences of unit vectors).
func legs(moves []motion.Move, l motion.Limits) []leg {
	var out []leg
	var direction []float64
	slow, soft := 0.0, 0.0
	for _, m := range moves {
		d := []float64{m.To[0] - m.From[0], m.To[1] - m.From[1], m.To[2] - m.From[2]}
		length := math.Sqrt(d[0]*d[0] + d[1]*d[1] + d[2]*d[2])
		next := leg{length: length, cruise: m.Feed / 60, accel: l.TravelAccelMMs2, dwell: m.Dwell}
		parts := []float64{d[0], d[1], d[2], m.DE}
		if length == 0 {
			next.length, next.accel = math.Abs(m.DE), l.RetractAccelMMs2
		} else if m.DE > 0 {
			next.accel = l.AccelMMs2
		}
		for i, part := range parts {
			share := math.Abs(part) / next.length
			if v := l.MaxSpeedMMs[i]; v > 0 && share > 0 {
				next.cruise = math.Min(next.cruise, v/share)
			}
			if a := l.MaxAccelMMs2[i]; a > 0 && share > 0 {
				next.accel = math.Min(next.accel, a/share)
			}
		}
		if direction != nil && length > 0 {
			cos := 0.0
			for i := range 3 {
				cos += direction[i] * d[i] / length
			}
			turn := math.Acos(math.Max(-1, math.Min(1, cos)))
			corner := math.Inf(1)
			if turn > 1e-6 {
				accel := math.Min(soft, next.accel)
				switch l.Corner {
				case motion.ArcOfDeviation:
					s := math.Sin((math.Pi - turn) / 2)
					corner = math.Sqrt(accel * l.DeviationMM * s / (1 - s))
				case motion.JumpLimit:
					corner = l.JumpMMs / (2 * math.Sin(turn/2))
				default:
					corner = 0
				}
			}
			next.entry = math.Min(corner, math.Min(slow, next.cruise))
		}
		direction = nil
		if length > 0 && m.Dwell == 0 {
			direction = []float64{d[0] / length, d[1] / length, d[2] / length}
		}
		slow, soft = next.cruise, next.accel
		out = append(out, next)
	}
	return out
}

// twoPasses plans the whole list at once and uses the closed form.
func twoPasses(moves []motion.Move, l motion.Limits) float64 {
	list := legs(moves, l)
	entry := make([]float64, len(list)+1)
	for i := len(list) - 1; i > 0; i-- {
		entry[i] = math.Min(list[i].entry, math.Sqrt(entry[i+1]*entry[i+1]+2*list[i].accel*list[i].length))
	}
	total := 0.0
	for i, g := range list {
		entry[i+1] = math.Min(entry[i+1], math.Sqrt(entry[i]*entry[i]+2*g.accel*g.length))
		seconds, _ := motion.Trapezoid(g.length, entry[i], g.cruise, entry[i+1], g.accel)
		total += seconds + g.dwell
	}
	return total
}

// stepByStep integrates d(v²)/dx = 2a in small steps of the way, forward and
// backward, and adds up dx over the mean speed of each step; no closed form of
// ramps, peaks or cruising is used.
func stepByStep(moves []motion.Move, l motion.Limits, step float64) float64 {
	type point struct{ dx, accel, cap float64 }
	var line []point // cap: speed permitted at the start of each step
	dwell := 0.0
	for _, g := range legs(moves, l) {
		n := max(256, int(math.Ceil(g.length/step)))
		if g.length == 0 {
			n = 0
		}
		for i := range n {
			limit := g.cruise
			if i == 0 {
				limit = math.Min(limit, g.entry)
			}
			line = append(line, point{g.length / float64(n), g.accel, limit})
		}
		dwell += g.dwell
	}
	if len(line) == 0 {
		return dwell
	}
	speed := make([]float64, len(line)+1)
	speed[0] = 0
	for i := 1; i < len(line); i++ {
		speed[i] = line[i].cap
	}
	// One step of d(v²)/dx = 2a, the equation of motion over the way.
	reach := func(v, a, dx float64) float64 { return math.Sqrt(v*v + 2*a*dx) }
	for i := len(line) - 1; i > 0; i-- {
		if limit := reach(speed[i+1], line[i].accel, line[i].dx); speed[i] > limit {
			speed[i] = limit
		}
	}
	total := dwell
	for i, p := range line {
		if limit := reach(speed[i], p.accel, p.dx); speed[i+1] > limit {
			speed[i+1] = limit
		}
		total += p.dx / ((speed[i] + speed[i+1]) / 2)
	}
	return total
}
