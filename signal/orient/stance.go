package orient

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"setdown/signal/unit"
)

// stances returns the indices of the stillest moments between strong turns, in
// order, at least alignApart s from each other, where signals are smoothed over
// some seconds.
func (s *aligner) stances(smooth float64) []int {
	s.smooth(smooth)
	apart := s.samples(alignApart)
	taken := make(map[int]bool)
	var out []int
	for _, c := range calmest(s.stillMoments()) {
		cell := c.i / apart
		if nearTaken(taken, out, c.i, cell, apart) {
			continue
		}
		taken[cell] = true
		out = append(out, c.i)
	}
	slices.Sort(out)
	return out
}

// stillMoment is a sample at which the sensor may stand, and its unrest: turning and
// departure from 1 g, each as a share of what is allowed.
type stillMoment struct {
	i      int
	unrest float64
}

// stillMoments are the moments between strong turns at which the sensor turns least,
// where it turns little and feels gravity alone.
func (s *aligner) stillMoments() []stillMoment {
	strong := strongTurns{turn: s.turn, near: s.samples(alignNear)}
	var all []stillMoment
	for i := 1; i+1 < len(s.turn); i++ {
		if s.turn[i] > s.turn[i-1] || s.turn[i] >= s.turn[i+1] || !strong.around(i) {
			continue
		}
		off := math.Abs(norm3(s.smoothed(i))/unit.StandardGravity - 1)
		if s.turn[i] > alignQuiet || off > alignGravity {
			continue
		}
		all = append(all, stillMoment{i, s.turn[i]/alignQuiet + off/alignGravity})
	}
	return all
}

// calmest sorts the moments by their unrest, and leaves out those that are restless
// against the calmest quarter.
func calmest(all []stillMoment) []stillMoment {
	slices.SortStableFunc(all, func(a, b stillMoment) int { return cmp.Compare(a.unrest, b.unrest) })
	if len(all) == 0 {
		return nil
	}
	limit := alignUnrest * all[len(all)/4].unrest
	return all[:max(1, sort.Search(len(all), func(k int) bool { return all[k].unrest > limit }))]
}

// nearTaken tells whether one of the accepted indices lies within apart of i.
func nearTaken(cells map[int]bool, accepted []int, i, cell, apart int) bool {
	if !cells[cell-1] && !cells[cell] && !cells[cell+1] {
		return false
	}
	for _, j := range accepted {
		if j-i < apart && i-j < apart {
			return true
		}
	}
	return false
}

// strongTurns finds the strong turns on either side of a sample.
type strongTurns struct {
	turn []float64
	near int
	// next is the first strong turn from the last asked sample on, or the end; last
	// is the one before next, if there is one.
	next, last int
	any        bool
}

// around tells whether turn exceeds alignStrong both within near samples before
// i and after it, i being in both. It must be asked in rising order.
func (s *strongTurns) around(i int) bool {
	for s.next < len(s.turn) && (s.next < i || !(s.turn[s.next] > alignStrong)) {
		if s.turn[s.next] > alignStrong {
			s.last, s.any = s.next, true
		}
		s.next++
	}
	if s.next == len(s.turn) || s.next-i > s.near {
		return false
	}
	return s.next == i || s.any && i-s.last <= s.near
}
