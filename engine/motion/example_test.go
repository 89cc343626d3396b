package motion_test

import (
	"fmt"

	"sheenlay/engine/motion"
)

// Two lines of 100 mm that meet at a right angle, laid at 50 mm/s.
func ExampleTime() {
	moves := []motion.Move{
		{To: [3]float64{100, 0, 0}, DE: 3.3, Feed: 3000},
		{From: [3]float64{100, 0, 0}, To: [3]float64{100, 100, 0}, DE: 3.3, Feed: 3000},
	}
	estimate := motion.Time(moves, motion.DefaultLimits())
	fmt.Printf("%.2f s for %.0f mm and %.1f mm of filament\n", estimate.Seconds, estimate.FeedingMM, estimate.FilamentMM)
	// Output: 4.08 s for 200 mm and 6.6 mm of filament
}
