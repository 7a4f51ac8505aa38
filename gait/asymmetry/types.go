// Package asymmetry compares the injured with the uninjured side.
//
// It says two things apart: what this recording shows (a difference, its
// interval, whether the interval excludes zero) and a verdict against a floor
// (what refitting the sensors or ordinary unevenness can make).
package asymmetry

import (
	"setdown/gait/estimate"
	"setdown/signal/recording"
)

// Injured says which side is injured.
type Injured uint8

// The answers to "which side is injured".
const (
	InjuredUnknown Injured = iota
	InjuredLeft
	InjuredRight
	InjuredBoth
)

// String returns "unknown", "left", "right" or "both".
func (i Injured) String() string { return [...]string{"unknown", "left", "right", "both"}[i] }

// Verdict is what a comparison may conclude.
type Verdict uint8

// The verdicts.
const (
	// CannotTell: the interval reaches across the floor, there were too few
	// steps, or the sides cannot be compared.
	CannotTell Verdict = iota
	// Different: the interval lies wholly beyond the floor.
	Different
	// Alike: the interval lies wholly inside the floor.
	Alike
	// NoVerdict: the measure is shown only.
	NoVerdict
)

// String returns "cannot_tell", "different", "alike" or "".
func (v Verdict) String() string {
	return [...]string{"cannot_tell", "different", "alike", ""}[v]
}

// Comparison is one measure compared between the sides. Values are in base
// units; NaN means "does not exist".
type Comparison struct {
	// Key is the metric's key in the catalogue of package step.
	Key string
	// First and Second are the sides of the difference First − Second.
	First, Second recording.Side
	// DifferenceOf is "injured - uninjured" or "right - left".
	DifferenceOf string
	// Difference is First − Second with its interval.
	Difference estimate.Estimate
	// SymmetryIndexPercent is (First − Second) / mean × 100 (Robinson et al.
	// 1987); NaN where signs differ or the mean is near zero.
	SymmetryIndexPercent float64
	// LogRatioPercent is 100 ln(First/Second); NaN unless both are positive.
	LogRatioPercent float64
	// ExcludesZero tells whether the interval excludes zero; meaningful only
	// when HasInterval.
	ExcludesZero, HasInterval bool
	// Floor is the half-width, base units, of what counts as alike; NaN when
	// the measure has no verdict.
	Floor float64
	// FloorFrom says where the floor comes from.
	FloorFrom string
	Verdict   Verdict
	// Because is one sentence why the verdict is what it is, and for
	// CannotTell what would settle it.
	Because string
	// ByLanding is the part of the difference explained by the strike angle,
	// base units; it has no interval where the sides' strike angles overlap by
	// less than half or there are too few steps (N is then how many there were),
	// and N is 0 where the measure is not one of lowering.
	ByLanding estimate.Estimate
	// ByLandingBecause says why ByLanding does not exist.
	ByLandingBecause string
}

// Drift compares the first with the last third of the run for one measure of
// one side, base units: Last − First.
type Drift struct {
	Key        string
	Side       recording.Side
	Difference estimate.Estimate
	// FirstMinute and LastMinute are the mean times, min into the run.
	FirstMinute, LastMinute float64
}

// Change is the minute at which one side began to change.
type Change struct {
	Key  string
	Side recording.Side
	// Found is false when no change was shown; Because says what was looked at.
	Found             bool
	Minute, Low, High float64
	Because           string
}

// Result is the whole comparison.
type Result struct {
	Injured Injured
	// Comparisons are in catalogue order.
	Comparisons []Comparison
	// LandDifferently is true where the heel-first shares differ, so that the
	// lowering comparison is withheld.
	LandDifferently bool
	// AlsoLandsFlatter is one plain sentence where the strike angles differ,
	// else "".
	LandingNote string
	Drifts      []Drift
	Changes     []Change
}

// Get returns the comparison with the key and whether there is one.
func (r *Result) Get(key string) (Comparison, bool) {
	if r != nil {
		for _, c := range r.Comparisons {
			if c.Key == key {
				return c, true
			}
		}
	}
	return Comparison{}, false
}
