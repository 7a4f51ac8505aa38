package event

import (
	"math"

	"setdown/signal/recording"
	"setdown/signal/spectrum"
)

// How smoothing is told.
const (
	// smoothSegment is the length of the pieces whose power is looked at, s, and
	// smoothMost how many are, spread over the recording. With fewer than
	// smoothFewest nothing is said.
	smoothSegment = 1.0
	smoothMost    = 12
	smoothFewest  = 5
	// smoothTurns is the share of a piece that must turn faster than smoothRate,
	// rad/s: what stands still has no landing in it.
	smoothTurns = 0.3
	smoothRate  = 1.0
	// smoothVoid is the share of a piece that may be clipped, lost or bridged: a
	// little at each landing is what a hard one leaves of a small range.
	smoothVoid = 0.05
	// smoothFrom and smoothTo are between which frequencies a cut-off is looked
	// for, Hz: below are the steps themselves, and what is cut off above leaves the
	// lowering as it is. smoothGyrTo is the same for the gyroscope, whose power
	// falls fast above by itself.
	smoothFrom  = 5.0
	smoothTo    = 45.0
	smoothGyrTo = 28.0
	// smoothStep is the step from one frequency that is looked at to the next, in
	// octaves, smoothBand how wide the band around each is.
	smoothStep = 1.0 / 6
	smoothBand = 1.0 / 2
	// smoothAcc and smoothGyr are by how much the power falls, dB, from one band to
	// that an octave above where a low-pass stands between, and smoothOn by how much
	// more to that two octaves above, where the rate has one: what falls only once is
	// the steps' own rhythm. Unfiltered, by this rule, it falls by at most 13 (19) in the
	// open recordings and 14 (24) in 600 simulated feet; a filter of the fourth order adds
	// 24 an octave.
	smoothAcc = 17.0
	smoothGyr = 27.0
	smoothOn  = 13.0
	// smoothMore is by how much the acceleration's power falls, dB, through the octave
	// through which it falls most: a soft landing has little above 20 Hz too, but a
	// motion without any, whose jerk jumps, falls by 12 by itself, and one whose jerk
	// bends by 18 (the powers of frequency in the Fourier transform of a jump and a bend).
	smoothMore = 22.0
)

// Smoothed returns above which frequency, Hz, a low-pass has taken out of a
// recording what landings have, NaN where there is no sign of one: the middle of the
// lowest octave through which the power of the acceleration, or of the turning, falls
// faster than that of landings. For a filter of the fourth order that is 0.85 to 1.5
// times its cut-off (−3 dB). Filters of a lower order and moving averages may pass
// unseen, as does a cut-off near half the sampling rate.
//
// acc, m/s², and gyr, rad/s, are samples at rate, Hz, with what may not be used
// marked in void; all are of one length.
func Smoothed(rate float64, acc, gyr [3][]float64, void []recording.Void) float64 {
	n := 2 * int(math.Round(smoothSegment*rate/2))
	pieces := movingPieces(n, gyr, void)
	if len(pieces) < smoothFewest {
		return math.NaN()
	}
	var an spectrum.Analyzer
	power := func(x [3][]float64) (sum []float64) {
		for _, from := range pieces {
			for c := range x {
				sum = an.AddPower(sum, x[c][from:from+n])
			}
		}
		return sum
	}
	step := rate / float64(n)
	a := cutOff(power(acc), step, smoothTo, smoothAcc, smoothMore)
	g := cutOff(power(gyr), step, smoothGyrTo, smoothGyr, smoothGyr)
	if math.IsNaN(a) || g < a {
		return g
	}
	return a
}

// movingPieces returns where pieces of n samples begin that are sound and in which the
// sensor turns, smoothMost of them at most, spread over all.
func movingPieces(n int, gyr [3][]float64, void []recording.Void) []int {
	var all []int
	for from := 0; from+n <= len(void); from += n {
		turns, unsound := 0, 0
		for i := from; i < from+n; i++ {
			if void[i] != 0 {
				unsound++
			}
			if gyr[0][i]*gyr[0][i]+gyr[1][i]*gyr[1][i]+gyr[2][i]*gyr[2][i] > smoothRate*smoothRate {
				turns++
			}
		}
		if float64(turns) >= smoothTurns*float64(n) && float64(unsound) <= smoothVoid*float64(n) {
			all = append(all, from)
		}
	}
	if len(all) <= smoothMost {
		return all
	}
	some := make([]int, smoothMost)
	for k := range some {
		some[k] = all[k*len(all)/smoothMost]
	}
	return some
}

func decibel(ratio float64) float64 { return 10 * math.Log10(ratio) }

// cutOff returns the middle of the lowest octave, begun at most Hz at the latest,
// through which powers, one a multiple of step Hz, fall by drop dB and then on; NaN
// where there is none, or none through which they fall by more.
func cutOff(powers []float64, step, most, drop, more float64) float64 {
	half := math.Exp2(smoothBand / 2)
	level := func(f float64) float64 { return spectrum.Level(powers, step, f/half, f*half) }
	first, largest := math.NaN(), 0.0
	for k := 0; ; k++ {
		f := smoothFrom * math.Exp2(smoothStep*float64(k))
		above := level(2 * f)
		if f > most || math.IsNaN(above) {
			break
		}
		fall, on := decibel(level(f)/above), decibel(level(f)/level(4*f))
		if on < drop+smoothOn || fall < drop {
			continue
		}
		if largest = max(largest, fall); math.IsNaN(first) {
			first = f * math.Sqrt2
		}
	}
	if largest < more {
		return math.NaN()
	}
	return first
}
