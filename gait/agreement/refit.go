package agreement

import (
	"fmt"
	"math"

	"setdown/gait/estimate"
)

// Refitted is one set of sessions of one person, with the sensors taken off and
// put on again in between and nothing else changed: the side difference, first
// side less second, of each session.
type Refitted []float64

// Detectable is what refitting the sensors alone can make of a side difference.
type Detectable struct {
	// Sessions is how many went in; Freedom the degrees of freedom.
	Sessions, Freedom int
	// SE is the standard deviation of a side difference between refittings,
	// with its interval.
	SE estimate.Estimate
	// Difference is the smallest side difference of one session that is beyond
	// refitting, t SE: the floor of a side comparison.
	Difference float64
	// Change is the smallest change of a side difference between two sessions
	// that is beyond refitting, t √2 SE.
	Change float64
	// Method says how, in words.
	Method string
}

// Detect pools the scatter of side differences within each set of refittings,
//
//	SE² = Σ Σ (d − mean d)² / Σ (sessions − 1),
//
// and turns it into limits with Student's t, because three refittings tell the
// scatter to within a factor of six only (with two degrees of freedom t is 4.30,
// not 1.96). Sets of different people, or of one person with other shoes, may be
// pooled when their scatter is thought alike; a set of one session adds nothing.
// The error is ErrTooFew unless at least two sessions make a set.
//
// The change of one side against its own earlier value follows the same way from
// that side's values in place of the differences.
func Detect(cfg estimate.Config, sets ...Refitted) (Detectable, error) {
	d, sum := Detectable{}, 0.0
	for _, set := range sets {
		if !finite(set) {
			return Detectable{}, fmt.Errorf("a refitted session has no side difference; leave it out first")
		}
		if len(set) < 2 {
			continue
		}
		mean := estimate.Mean(set)
		for _, x := range set {
			sum += (x - mean) * (x - mean)
		}
		d.Sessions += len(set)
		d.Freedom += len(set) - 1
	}
	if d.Freedom == 0 {
		return Detectable{}, fmt.Errorf("%w: at least two sessions with the sensors put on again are needed", ErrTooFew)
	}
	d.SE = fromVariance(sum/float64(d.Freedom), float64(d.Freedom), cfg)
	d.SE.N, d.SE.Method = d.Sessions, "standard deviation of a side difference between refittings"
	t := Student.of(float64(d.Freedom), cfg)
	d.Difference, d.Change = t*d.SE.Center, t*math.Sqrt2*d.SE.Center
	d.Method = fmt.Sprintf("%d sessions with refitted sensors, t quantile %.2f with %d degrees of freedom", d.Sessions, t, d.Freedom)
	return d, nil
}

// ChangeOf is the smallest change beyond refitting between the mean side
// difference of before sessions and that of after sessions,
//
//	t SE √(1/before + 1/after),
//
// for follow-ups whose baseline is more than one session. It panics when one of
// them is below 1.
func (d Detectable) ChangeOf(before, after int, cfg estimate.Config) float64 {
	if before < 1 || after < 1 {
		panic("agreement: a change needs a session before and after")
	}
	return Student.of(float64(d.Freedom), cfg) * d.SE.Center * math.Sqrt(1/float64(before)+1/float64(after))
}
