package agreement

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"setdown/gait/estimate"
)

// SEM returns the standard error of measurement, √E with E the residual mean
// square: the typical error of one measurement once differences between
// occasions are taken off; it does not depend on a form of ICC (Weir, 2005). The
// interval is that of a variance with (n−1)(k−1) degrees of freedom,
//
//	√(ν E / χ²₀.₉₇₅) to √(ν E / χ²₀.₀₂₅).
func (v Variance) SEM(cfg estimate.Config) estimate.Estimate {
	e := fromVariance(v.ErrorMS, v.errorFreedom(), cfg)
	e.N = v.Subjects
	e.Method = "standard error of measurement, square root of the residual mean square"
	if v.Subjects < Enough {
		e.Needed = Enough
	}
	return e
}

// errorFreedom is the degrees of freedom of the residual mean square.
func (v Variance) errorFreedom() float64 { return float64((v.Subjects - 1) * (v.Occasions - 1)) }

// AgreementSEM is √W, the error with differences between occasions counted in:
// what refitting sensors on another day adds, where the days differ by chance.
func (v Variance) AgreementSEM(cfg estimate.Config) estimate.Estimate {
	e := fromVariance(v.WithinMS, float64(v.Subjects*(v.Occasions-1)), cfg)
	e.N = v.Subjects
	e.Method = "standard error of measurement, occasions counted in"
	return e
}

// SEMFromICC is SD √(1−ICC), SEE SD √(ICC(1−ICC)) and SEP SD √(1−ICC²): the
// standard errors of measurement, of an estimated true score, and of predicting
// one measurement from another (Weir, 2005, eq. 9–11). NaN where icc is not
// within 0..1.
func SEMFromICC(sd, icc float64) float64 { return sd * rootWithin(icc, 1-icc) }

// SEE: see SEMFromICC.
func SEE(sd, icc float64) float64 { return sd * rootWithin(icc, icc*(1-icc)) }

// SEP: see SEMFromICC.
func SEP(sd, icc float64) float64 { return sd * rootWithin(icc, 1-icc*icc) }

func rootWithin(icc, x float64) float64 {
	if !(icc >= 0 && icc <= 1) {
		return math.NaN()
	}
	return math.Sqrt(x)
}

// fromVariance is the standard deviation of a variance with its interval.
func fromVariance(variance, freedom float64, cfg estimate.Config) estimate.Estimate {
	chi := distuv.ChiSquared{K: freedom}
	return estimate.Estimate{
		Center: math.Sqrt(variance),
		Low:    math.Sqrt(freedom * variance / chi.Quantile(upper(cfg))),
		High:   math.Sqrt(freedom * variance / chi.Quantile(1-upper(cfg))),
	}
}

// Quantile says which quantile turns a standard error into a limit.
type Quantile uint8

// The quantiles.
const (
	// Student is t with the error's own degrees of freedom: the limit for an
	// error that was itself estimated from few subjects.
	Student Quantile = iota
	// Normal is 1.96 for 95 %, as most papers print it.
	Normal
)

func (q Quantile) of(freedom float64, cfg estimate.Config) float64 {
	if q == Normal {
		return distuv.UnitNormal.Quantile(upper(cfg))
	}
	return distuv.StudentsT{Sigma: 1, Nu: freedom}.Quantile(upper(cfg))
}

// MDC returns the minimal detectable change, q √2 SEM: a change between two
// measurements of one person is beyond error when it is larger (Weir, 2005,
// eq. 12). Its interval is the SEM's, scaled.
func (v Variance) MDC(q Quantile, cfg estimate.Config) estimate.Estimate {
	e := v.SEM(cfg)
	by := math.Sqrt2 * q.of(v.errorFreedom(), cfg)
	e.Center, e.Low, e.High = by*e.Center, by*e.Low, by*e.High
	e.Method = fmt.Sprintf("minimal detectable change, %.3f × √2 × SEM", by/math.Sqrt2)
	return e
}
