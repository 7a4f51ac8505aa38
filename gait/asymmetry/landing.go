package asymmetry

import (
	"fmt"
	"math"

	"setdown/gait/estimate"
	"setdown/gait/step"
	"setdown/signal/recording"
)

// The constants of the landing adjustment.
const (
	// angleError is the standard error of one strike angle, rad: it flattens the
	// slope of a measure on the angle and is taken off the angle's variance
	// (Fuller 1987, Measurement Error Models, section 1.2; title from memory).
	// Measured on simulated recordings at 200 Hz, see docs/validation.md.
	angleError = 1.0 * math.Pi / 180
	// leastOverlap is the least share of each side's steps whose strike angle
	// lies in the other side's 1–99 % range.
	leastOverlap = 0.5
	// leastReliable is the least part of the angle's variance that must be left
	// after the error is taken off.
	leastReliable = 0.3
)

// pair is one step's strike angle and measure.
type pair struct{ angle, value float64 }

// explainLanding fills ByLanding of the lowering measures: the slope of the
// measure on the strike angle within the sides times the sides' difference in
// that angle.
func explainLanding(r *Result, steps []step.Step, first, second recording.Side, cfg estimate.Config) {
	estimate.Each(len(r.Comparisons), func(i int) {
		c := &r.Comparisons[i]
		if m := step.Find(c.Key); m.Lowering {
			c.ByLanding, c.ByLandingBecause = byLanding(pairs(steps, first, m), pairs(steps, second, m))
		}
	})
}

func pairs(steps []step.Step, side recording.Side, m step.Metric) []pair {
	var out []pair
	for i := range steps {
		s := &steps[i]
		if v := m.Value(s); s.Side == side && s.Used && !math.IsNaN(v) && !math.IsNaN(s.StrikeAngle) {
			out = append(out, pair{s.StrikeAngle, v})
		}
	}
	return out
}

// byLanding returns the part of the difference a − b that the strike angle
// explains.
func byLanding(a, b []pair) (estimate.Estimate, string) {
	n := min(len(a), len(b))
	none := estimate.None(n)
	if n < estimate.MinValues {
		return none, fmt.Sprintf("needs at least %d heel-first steps a side", estimate.MinValues)
	}
	if o := math.Min(overlap(a, b), overlap(b, a)); o < leastOverlap {
		return none, fmt.Sprintf("the sides' strike angles overlap too little (%.0f %% of steps; %.0f %% are needed)", o*100, leastOverlap*100)
	}
	slope, slopeSE, ok := pooledSlope(a, b)
	if !ok {
		return none, "the strike angle varies too little within each side to tell its effect"
	}
	ma, va := angleMean(a)
	mb, vb := angleMean(b)
	shift, shiftSE := ma-mb, math.Sqrt(va/float64(len(a))+vb/float64(len(b)))
	center := slope * shift
	se := math.Hypot(slope*shiftSE, slopeSE*shift)
	return estimate.Estimate{N: n, Center: center, Low: center - 1.96*se, High: center + 1.96*se,
		Method: "slope on the strike angle within the sides, corrected for the angle's error, times the sides' difference in the angle; 95 % interval by the delta method"}, ""
}

// overlap is the share of a whose angle lies in b's 1–99 % range.
func overlap(a, b []pair) float64 {
	angles := make([]float64, len(b))
	for i, p := range b {
		angles[i] = p.angle
	}
	lo, hi := estimate.Quantile(angles, 0.01), estimate.Quantile(angles, 0.99)
	in := 0
	for _, p := range a {
		if p.angle >= lo && p.angle <= hi {
			in++
		}
	}
	return float64(in) / float64(len(a))
}

func angleMean(p []pair) (mean, variance float64) {
	for _, x := range p {
		mean += x.angle
	}
	mean /= float64(len(p))
	for _, x := range p {
		variance += (x.angle - mean) * (x.angle - mean)
	}
	return mean, variance / float64(len(p)-1)
}

// pooledSlope is the slope of value on angle within the two sides, with the
// angle's error taken off its variance.
func pooledSlope(a, b []pair) (slope, se float64, ok bool) {
	var sxx, sxy, syy float64
	n := 0
	for _, side := range [][]pair{a, b} {
		mx, my := 0.0, 0.0
		for _, p := range side {
			mx, my = mx+p.angle, my+p.value
		}
		mx, my = mx/float64(len(side)), my/float64(len(side))
		for _, p := range side {
			sxx += (p.angle - mx) * (p.angle - mx)
			sxy += (p.angle - mx) * (p.value - my)
			syy += (p.value - my) * (p.value - my)
		}
		n += len(side)
	}
	true2 := sxx - float64(n-2)*angleError*angleError
	if !(true2 > leastReliable*sxx) {
		return 0, 0, false
	}
	slope = sxy / true2
	residual := math.Max(0, syy-sxy*sxy/sxx) / float64(n-3)
	return slope, math.Sqrt(residual/sxx) * sxx / true2, true
}

// landingNote is the sentence on how the feet land, "" where nothing differs.
func landingNote(r *Result) string {
	if r.LandDifferently {
		return "The feet land differently: the heel lands first in a different share of steps on each side."
	}
	c, ok := r.Get("strike_angle_deg")
	if !ok || c.Verdict != Different {
		return ""
	}
	flatter, other := c.First, c.Second
	if c.Difference.Center > 0 {
		flatter, other = c.Second, c.First
	}
	return fmt.Sprintf("The feet land differently: the %s foot lands flatter than the %s by %.0f degrees.",
		flatter, other, math.Abs(c.Difference.Center)*180/math.Pi)
}
