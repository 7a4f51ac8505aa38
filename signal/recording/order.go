package recording

import (
	"math/bits"
	"slices"
)

// A long x is parted about a value near the one sought, taken from a sample of
// every so many, sampleAside places nearer the middle of the order so that mostly
// the shorter part is left (after Floyd and Rivest, 1975, Commun. ACM 18, 165–172).
const (
	sampleSize  = 127
	sampleAside = 5
)

// pivotNear returns a value of x that stands near index k in order.
func pivotNear(x []float64, k int) float64 {
	if len(x) < 8*sampleSize {
		a, b, c := x[0], x[len(x)/2], x[len(x)-1]
		return max(min(a, b), min(max(a, b), c))
	}
	var sample [sampleSize]float64
	for i := range sample {
		sample[i] = x[i*len(x)/sampleSize]
	}
	at := k * sampleSize / len(x)
	if at < sampleSize/2 {
		at += sampleAside
	} else {
		at -= sampleAside
	}
	return nth(sample[:], at)
}

// nth returns the value that would stand at index k if x, without NaN, were
// sorted. It changes the order of x: what was at or below the value comes to
// stand before it. Quickselect (Hoare, 1961, Commun. ACM 4, 321–322); where the
// parts shrink too slowly the rest is sorted.
func nth(x []float64, k int) float64 {
	for rounds := 2 * bits.Len(uint(len(x))); len(x) > 24; rounds-- {
		if rounds == 0 {
			break
		}
		pivot := pivotNear(x, k)
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
