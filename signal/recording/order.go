package recording

import (
	"math/bits"
	"slices"
)

// nth returns the value that would stand at index k if x, without NaN, were
// sorted. It changes the order of x: what was at or below the value comes to
// stand before it. Quickselect about the median of three (Hoare, 1961, Commun.
// ACM 4, 321–322); where the parts shrink too slowly the rest is sorted.
func nth(x []float64, k int) float64 {
	for rounds := 2 * bits.Len(uint(len(x))); len(x) > 24; rounds-- {
		if rounds == 0 {
			break
		}
		a, b, c := x[0], x[len(x)/2], x[len(x)-1]
		pivot := max(min(a, b), min(max(a, b), c))
		i, j := 0, len(x)-1
		for i <= j {
			for x[i] < pivot {
				i++
			}
			for x[j] > pivot {
				j--
			}
			if i <= j {
				x[i], x[j] = x[j], x[i]
				i++
				j--
			}
		}
		switch {
		case k <= j:
			x = x[:j+1]
		case k >= i:
			x, k = x[i:], k-i
		default:
			return pivot
		}
	}
	slices.Sort(x)
	return x[k]
}
