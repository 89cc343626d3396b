//go:build unix

package limits

import (
	"syscall"
	"time"
)

// processorTime returns what the process has been given of the processors, 0
// where that is not known.
func processorTime() time.Duration {
	var u syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &u) != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
