package orient

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"setdown/signal/unit"
)

// stances returns the indices of the stillest moments between strong turns, in
// order, at least alignApart s from each other.
func (s *aligner) stances() []int {
	near := s.samples(alignNear)
	before, after := strongNear(s.turn, alignStrong, near)
	type candidate struct {
		i    int
		cost float64
	}
	var all []candidate
	for i := 1; i+1 < len(s.turn); i++ {
		if s.turn[i] > s.turn[i-1] || s.turn[i] >= s.turn[i+1] || !before[i] || !after[i] {
			continue
		}
		off := math.Abs(norm3(s.at(s.as, i))/unit.StandardGravity - 1)
		if s.turn[i] > alignQuiet || off > alignGravity {
			continue
		}
		all = append(all, candidate{i, s.turn[i]/alignQuiet + off/alignGravity})
	}
	slices.SortStableFunc(all, func(a, b candidate) int { return cmp.Compare(a.cost, b.cost) })
	if len(all) > 0 {
		calm := all[len(all)/4].cost
		all = all[:max(1, sort.Search(len(all), func(k int) bool { return all[k].cost > alignUnrest*calm }))]
	}
	apart := s.samples(alignApart)
	taken := make(map[int]bool)
	var out []int
	for _, c := range all {
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

// strongNear tells for each sample whether turn exceeds strong within near
// samples before it, and after it.
func strongNear(turn []float64, strong float64, near int) (before, after []bool) {
	before, after = make([]bool, len(turn)), make([]bool, len(turn))
	last := -near - 1
	for i, v := range turn {
		if v > strong {
			last = i
		}
		before[i] = i-last <= near
	}
	next := len(turn) + near + 1
	for i := len(turn) - 1; i >= 0; i-- {
		if turn[i] > strong {
			next = i
		}
		after[i] = next-i <= near
	}
	return before, after
}
