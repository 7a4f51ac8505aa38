package event

import (
	"math"
	"slices"
)

// Matching is the result of Match.
type Matching struct {
	// Pairs holds, for each matched reference event, its index and that of the
	// detected event.
	Pairs [][2]int
	// Missed are the indices of reference events without a detected one, Extra
	// those of detected events without a reference.
	Missed, Extra []int
}

// Match pairs detected with reference events, both in s and rising, one to
// one: the closest pairs first, none further apart than tolerance s. Of two
// equally close pairs the earlier reference wins. NaN events match nothing and
// are not counted.
//
//	reference   |      |         |
//	detected     |        |   |
//	             pair   pair  extra, and one missed
func Match(reference, detected []float64, tolerance float64) Matching {
	usedR, usedD := make([]bool, len(reference)), make([]bool, len(detected))
	var m Matching
	for _, c := range candidates(reference, detected, tolerance) {
		if !usedR[c.r] && !usedD[c.d] {
			usedR[c.r], usedD[c.d] = true, true
			m.Pairs = append(m.Pairs, [2]int{c.r, c.d})
		}
	}
	slices.SortFunc(m.Pairs, func(a, b [2]int) int { return a[0] - b[0] })
	m.Missed, m.Extra = unpaired(reference, usedR), unpaired(detected, usedD)
	return m
}

// candidate is a reference and a detected event, by index, that may be a pair.
type candidate struct {
	r, d int
	gap  float64 // s
}

// candidates lists the pairs within tolerance, the closest first.
func candidates(reference, detected []float64, tolerance float64) []candidate {
	var times []float64 // detected without NaN, which no search survives
	var index []int
	for d, t := range detected {
		if !math.IsNaN(t) {
			times, index = append(times, t), append(index, d)
		}
	}
	var all []candidate
	for r, t := range reference {
		if math.IsNaN(t) {
			continue
		}
		from, _ := slices.BinarySearch(times, t-tolerance)
		for k := from; k < len(times) && times[k] <= t+tolerance; k++ {
			all = append(all, candidate{r, index[k], math.Abs(times[k] - t)})
		}
	}
	slices.SortStableFunc(all, func(a, b candidate) int {
		switch {
		case a.gap < b.gap:
			return -1
		case a.gap > b.gap:
			return 1
		}
		return a.r - b.r
	})
	return all
}

// unpaired lists the events that are in no pair.
func unpaired(events []float64, used []bool) (out []int) {
	for i, t := range events {
		if !used[i] && !math.IsNaN(t) {
			out = append(out, i)
		}
	}
	return out
}

// F1 returns 2·found / (2·found + missed + extra): the harmonic mean of
// sensitivity and positive predictive value. NaN when there is nothing at all.
func (m Matching) F1() float64 {
	return 2 * float64(len(m.Pairs)) / float64(2*len(m.Pairs)+len(m.Missed)+len(m.Extra))
}
