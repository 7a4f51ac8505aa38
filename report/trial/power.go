package trial

import (
	"math"
	"math/rand/v2"

	"setdown/gait/session"
	"setdown/report/table"
)

// What the power of a comparison is about.
const (
	// powerTimes is the true difference that the power is for, in limits: one
	// that matters and that a session should be able to show.
	powerTimes = 2
	// powerSessions is how many sessions are simulated for each comparison: the
	// power then is right within 0.022, two binomial standard errors at 0.5.
	powerSessions = 2000
	// powerWanted is the usual aim when a study is planned.
	powerWanted = 0.8
	// quantileWanted is the standard normal quantile of powerWanted.
	quantileWanted = 0.8416212335729143
	// z95 is the standard normal quantile of 0.975.
	z95 = 1.959963984540054
)

// powerWords describe the column.
const powerWords = "Share of simulated sessions, with this one's scatter and number of steps, whose verdict would be different if the true difference were twice the limit"

// power returns the share of simulated sessions in which the interval lies
// wholly beyond the limit when the true difference is powerTimes the limit. A
// session's difference is drawn from a normal distribution with the standard
// error that the interval of this session implies, and keeps that interval's
// width. It is 0 where a side has too few steps for a verdict, and NaN where the
// comparison has no limit or no interval.
func power(d table.Estimate, floor float64, steps int, seed uint64) float64 {
	half := float64(d.High-d.Low) / 2
	if math.IsNaN(half) || math.IsNaN(floor) || floor <= 0 {
		return math.NaN()
	}
	if steps < session.MinSteps {
		return 0
	}
	rng := rand.New(rand.NewPCG(seed, 0x90e7))
	se, hits := half/z95, 0
	for range powerSessions {
		if powerTimes*floor+se*rng.NormFloat64()-half > floor {
			hits++
		}
	}
	return float64(hits) / powerSessions
}

// stepsForPower returns how many steps a side would give powerWanted. Width and
// standard error fall with the root of the number of steps, so that
//
//	n = n₀ (half-width · (1 + z₀.₈/z₀.₉₇₅) / ((powerTimes − 1) limit))²
//
// and never fewer than a verdict needs; 0 where that cannot be told.
func stepsForPower(d table.Estimate, floor float64, steps int) int {
	half := float64(d.High-d.Low) / 2
	if math.IsNaN(half) || math.IsNaN(floor) || floor <= 0 || steps == 0 {
		return 0
	}
	ratio := half * (1 + quantileWanted/z95) / ((powerTimes - 1) * floor)
	return int(math.Max(session.MinSteps, math.Ceil(float64(steps)*ratio*ratio)))
}
