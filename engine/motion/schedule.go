package motion

import "sort"

// Schedule is when each of a list of moves ends.
type Schedule struct {
	Ends     []float64 // s, one for each move, never falling
	Estimate Estimate
}

// NewSchedule plans the moves and keeps the time each of them ends. Moves that
// cannot be planned end with the one before them.
func NewSchedule(moves []Move, l Limits) Schedule {
	s := Schedule{Ends: make([]float64, 0, len(moves))}
	p := NewPlanner(l)
	p.OnMove = func(_ int64, end float64) { s.Ends = append(s.Ends, end) }
	for i := range moves {
		p.Add(&moves[i])
	}
	s.Estimate = p.Finish()
	return s
}

// At returns the move under way at a time (s) and the share of its time, not
// of its length, that has passed. Before the start it is move 0, share 0;
// after the end the last move, share 1; for an empty schedule −1, 0.
func (s Schedule) At(seconds float64) (move int, share float64) {
	if len(s.Ends) == 0 {
		return -1, 0
	}
	if !(seconds > 0) {
		return 0, 0
	}
	move = sort.Search(len(s.Ends), func(i int) bool { return s.Ends[i] > seconds })
	if move == len(s.Ends) {
		return move - 1, 1
	}
	start := 0.0
	if move > 0 {
		start = s.Ends[move-1]
	}
	return move, (seconds - start) / (s.Ends[move] - start)
}
