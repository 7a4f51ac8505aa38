package estimate

import "math"

// enoughPairs is the share of the smaller side's steps that must have a
// partner before the sides are compared pair by pair. Own choice.
const enoughPairs = 0.5

// leastUncommon bounds how much of the variance of a difference may cancel:
// below it the sides would be near copies, which feet are not. Own choice.
const leastUncommon = 0.1

// pair names a step of each side by its index.
type pair struct{ a, b int }

// pairs sets each step of the side that steps first beside the step of the
// other side that follows it before the next of its own, as feet alternate, so
// that swapping the sides changes nothing. It is nil without times. A step that
// comes later than the usual time between two steps of one side is no partner:
// steps are missing between them.
func pairs(a, b Series) []pair {
	if a.Times == nil || b.Times == nil {
		return nil
	}
	if len(a.Times) != len(a.Values) || len(b.Times) != len(b.Values) {
		panic("estimate: times and values have different lengths")
	}
	if len(a.Times) > 0 && len(b.Times) > 0 && b.Times[0] < a.Times[0] {
		swapped := pairs(b, a)
		for i, p := range swapped {
			swapped[i] = pair{a: p.b, b: p.a}
		}
		return swapped
	}
	var matched []pair
	usual := Median(gaps(a.Times))
	j := 0
	for i, t := range a.Times {
		for j < len(b.Times) && b.Times[j] < t {
			j++
		}
		alone := i+1 < len(a.Times) && j < len(b.Times) && b.Times[j] >= a.Times[i+1]
		if j < len(b.Times) && !alone && b.Times[j]-t < usual {
			matched = append(matched, pair{i, j})
		}
	}
	return matched
}

// gaps are the times between neighbours.
func gaps(times []float64) []float64 {
	var between []float64
	for i := 1; i < len(times); i++ {
		between = append(between, times[i]-times[i-1])
	}
	return between
}

// difference returns by how many times the variance of each side's median
// exceeds that of independent values when the medians are subtracted, and how
// this was judged.
//
// With scale s of each side and normal scores z, the differences of the pairs
// d = sₐ zₐ − s_b z_b have correlation φ between neighbours, and ρ between the
// scores of one pair is what cancels:
//
//	v = inflation(φ) (1 − w 2 sₐ s_b (2/π) asin ρ / (sₐ² + s_b²)),
//
// where w is the share of steps that have a partner. v holds for both sides.
func difference(a, b ranked, matched []pair) (va, vb float64, how string) {
	smaller := min(len(a.scores), len(b.scores))
	if float64(len(matched)) < enoughPairs*float64(smaller) {
		return inflation(neighbours(a.scores)), inflation(neighbours(b.scores)), "the sides"
	}
	sa, sb := a.scale(), b.scale()
	if sa == 0 && sb == 0 {
		return 1, 1, "the sides"
	}
	differences := make([]float64, len(matched))
	for i, p := range matched {
		differences[i] = sa*a.scores[p.a] - sb*b.scores[p.b]
	}
	larger := max(len(a.scores), len(b.scores))
	share := float64(len(matched)) / math.Sqrt(float64(smaller)*float64(larger))
	common := share * 2 * sa * sb * signCorrelation(likeness(a, b, matched)) / (sa*sa + sb*sb)
	v := inflation(neighbours(differences)) * max(1-common, leastUncommon)
	return v, v, "the sides, neighbouring steps compared in pairs"
}

// scale is the interquartile range, which is what the interval of a median
// scales with near enough.
func (r ranked) scale() float64 { return r.at(0.75) - r.at(0.25) }

// likeness is the correlation of the scores within pairs; 0 when one side does
// not vary.
func likeness(a, b ranked, matched []pair) float64 {
	product, squareA, squareB := 0.0, 0.0, 0.0
	for _, p := range matched {
		product += a.scores[p.a] * b.scores[p.b]
		squareA += a.scores[p.a] * a.scores[p.a]
		squareB += b.scores[p.b] * b.scores[p.b]
	}
	if squareA == 0 || squareB == 0 {
		return 0
	}
	return product / math.Sqrt(squareA*squareB)
}
