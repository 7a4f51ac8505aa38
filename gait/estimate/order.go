package estimate

import (
	"cmp"
	"math"
	"math/bits"
	"slices"
)

// placed is a value with its place among the values that it came with.
type placed struct {
	// key rises with the value; values that are equal have equal keys, and NaN
	// has the lowest.
	key uint64
	at  int
}

// Keys are sorted by digits of digitBits bits, as many as sort most values apart.
const (
	digitBits = 11
	digits    = 3
	// digitsLeast is from how many values on this is faster. Measured.
	digitsLeast = 150
)

// inOrder returns the places of values in rising order of the values, NaN first.
func inOrder(values []float64) []placed {
	order := make([]placed, len(values))
	for i, v := range values {
		order[i] = placed{keyOf(v), i}
	}
	if len(order) >= digitsLeast {
		order = byDigits(order)
	}
	slices.SortFunc(order, func(a, b placed) int { return cmp.Compare(a.key, b.key) })
	return order
}

// keyOf returns the bits of a number, changed so that they rise with it.
func keyOf(v float64) uint64 {
	if math.IsNaN(v) {
		return 0
	}
	b := math.Float64bits(v + 0) // −0 becomes 0
	if b>>63 != 0 {
		return ^b
	}
	return b | 1<<63
}

// byDigits sorts by the leading digits in which keys differ, the last of them first
// (radix sort; Knuth, The Art of Computer Programming 3, 5.2.5). It foresees every
// branch, where comparing random values misses one in two. Values that agree in all
// digits keep their order, so that few are left to be compared.
func byDigits(order []placed) []placed {
	low, high := order[0].key, order[0].key
	for _, p := range order {
		low, high = min(low, p.key), max(high, p.key)
	}
	shift := max(0, bits.Len64(high-low)-digits*digitBits)
	from, to := order, make([]placed, len(order))
	for range digits {
		var next [1 << digitBits]int32
		digit := func(p placed) uint64 { return (p.key - low) >> shift % (1 << digitBits) }
		for _, p := range from {
			next[digit(p)]++
		}
		sum := int32(0)
		for i, n := range next {
			next[i] = sum
			sum += n
		}
		for _, p := range from {
			d := digit(p)
			to[next[d]] = p
			next[d]++
		}
		from, to = to, from
		shift += digitBits
	}
	return from
}
