package event

import "math"

// The constants of the shin events, times in s. In walking they were set on
// one half of the open treadmill recordings, in running on simulated shins
// only; see docs/cadence.md.
const (
	// shinPeakWithin is how long after the reversal of swing the toe-down peak
	// of initial contact comes at the latest.
	shinPeakWithin = 0.12
	// shinImpactWithin bounds the search for a running landing around the
	// reversal.
	shinImpactWithin = 0.10
	// shinToeOff is where toe-off lies in walking between the fastest moment of
	// the turn before swing (0) and its end (1).
	shinToeOff = 0.8
	// shinRunningLead is how long before the fastest moment of that turn
	// toe-off comes in running: the shin turns on by 35° and more after it.
	shinRunningLead = 0.055
	// shinRuns and shinWalks are shares of the stride from the end of swing to
	// the fastest moment of the turn before the next: below the first the shin
	// runs, above the second it walks. Between them a stride shorter than
	// shinQuick tells running: nobody walks 140 steps a minute with so short a
	// contact (common practice, no source).
	shinRuns, shinWalks = 0.48, 0.62
	shinQuick           = 0.86
)

// FindShin locates initial contact and toe-off of a shin in the window; foot
// flat does not exist on a shin, and the pitch is left empty.
//
// The forward turn of swing is the window's Swing; initial contact is the
// extremum of the shin's rate that follows it and toe-off belongs to the one
// before the next swing (Salarian et al. 2004, IEEE Trans. Biomed. Eng. 51,
// 1434; from memory). In walking initial contact is that extremum itself; in
// running, where it is blurred, the onset of the impact beside the reversal.
func FindShin(w *Window) Contact {
	c := Contact{IC: math.NaN(), FF: math.NaN(), TO: math.NaN(), FlatRate: math.NaN(), From: 0, To: -1}
	c.Flat = (w.UpEnd + stanceEnd(w)) / 2
	zero := shinReversal(w)
	if math.IsNaN(zero) {
		return c
	}
	g := shinGait(w)
	if g == Running {
		c.IC = impact(w, zero-shinImpactWithin*w.Rate, zero+shinImpactWithin*w.Rate, onsetShare)
	} else {
		c.IC = shinPeak(w, zero)
	}
	if math.IsNaN(c.IC) {
		c.IC = zero
	}
	if w.DownEnd >= 0 {
		c.TO = shinLeaves(w, g)
		if c.TO <= c.IC {
			c.TO = math.NaN()
		}
	}
	return c
}

// shinGait tells walking from running by the shin's turns; GaitUnknown where no
// swing follows.
func shinGait(w *Window) Gait {
	if w.NextSwing < 0 {
		return GaitUnknown
	}
	stride := float64(w.NextSwing - w.Swing)
	share := float64(stanceEnd(w)-w.UpEnd) / stride
	if share < shinRuns || share < shinWalks && stride < shinQuick*w.Rate {
		return Running
	}
	return Walking
}

// shinReversal is the fractional sample at which the forward turn of swing
// ends, NaN where the window does not show it.
func shinReversal(w *Window) float64 {
	r := w.Gyr[1]
	for i := w.Swing; i+1 < w.Len(); i++ {
		if r[i] <= 0 && r[i+1] > 0 {
			return float64(i) + r[i]/(r[i]-r[i+1])
		}
	}
	return math.NaN()
}

// shinPeak is the first top of the rate after the reversal, NaN where it is not
// seen in time.
func shinPeak(w *Window, zero float64) float64 {
	r := w.Gyr[1]
	last := min(w.Len()-2, int(zero+shinPeakWithin*w.Rate))
	for i := int(zero) + 1; i <= last; i++ {
		if r[i] >= r[i-1] && r[i] > r[i+1] {
			return float64(i) + vertex(r[i-1], r[i], r[i+1])
		}
	}
	return math.NaN()
}

// shinLeaves is the fractional sample of toe-off, NaN where the turn before the
// next swing does not end in the window.
func shinLeaves(w *Window, g Gait) float64 {
	r := w.Gyr[1]
	top := stanceEnd(w)
	if top < 1 || top+1 >= len(r) {
		return math.NaN()
	}
	peak := float64(top) + vertex(r[top-1], r[top], r[top+1])
	if g == Running {
		return peak - shinRunningLead*w.Rate
	}
	for i := top; i+1 < w.Len() && i < w.NextSwing; i++ {
		if r[i] > 0 && r[i+1] <= 0 {
			return peak + shinToeOff*(float64(i)+r[i]/(r[i]-r[i+1])-peak)
		}
	}
	return math.NaN()
}
