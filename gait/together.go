package gait

import (
	"fmt"
	"math"
	"slices"

	"setdown/gait/estimate"
	"setdown/signal/recording"
)

const (
	// togetherShare is the share of the shorter side's time that both sides must
	// have in common to count as recorded together.
	togetherShare = 0.5
	// alternateCadence is how far, as a share, the cadences of recordings made
	// one after the other may differ and still be compared (project's own rule).
	alternateCadence = 0.03
)

// together tells whether the sides may be compared at all, and whether they
// were recorded at the same time on one clock. One sensor that was moved from
// side to side gives a verdict only where the order alternated and the cadence
// kept: otherwise a drift over time would pass for a difference.
func together(tracks []*recording.Track, results []*trackResult, oneSensor bool) (comparable, simultaneous bool, because string) {
	begin, end, clock := sideTimes(tracks, results)
	l, r := recording.Left, recording.Right
	if math.IsNaN(begin[l]) || math.IsNaN(begin[r]) {
		return true, true, ""
	}
	joined := clock[l] == clock[r] && clock[l] != ""
	shorter := math.Min(end[l]-begin[l], end[r]-begin[r])
	common := math.Min(end[l], end[r]) - math.Max(begin[l], begin[r])
	switch {
	case oneSensor:
	case !joined:
		return true, false, ""
	case len(tracks) == 2 && inTurn(tracks, results) < inTurnLeast:
		return false, false, notInTurn
	case len(tracks) == 2 && common >= togetherShare*shorter:
		return true, true, ""
	case overlapping(tracks, results):
		return true, true, ""
	}
	order := inOrder(tracks, results, oneSensor)
	if !alternates(order, tracks) {
		return false, false, "the sides were recorded one after the other: what changed in between cannot be told from a difference between the feet; record both at once, or one sensor in the order left, right, left"
	}
	if spread := cadenceSpread(results); !(spread <= alternateCadence) {
		return false, false, fmt.Sprintf("the recordings were made one after the other at cadences that differ by %.0f %%; keep them within %.0f %%", spread*100, alternateCadence*100)
	}
	return true, false, ""
}

// overlapping tells whether every track shares at least half of its time with
// a track of the other side.
func overlapping(tracks []*recording.Track, results []*trackResult) bool {
	for i, t := range tracks {
		shared := 0.0
		a := results[i].summary
		for j, u := range tracks {
			if u.Side == t.Side.Other() {
				b := results[j].summary
				shared += math.Max(0, math.Min(a.End, b.End)-math.Max(a.Begin, b.Begin))
			}
		}
		if shared < togetherShare*a.Duration() {
			return false
		}
	}
	return true
}

// inOrder returns the tracks' indices in the order of recording: as given for
// one sensor, else by time.
func inOrder(tracks []*recording.Track, results []*trackResult, asGiven bool) []int {
	out := make([]int, len(tracks))
	for i := range out {
		out[i] = i
	}
	if !asGiven {
		slices.SortStableFunc(out, func(a, b int) int {
			switch x, y := results[a].summary.Begin, results[b].summary.Begin; {
			case x < y:
				return -1
			case x > y:
				return 1
			}
			return 0
		})
	}
	return out
}

// alternates tells whether the order begins and ends on the same side with the
// other between (left, right, left; left, right, right, left).
func alternates(order []int, tracks []*recording.Track) bool {
	if len(order) < 3 || tracks[order[0]].Side != tracks[order[len(order)-1]].Side {
		return false
	}
	for _, i := range order[1 : len(order)-1] {
		if tracks[i].Side == tracks[order[0]].Side.Other() {
			return true
		}
	}
	return false
}

// cadenceSpread is the largest over the smallest median stride time of the
// tracks, less 1; NaN where a track has no stride.
func cadenceSpread(results []*trackResult) float64 {
	low, high := math.Inf(1), 0.0
	for _, r := range results {
		var strides []float64
		for i := range r.steps {
			if s := &r.steps[i]; s.Used && !math.IsNaN(s.StrideTime) {
				strides = append(strides, s.StrideTime)
			}
		}
		if len(strides) == 0 {
			return math.NaN()
		}
		m := estimate.Median(strides)
		low, high = math.Min(low, m), math.Max(high, m)
	}
	return high/low - 1
}

// sideTimes returns begin and end, s, and the clock of each side; NaN where
// the side has no track.
func sideTimes(tracks []*recording.Track, results []*trackResult) (begin, end [3]float64, clock [3]string) {
	for k := range begin {
		begin[k], end[k] = math.NaN(), math.NaN()
	}
	for i, t := range tracks {
		s := results[i].summary
		if !(begin[t.Side] <= s.Begin) {
			begin[t.Side] = s.Begin
		}
		if !(end[t.Side] >= s.End) {
			end[t.Side] = s.End
		}
		clock[t.Side] = t.Clock
	}
	return begin, end, clock
}
