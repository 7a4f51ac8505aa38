package estimate

import (
	"fmt"
	"math"
)

// Proportion returns the share of true among outcomes, which are in time
// order, with a Wilson score interval for the effective number of steps
// nₑ = n/v. An outcome is taken to say on which side of a threshold a quantity
// lies that is correlated from step to step, as a step lands heel first when
// its strike angle is large enough: if neighbouring outcomes have correlation
// r, the quantity has φ = sin(πr/2), and v is that of a median (see the package
// comment; exact for a share of one half). Student's t with nₑ−1 degrees of
// freedom stands for the normal quantile because φ is estimated.
//
// Where all outcomes are alike their correlation cannot be told, and n steps
// count as n. For few outcomes see MedianInterval.
func Proportion(outcomes []bool, cfg Config) Estimate {
	n, share := len(outcomes), shareOf(outcomes)
	if n < cfg.minimum() {
		return tooFew(n, share, "share", cfg)
	}
	effective := effectiveOutcomes(outcomes)
	low, high := wilson(share, effective, cfg.t(effective-1))
	return Estimate{N: n, Center: share, Low: low, High: high,
		Method: fmt.Sprintf("share; %s Wilson interval, %s", cfg.named(), countedAs(n, effective))}
}

// shareOf is the share of true, NaN without outcomes.
func shareOf(outcomes []bool) float64 {
	yes := 0
	for _, outcome := range outcomes {
		if outcome {
			yes++
		}
	}
	return float64(yes) / float64(len(outcomes))
}

func effectiveOutcomes(outcomes []bool) float64 {
	values := make([]float64, len(outcomes))
	for i, yes := range outcomes {
		if yes {
			values[i] = 1
		}
	}
	phi := math.Sin(math.Pi / 2 * neighbours(values))
	return float64(len(outcomes)) / inflation(min(phi, maxCorrelation))
}

// wilson returns the score interval of a share p of n (Wilson, 1927, J. Am.
// Stat. Assoc. 22, 209–212):
//
//	(p + z²/2n ± z sqrt(p(1−p)/n + z²/4n²)) / (1 + z²/n).
func wilson(p, n, z float64) (low, high float64) {
	zz := z * z / n
	half := z * math.Sqrt(p*(1-p)/n+zz/(4*n))
	return max(0, (p+zz/2-half)/(1+zz)), min(1, (p+zz/2+half)/(1+zz))
}

// ProportionDifference returns the share of true in a minus that in b with the
// hybrid score interval (Newcombe, 1998, Stat. Med. 17, 873–890, method 10)
// from the sides' intervals of Proportion. N is the number of outcomes of the
// smaller side.
func ProportionDifference(a, b []bool, cfg Config) Estimate {
	n := min(len(a), len(b))
	if n < cfg.minimum() {
		return tooFew(n, shareOf(a)-shareOf(b), "difference of shares", cfg)
	}
	ea, eb := Proportion(a, cfg), Proportion(b, cfg)
	center := ea.Center - eb.Center
	return Estimate{
		N: n, Center: center,
		Low:    center - math.Hypot(ea.Center-ea.Low, eb.High-eb.Center),
		High:   center + math.Hypot(ea.High-ea.Center, eb.Center-eb.Low),
		Method: fmt.Sprintf("difference of shares; %s hybrid score interval from Wilson's of the sides", cfg.named()),
	}
}
