package trial_test

import (
	"fmt"

	"sheenlay/engine/bead"
	"sheenlay/engine/trial"
)

// A coaster of 90 × 90 mm tries five spacings at four flows; B3 looks best.
func ExampleLayout() {
	plate, _ := trial.Layout(rectangle(0, 0, 90, 90), trial.Spec{
		Across:    trial.Axis{Quantity: trial.Spacing, From: 0.36, To: 0.48, Steps: 5},
		Down:      trial.Axis{Quantity: trial.Flow, From: 0.94, To: 1.06, Steps: 4},
		SpacingMM: 0.42, FlowPercent: 100, SpeedMMs: 20, HeightMM: 0.2,
		NozzleMM: 0.4, Limits: bead.DefaultLimits(), Marks: trial.Turned, FromBelow: true,
	})
	values, _ := plate.Use("B3")
	for _, v := range values {
		fmt.Println(v.JobField, v.Value)
	}
	// Output:
	// bead.widthMM 0.42
	// bead.flowPercent 98
}
