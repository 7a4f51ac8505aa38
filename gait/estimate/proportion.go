package estimate

import (
	"fmt"
	"math"
)

// Proportion returns the share of true among outcomes, which are in time
// order, with a Wilson score interval whose n is the effective number of
// steps.
func Proportion(outcomes []bool, cfg Config) Estimate {
	n := len(outcomes)
	if n == 0 {
		return tooFew(0, cfg.minimum(), math.NaN())
	}
	share := 0.0
	values := make([]float64, n)
	for i, yes := range outcomes {
		if yes {
			share += 1 / float64(n)
			values[i] = 1
		}
	}
	if n < cfg.minimum() {
		return tooFew(n, cfg.minimum(), share)
	}
	phi := correlation(values)
	low, high := wilson(share, float64(n)*(1-phi)/(1+phi), cfg.z())
	return Estimate{N: n, Center: share, Low: low, High: high,
		Method: fmt.Sprintf("share, %d %% Wilson interval for the effective number of steps", percent(cfg))}
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
// from the sides' Wilson intervals. N is the number of outcomes of the smaller
// side.
func ProportionDifference(a, b []bool, cfg Config) Estimate {
	ea, eb := Proportion(a, cfg), Proportion(b, cfg)
	n, center := min(len(a), len(b)), ea.Center-eb.Center
	if n < cfg.minimum() {
		return tooFew(n, cfg.minimum(), center)
	}
	return Estimate{
		N: n, Center: center,
		Low:    center - math.Hypot(ea.Center-ea.Low, eb.High-eb.Center),
		High:   center + math.Hypot(ea.High-ea.Center, eb.Center-eb.Low),
		Method: fmt.Sprintf("difference of shares, %d %% hybrid score interval", percent(cfg)),
	}
}
