package artwork

import "sheenlay/engine/fill"

// Threader lays fields and curves for the fill.
var Threader fill.Threader
