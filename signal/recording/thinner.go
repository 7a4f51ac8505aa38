package recording

import "setdown/signal/remark"

// thinner leaves one row of those that hold the same value of a sensor that is
// slower than its rows.
type thinner struct {
	plan    *lostPlan
	out     sink
	last    [3]float64
	any     bool
	dropped int // in a row
}

// thinned puts a thinner before use where the feed needs one.
func (f *feed) thinned(use sink) sink {
	if f.lost.every < 2 {
		return use
	}
	return &thinner{plan: &f.lost, out: use}
}

// keeps tells whether row i of v is the first with its value, or stands where the
// next value belongs though it is the same.
func (t *thinner) keeps(v *[6][]float64, i int) bool {
	var now [3]float64
	for c := range 3 {
		if t.plan.has[c] {
			now[c] = v[t.plan.from+c][i]
		}
	}
	return t.next(now)
}

func (t *thinner) next(now [3]float64) bool {
	if t.any && now == t.last && t.dropped < t.plan.every-1 {
		t.dropped++
		return false
	}
	t.last, t.any, t.dropped = now, true, 0
	return true
}

func (t *thinner) row(r *row) error {
	var now [3]float64
	for c := range 3 {
		if t.plan.has[c] {
			now[c] = r.v[t.plan.from+c]
		}
	}
	if !t.next(now) {
		return nil
	}
	return t.out.row(r)
}

func (t *thinner) batch(b *batch) (int, error) { return oneByOne(t.row).batch(b) }

// remarkPattern says that a sensor is slower than its rows.
func (l *layout) remarkPattern(f *feed) {
	p := &f.lost
	if p.every < 2 {
		return
	}
	who := "all values change"
	switch {
	case f.axes(0) > 0 && f.axes(3) > 0 && !p.slow[1]:
		who = "the accelerometer's values change"
	case f.axes(0) > 0 && f.axes(3) > 0 && !p.slow[0]:
		who = "the gyroscope's values change"
	}
	l.remarks.Add(remark.Loss, "rows-slow", remark.At(l.f.name, l.s.first, none()),
		"%s only every %d rows: it was read at the true rate of %.4g Hz, one row of %d; contact peaks need %d Hz, the lowering %d Hz", who, p.every, f.stamps.rate, p.every, RateGood, RateLowering)
}

// remarkRepeats says that rows often repeat, which no lower rate explains.
func (l *layout) remarkRepeats(f *feed) {
	if share := f.lost.repeats; share >= repeatsMany && f.axes(0) > 0 && f.axes(3) > 0 {
		l.remarks.Add(remark.Doubt, "rows-repeat", remark.At(l.f.name, l.s.first, none()),
			"%.0f %% of the rows repeat the row before them while the sensor moves: it measures about %.3g times a second, not %.4g; peaks are too small and times late by up to a row", 100*share, (1-share)*f.stamps.rate, f.stamps.rate)
	}
}
