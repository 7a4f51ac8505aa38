package estimate

import (
	"runtime"

	"github.com/sourcegraph/conc/pool"
)

// Each calls f(0) to f(n−1), one a core at a time, and returns when all have
// ended. Measures have nothing in common, so their intervals can be made side
// by side: f(i) writes what belongs to i only, and the result does not depend on
// how many run at once. A panic in f is one in the caller, who may catch it.
func Each(n int, f func(i int)) {
	group := pool.New().WithMaxGoroutines(runtime.GOMAXPROCS(0))
	for i := range n {
		group.Go(func() { f(i) })
	}
	group.Wait()
}
