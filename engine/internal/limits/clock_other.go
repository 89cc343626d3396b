//go:build !unix

package limits

import "time"

// processorTime is not known here: the clock alone counts.
func processorTime() time.Duration { return 0 }
