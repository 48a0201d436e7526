//go:build !unix

package store

import "time"

// processorTime is not known here.
func processorTime() time.Duration { return 0 }
