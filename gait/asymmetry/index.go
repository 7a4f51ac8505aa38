package asymmetry

import "math"

// nearZero is the share of the larger side below which the sides' mean counts
// as near zero: the symmetry index divides by it and would only show noise.
// Own choice: with both values of one sign the mean is at least half of the
// larger one, so it matters for rounding residue only.
const nearZero = 1e-9

// Undefined says why an index of two sides does not exist.
type Undefined string

// The reasons, in words a reader is shown; empty means that the index exists.
const (
	Defined      Undefined = ""
	NotMeasured  Undefined = "a side was not measured"
	SignsDiffer  Undefined = "the sides have different signs"
	MeanNearZero Undefined = "the mean of the sides is near zero"
	OtherZero    Undefined = "the reference side is zero"
	NotPositive  Undefined = "a side is not positive"
)

// SymmetryIndex returns the symmetry index in percent,
//
//	SI = 100 (first − second) / ((first + second)/2),
//
// (Robinson, Herzog & Nigg, 1987, J. Manipulative Physiol. Ther. 10, 172–176;
// text not opened, formula as commonly quoted), positive where first is the
// larger of two positive values. It is NaN, with the reason, where a value is
// NaN or infinite, where the signs differ, or where the mean is near zero.
// Two negative values give the index of their magnitudes.
func SymmetryIndex(first, second float64) (float64, Undefined) {
	if why := comparable(first, second); why != Defined {
		return math.NaN(), why
	}
	first, second = math.Abs(first), math.Abs(second)
	return 100 * (first - second) / (first/2 + second/2), Defined
}

// SymmetryRatio returns first/second. It is not symmetric about 1. It is NaN,
// with the reason, where a value is NaN or infinite or second is zero.
func SymmetryRatio(first, second float64) (float64, Undefined) {
	switch {
	case !measured(first, second):
		return math.NaN(), NotMeasured
	case second == 0:
		return math.NaN(), OtherZero
	}
	return first / second, Defined
}

// LimbSymmetryIndex returns 100 injured/uninjured in percent. It takes the
// uninjured side for healthy, and where lower is better it must be read the
// other way round. It is NaN, with the reason, where a value is NaN or
// infinite, the signs differ, or the uninjured side is zero.
func LimbSymmetryIndex(injured, uninjured float64) (float64, Undefined) {
	switch {
	case !measured(injured, uninjured):
		return math.NaN(), NotMeasured
	case uninjured == 0:
		return math.NaN(), OtherZero
	case math.Signbit(injured) != math.Signbit(uninjured) && injured != 0:
		return math.NaN(), SignsDiffer
	}
	return 100 * injured / uninjured, Defined
}

// SymmetryAngle returns the symmetry angle in percent,
//
//	SA = 100 (45° − atan(second/first)) / 90°,
//
// where 180° are taken off the bracket when it is above 90° (Zifchock, Davis,
// Higginson & Royer, 2008, Gait Posture 27, 622–627; text not opened, formula
// as commonly quoted). The angle is that of the point (first, second), so first
// may be zero. It is NaN, with the reason, where a value is NaN or infinite or
// both are zero.
func SymmetryAngle(first, second float64) (float64, Undefined) {
	switch {
	case !measured(first, second):
		return math.NaN(), NotMeasured
	case first == 0 && second == 0:
		return math.NaN(), MeanNearZero
	}
	bracket := 45 - math.Atan(second/first)*180/math.Pi
	if bracket > 90 {
		bracket -= 180
	}
	return 100 * bracket / 90, Defined
}

// LogRatio returns 100 ln(first/second), the difference in log percent: it adds
// up, and swapping the sides changes its sign only. It is NaN, with the reason,
// unless both values are positive and finite.
func LogRatio(first, second float64) (float64, Undefined) {
	switch {
	case !measured(first, second):
		return math.NaN(), NotMeasured
	case first <= 0 || second <= 0:
		return math.NaN(), NotPositive
	}
	return 100 * math.Log(first/second), Defined
}

// measured tells whether both values are finite numbers.
func measured(first, second float64) bool {
	return !math.IsNaN(first-second) && !math.IsInf(first-second, 0)
}

// comparable says why the difference of the sides cannot be set against their
// mean.
func comparable(first, second float64) Undefined {
	larger := math.Max(math.Abs(first), math.Abs(second))
	switch {
	case !measured(first, second):
		return NotMeasured
	case first > 0 && second < 0 || first < 0 && second > 0:
		return SignsDiffer
	case math.Abs(first/2+second/2) <= nearZero*larger:
		return MeanNearZero
	}
	return Defined
}
