package estimate_test

import (
	"testing"

	"github.com/stretchr/testify/require"
	"setdown/gait/estimate"
)

func TestEachCallsEveryOneOnce(t *testing.T) {
	for _, n := range []int{0, 1, 7, 1000} {
		calls := make([]int, n)
		estimate.Each(n, func(i int) { calls[i]++ })
		for i, c := range calls {
			require.Equal(t, 1, c, "f(%d) of %d", i, n)
		}
	}
}

// Whoever keeps a defect of one recording from ending a trial or a server does so
// with recover, which sees only what its own goroutine does.
func TestEachHandsAPanicToItsCaller(t *testing.T) {
	require.Panics(t, func() {
		estimate.Each(100, func(i int) {
			if i == 42 {
				panic("a programmer's mistake")
			}
		})
	})
}
