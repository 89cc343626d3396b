package artwork

import (
	"sheenlay/engine/fill"
	"sheenlay/engine/thread"
)

// Threader lays fields and curves for the fill.
var Threader fill.Threader = thread.New()
