package estimate

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// strange are numbers whose order is easily got wrong.
var strange = []float64{0, math.Copysign(0, -1), 1, -1, math.Inf(1), math.Inf(-1), math.MaxFloat64, -math.MaxFloat64,
	math.SmallestNonzeroFloat64, -math.SmallestNonzeroFloat64, math.Pi, math.Nextafter(math.Pi, 4), math.NaN(), -math.NaN()}

func TestOrderIsThatOfComparing(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for _, n := range []int{0, 1, 2, 13, digitsLeast - 1, digitsLeast, 1000} {
		values := make([]float64, n)
		for i := range values {
			switch values[i] = r.NormFloat64() * math.Pow10(r.IntN(20)-10); r.IntN(4) {
			case 0:
				values[i] = strange[r.IntN(len(strange))]
			case 1:
				values[i] = math.Round(values[i])
			}
		}
		want := slices.Clone(values)
		slices.Sort(want)
		given := slices.Clone(values)
		order := inOrder(values)
		require.Len(t, order, n)
		seen := make([]bool, n)
		for i, p := range order {
			require.False(t, seen[p.at], "each place once")
			seen[p.at] = true
			v := values[p.at]
			require.True(t, v == want[i] || math.IsNaN(v) && math.IsNaN(want[i]), "%d of %d: %g, not %g", i, n, v, want[i])
		}
		for i := range n {
			require.Equal(t, math.Float64bits(given[i]), math.Float64bits(values[i]), "values stay as they were")
		}
	}
}

func TestEqualNumbersHaveEqualKeys(t *testing.T) {
	for _, a := range strange {
		for _, b := range strange {
			require.Equal(t, a == b || math.IsNaN(a) && math.IsNaN(b), keyOf(a) == keyOf(b), "%g and %g", a, b)
		}
	}
}

// Each call has other values: the processor learns the branches of one order by heart.
func BenchmarkOrder(b *testing.B) {
	values := make([]float64, 1<<18)
	r := rand.New(rand.NewPCG(1, 2))
	for i := range values {
		values[i] = 3 + r.NormFloat64()
	}
	for _, n := range []int{20, 50, 100, 150, 800, 5000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			b.ReportAllocs()
			for i := 0; b.Loop(); i = (i + n) % (len(values) - n) {
				inOrder(values[i : i+n])
			}
		})
	}
}
