package recording

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat"
)

// Rules for the clocks of an accelerometer and a gyroscope that are stamped apart.
// What jolts a limb jolts both at once: in 24 open and simulated recordings of feet and
// shins, of 100 to 200 Hz, their bursts went together best within 25 ms; in 120 simulated
// ones of feet 0.47 or more of them went together as they stood, and 0.11 more at the most
// where they were moved by more than 0.1 s. The limits are the project's own.
const (
	burstStep  = 0.01   // s: how long a piece is
	burstMost  = 20_000 // pieces that are looked at
	burstFar   = 1000   // pieces, 10 s: how far apart clocks are looked for
	burstApart = 0.1    // s: more than that apart is not the signals' doing
	burstClear = 0.4    // correlation from which the bursts are known to go together
	burstPeak  = 10     // times the mean: more than a jolt is
	burstGain  = 0.2    // how much better they must go together apart than as they stand
)

// burstsOf is how much the reading of a sensor, whose first channel is from, changes in
// each piece of time since the first sample, less the mean: the square root of what
// changes from row to row, so that no single knock decides. Nil where the stamps do not
// tell pieces apart.
func burstsOf(h *head, f *feed, from int) []float64 {
	if f.time.kind == timeNone || f.time.counter || f.stamps.packets || f.time.quantum > burstStep {
		return nil
	}
	out := make([]float64, 1+int(min(burstMost-1, max(0, (h.t[len(h.t)-1]-h.t[0])/burstStep))))
	last := -1
	for i := 1; i < len(h.t); i++ {
		at := (h.t[i] - h.t[0]) / burstStep
		if !(at < float64(len(out))) {
			break
		}
		k := int(at)
		if k <= last {
			continue
		}
		change := 0.0
		for _, v := range h.v[from : from+3] {
			if v != nil {
				change += math.Abs(v[i] - v[i-1])
			}
		}
		for last++; last <= k; last++ { // a slower sensor leaves pieces without a sample
			out[last] = math.Sqrt(change)
		}
		last = k
	}
	most := burstPeak * stat.Mean(out, nil)
	for i := range out { // a wild number is no jolt
		out[i] = min(out[i], most)
	}
	floats.AddConst(-stat.Mean(out, nil), out)
	return out
}

// burstsTogether is how well bursts go together where those of b stand late pieces earlier
// than they do: the correlation over what both have.
func burstsTogether(a, b []float64, late int) float64 {
	from, to := max(0, -late), min(len(a), len(b)-late)
	if to-from < burstFar {
		return 0
	}
	a, b = a[from:to], b[from+late:to+late]
	size := floats.Dot(a, a) * floats.Dot(b, b)
	if size == 0 {
		return 0
	}
	return floats.Dot(a, b) / math.Sqrt(size)
}

// checkClocks refuses a sensor whose accelerometer and gyroscope are stamped apart, by
// clocks that did not begin together: as they stand no contact would be looked for where
// the foot turns.
func (o *opener) checkClocks(d *draft) error {
	if len(d.feeds) != 2 || d.site == Shin || o.opt.StepRate {
		return nil
	}
	a, b := d.feeds[0], d.feeds[1]
	ha, hb := o.heads[a], o.heads[b]
	if ha.bursts == nil || hb.bursts == nil {
		return nil
	}
	begins := (ha.begin + a.time.shift - hb.begin - b.time.shift) / burstStep
	if !(math.Abs(begins) < burstMost) {
		return nil // they share nothing
	}
	late, ok := burstsApart(ha.bursts, hb.bursts, int(math.Round(begins)))
	if !ok {
		return nil
	}
	where, mend := "before", "add"
	if late > 0 {
		where, mend = "after", "take off"
	}
	late = math.Abs(late)
	return fault(b.f.name, 0, "its clock runs about %.2f s %s that of the accelerometer in %s: what jolts both stands apart", late, where, a.f.name).
		column(b.columnName(b.time.col)).
		hint("export both with the time of day, or %s about %.2f s in the time column of %s and look again", mend, late, b.f.name)
}

// burstsApart is by how many s the bursts of b must be taken back to go with those of a,
// where sample k of a stands with k+stands of b; false where they need not be.
func burstsApart(a, b []float64, stands int) (late float64, ok bool) {
	best := 0.0
	for k := -burstFar; k <= burstFar; k++ {
		if c := burstsTogether(a, b, stands+k); c > best {
			best, late = c, float64(k)*burstStep
		}
	}
	return late, best >= burstClear && math.Abs(late) > burstApart && best >= burstsTogether(a, b, stands)+burstGain
}
