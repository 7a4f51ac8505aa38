package recording

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestTheNthValueIsThatOfTheSortedOnes(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for name, value := range map[string]func(i int) float64{
		"random": func(int) float64 { return r.NormFloat64() }, "rising": func(i int) float64 { return float64(i) },
		"falling": func(i int) float64 { return float64(-i) }, "equal": func(int) float64 { return 3 },
		"few values": func(int) float64 { return float64(r.IntN(3)) }, "saw": func(i int) float64 { return float64(i % 127) },
	} {
		for _, n := range []int{1, 2, 24, 25, 1015, 1016, 5000, 24000} {
			x := make([]float64, n)
			for i := range x {
				x[i] = value(i)
			}
			sorted := slices.Sorted(slices.Values(x))
			for _, k := range []int{0, n / 20, n / 2, n * 19 / 20, n - 1} {
				require.Equal(t, sorted[k], nth(slices.Clone(x), k), "%s: %d of %d", name, k, n)
			}
		}
	}
}
