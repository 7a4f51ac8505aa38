package event

import (
	"math"

	"setdown/signal/recording"
)

// The search for impacts, times in s. Own choices; see docs/events.md for how
// they were found and what they were judged on.
const (
	// impactBefore and impactAfter bound the search for the heel's impact around
	// the rise.
	impactBefore, impactAfter = 0.070, 0.005
	// onsetShare is the share of the strongest jerk at which an impact begins;
	// shuffleShare is the same for turns, shuffles and flat walking steps, which
	// have no clear first touch.
	onsetShare   = 0.45
	shuffleShare = 0.65
	// softShare is the same for a forefoot or flat foot in running, and for a
	// walking heel, of the jerk beyond late swing's.
	softShare = 0.30
)

// heelImpact returns the onset of the heel's impact around the toe-down rise.
// A walking heel lands softly, and late swing brakes nearly as hard: there only
// what goes beyond the braking counts.
func heelImpact(w *Window, rise float64, g Gait) float64 {
	from, to := rise-impactBefore*w.Rate, rise+impactAfter*w.Rate
	if g == Walking {
		return softImpact(w, from, to)
	}
	return impact(w, from, to, onsetShare)
}

// lost tells a sample that was not recorded. A clipped acceleration is none: its
// flank is the very impact, only its peak is not known.
func lost(v recording.Void) bool {
	const both = recording.VoidAcc | recording.VoidGyr
	return v&both == both
}

// jerk is the size of the change of acceleration from sample i to i+1, m/s²;
// 0 next to a lost sample.
func jerk(w *Window, i int) float64 {
	if lost(w.Void[i]) || lost(w.Void[i+1]) {
		return 0
	}
	x, y, z := w.Acc[0][i+1]-w.Acc[0][i], w.Acc[1][i+1]-w.Acc[1][i], w.Acc[2][i+1]-w.Acc[2][i]
	return math.Sqrt(x*x + y*y + z*z)
}

// anyLost tells whether a sample between two fractional samples is lost.
func anyLost(w *Window, from, to float64) bool {
	for i := max(0, int(from)); i <= min(w.Len()-1, int(to)+1); i++ {
		if lost(w.Void[i]) {
			return true
		}
	}
	return false
}

// strongest is the largest jerk between two fractional samples.
func strongest(w *Window, from, to float64) float64 {
	best := 0.0
	for i := max(0, int(from)); i < min(w.Len()-1, int(to)); i++ {
		best = math.Max(best, jerk(w, i))
	}
	return best
}

// impact returns the fractional sample at which the first strong impact
// between from and to begins, NaN where the range is empty or nothing moves.
//
// The jerk of sample interval k is the change of acceleration over it. The
// first interval above share of the range's largest one, or the next, runs
// at the full slope; what the intervals before it show of that slope is the
// part of them that lies behind the onset:
//
//	onset = k + 1 − J(k)/S − (J(k−1) − J₀)/S,  S = max(J(k), J(k+1)),
//
// with J₀ the jerk before, in the smooth swing.
func impact(w *Window, from, to, share float64) float64 {
	lo, hi := max(3, int(from)), min(w.Len()-3, int(math.Ceil(to)))
	if hi <= lo {
		return math.NaN()
	}
	level := share * strongest(w, float64(lo), float64(hi+1))
	if level == 0 {
		return math.NaN()
	}
	k := lo
	for k < hi && jerk(w, k) < level {
		k++
	}
	slope := math.Max(jerk(w, k), jerk(w, k+1))
	quiet := math.Min(jerk(w, k-2), jerk(w, k-3))
	part := math.Max(0, math.Min(1, (jerk(w, k-1)-quiet)/slope))
	return float64(k+1) - jerk(w, k)/slope - part
}

// softImpact is impact with the jerk of each interval less that of two
// intervals before it, as vectors: steady braking drops out and a bend of the
// acceleration is left.
func softImpact(w *Window, from, to float64) float64 {
	lo, hi := max(4, int(from)), min(w.Len()-3, int(math.Ceil(to)))
	level := softShare * strongestBend(w, from, to)
	if hi <= lo || level == 0 {
		return math.NaN()
	}
	k := lo
	for k < hi && excess(w, k, k-2) < level {
		k++
	}
	slope := math.Max(excess(w, k, k-2), excess(w, k+1, k-2))
	part := (excess(w, k-1, k-2) - excess(w, k-2, k-3)) / slope
	return float64(k+1) - excess(w, k, k-2)/slope - math.Max(0, math.Min(1, part))
}

// strongestBend is the largest excess between two fractional samples, each over
// the interval two before it.
func strongestBend(w *Window, from, to float64) float64 {
	best := 0.0
	for i := max(4, int(from)); i <= min(w.Len()-3, int(math.Ceil(to))); i++ {
		best = math.Max(best, excess(w, i, i-2))
	}
	return best
}

// excess is the size of the change of acceleration from sample i to i+1 less
// that from base to base+1, m/s²; 0 next to a lost sample.
func excess(w *Window, i, base int) float64 {
	if lost(w.Void[i]) || lost(w.Void[i+1]) || lost(w.Void[base]) || lost(w.Void[base+1]) {
		return 0
	}
	sum := 0.0
	for k := range 3 {
		d := w.Acc[k][i+1] - w.Acc[k][i] - w.Acc[k][base+1] + w.Acc[k][base]
		sum += d * d
	}
	return math.Sqrt(sum)
}
