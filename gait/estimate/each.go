package estimate

import (
	"runtime"

	"golang.org/x/sync/errgroup"
)

// Each calls f(0) to f(n−1), one a core at a time, and returns when all have
// ended. Measures have nothing in common, so their intervals can be made side
// by side: f(i) writes what belongs to i only, and the result does not depend on
// how many run at once.
func Each(n int, f func(i int)) {
	var group errgroup.Group
	group.SetLimit(runtime.GOMAXPROCS(0))
	for i := range n {
		group.Go(func() error {
			f(i)
			return nil
		})
	}
	_ = group.Wait() // no call has an error
}
