package agreement

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"setdown/gait/estimate"
)

// Form names an intraclass correlation as Shrout & Fleiss (1979) do.
type Form struct {
	// Model 1: each subject has occasions of its own (one-way). Model 2:
	// occasions are a sample and their differences count as error (absolute
	// agreement). Model 3: occasions are fixed and their differences do not
	// count (consistency).
	Model int
	// Average is false for a single measurement (k = 1), true for the mean of
	// all occasions.
	Average bool
}

// String returns "ICC(2,1)" or "ICC(2,k)".
func (f Form) String() string {
	if f.Average {
		return fmt.Sprintf("ICC(%d,k)", f.Model)
	}
	return fmt.Sprintf("ICC(%d,1)", f.Model)
}

// Forms lists all six.
func Forms() []Form {
	return []Form{{1, false}, {2, false}, {3, false}, {1, true}, {2, true}, {3, true}}
}

// ICC returns an intraclass correlation with its interval (Shrout & Fleiss,
// 1979, Psychol. Bull. 86, 420–428; McGraw & Wong, 1996, Psychol. Methods 1,
// 30–46). With n subjects, k occasions and mean squares B, J, E, W:
//
//	ICC(1,1) = (B−W)/(B+(k−1)W)        ICC(1,k) = (B−W)/B
//	ICC(2,1) = (B−E)/(B+(k−1)E+k(J−E)/n)  ICC(2,k) = (B−E)/(B+(J−E)/n)
//	ICC(3,1) = (B−E)/(B+(k−1)E)        ICC(3,k) = (B−E)/B
//
// Intervals of models 1 and 3 follow from F, those of model 2 use
// Satterthwaite's degrees of freedom. Negative values are given as they come
// out. Where nothing varies everything is NaN. It panics on another model.
func (v Variance) ICC(f Form, cfg estimate.Config) estimate.Estimate {
	var e estimate.Estimate
	switch f.Model {
	case 1:
		e = v.fromF(v.WithinMS, float64(v.Subjects*(v.Occasions-1)), f.Average, upper(cfg))
	case 2:
		e = v.absolute(f.Average, upper(cfg))
	case 3:
		e = v.fromF(v.ErrorMS, float64((v.Subjects-1)*(v.Occasions-1)), f.Average, upper(cfg))
	default:
		panic("agreement: no such model")
	}
	e.N = v.Subjects
	e.Method = fmt.Sprintf("%s of %d subjects on %d occasions", f, v.Subjects, v.Occasions)
	if v.Subjects < Enough {
		e.Needed = Enough
	}
	return e
}

// upper is the probability below the upper end of an interval.
func upper(cfg estimate.Config) float64 {
	if cfg.Confidence == 0 {
		return 0.975
	}
	return (1 + cfg.Confidence) / 2
}

// fromF is models 1 and 3: with F = B/err and its quantiles,
//
//	(F/Fq − 1)/(F/Fq + k − 1) ≤ ICC ≤ (F·Fq' − 1)/(F·Fq' + k − 1),
//
// and 1 − 1/F for the mean of k.
func (v Variance) fromF(err, freedom float64, average bool, up float64) estimate.Estimate {
	between := float64(v.Subjects - 1)
	ratio := v.BetweenMS / err
	icc := func(f float64) float64 {
		switch {
		case math.IsInf(f, 1):
			return 1
		case average:
			return 1 - 1/f
		}
		return (f - 1) / (f + float64(v.Occasions) - 1)
	}
	return estimate.Estimate{
		Center: icc(ratio),
		Low:    icc(ratio / fQuantile(up, between, freedom)),
		High:   icc(ratio * fQuantile(up, freedom, between)),
	}
}

// absolute is model 2 with the interval of McGraw & Wong (1996), table 7, case 2A.
func (v Variance) absolute(average bool, up float64) estimate.Estimate {
	n, k := float64(v.Subjects), float64(v.Occasions)
	b, j, e := v.BetweenMS, v.OccasionMS, v.ErrorMS
	single := (b - e) / (b + (k-1)*e + k*(j-e)/n)
	low, high := v.satterthwaite(single, up)
	if average {
		mean := func(r float64) float64 {
			if 1+(k-1)*r <= 0 {
				return math.NaN() // a single measure this poor has no mean of k
			}
			return k * r / (1 + (k-1)*r)
		}
		return estimate.Estimate{Center: (b - e) / (b + (j-e)/n), Low: mean(low), High: mean(high)}
	}
	return estimate.Estimate{Center: single, Low: low, High: high}
}

// satterthwaite returns the interval of ICC(2,1).
func (v Variance) satterthwaite(icc, up float64) (low, high float64) {
	n, k := float64(v.Subjects), float64(v.Occasions)
	b, j, e := v.BetweenMS, v.OccasionMS, v.ErrorMS
	freedom := v.satterthwaiteFreedom(icc)
	lower := fQuantile(up, n-1, freedom)
	higher := fQuantile(up, freedom, n-1)
	rest := k*j + (k*n-k-n)*e
	low = n * (b - lower*e) / (lower*rest + n*b)
	high = n * (higher*b - e) / (rest + n*higher*b)
	return low, high
}

// satterthwaiteFreedom is the degrees of freedom of the sum of the occasions'
// and the error's mean squares.
func (v Variance) satterthwaiteFreedom(icc float64) float64 {
	n, k := float64(v.Subjects), float64(v.Occasions)
	a := k * icc / (n * (1 - icc))
	c := 1 + k*icc*(n-1)/(n*(1-icc))
	sum := a*v.OccasionMS + c*v.ErrorMS
	return sum * sum / (a*a*v.OccasionMS*v.OccasionMS/(k-1) + c*c*v.ErrorMS*v.ErrorMS/((n-1)*(k-1)))
}

// F returns the ratio of the subjects' mean square to the error's of the model
// (within-subject for 1, residual for 2 and 3), and its p-value.
func (v Variance) F(model int) (f, p float64) {
	err, freedom := v.ErrorMS, float64((v.Subjects-1)*(v.Occasions-1))
	if model == 1 {
		err, freedom = v.WithinMS, float64(v.Subjects*(v.Occasions-1))
	}
	f = v.BetweenMS / err
	return f, distuv.F{D1: float64(v.Subjects - 1), D2: freedom}.Survival(f)
}

// fQuantile is NaN without positive degrees of freedom.
func fQuantile(p, d1, d2 float64) float64 {
	if !(d1 > 0 && d2 > 0) || math.IsInf(d1+d2, 0) {
		return math.NaN()
	}
	return distuv.F{D1: d1, D2: d2}.Quantile(p)
}
