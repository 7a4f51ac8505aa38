package recording

import (
	"math"

	"setdown/signal/remark"
)

// Rules for clocks that jump.
const (
	// overlapSeconds is the longest step back, s, that is taken for rows written
	// twice; a longer one is a clock that was set back or started again.
	overlapSeconds = 10
	// RestartPause is the pause, s, put between two parts of a file where the
	// clock starts again and the true pause is unknown.
	RestartPause = 10
	hourSeconds  = 3600
	daySeconds   = 24 * hourSeconds
)

// ticker puts the rows of a feed into one order of time: it undoes counters that
// wrap and clocks that are set by an hour, leaves out rows that repeat or step
// back, and tells a wrong stamp from a gap by the row after it.
type ticker struct {
	f     *feed
	tally *tally
	out   sink
	// offset, s, is added to the stamps after a wrap or a restart.
	offset float64
	last   float64
	any    bool
	// held is a row whose stamp jumps, until the next row tells why.
	held    row
	holding bool
	// behind is true while rows that were written twice are left out.
	behind bool
}

func (k *ticker) at(r *row) remark.Place { return remark.At(k.f.f.name, r.line, r.t) }

// batch takes several rows: those that follow on each other by about a period
// together, the others one by one.
func (k *ticker) batch(b *batch) (used int, err error) {
	for i := 0; i < len(b.t); {
		if n := k.even(b.t[i:]); n > 0 {
			part := b.part(i, i+n)
			k.last, k.behind = b.t[i+n-1], false
			if used, err := k.out.batch(&part); err != nil {
				return i + used, err
			}
			i += n
			continue
		}
		var r row
		b.row(i, &r)
		i++
		if err := k.row(&r); err != nil {
			return i, err
		}
	}
	return len(b.t), nil
}

// even counts the stamps, s, that follow on each other and on the last row.
func (k *ticker) even(t []float64) int {
	if !k.any || k.holding || k.offset != 0 {
		return 0
	}
	last := k.last
	for i, now := range t {
		if dt := now - last; !(dt > 0 && dt <= k.f.stamps.hole) {
			return i
		}
		last = now
	}
	return len(t)
}

// row takes the next row; it may change r.
func (k *ticker) row(r *row) error {
	r.t += k.offset
	if !k.any {
		k.any = true
		return k.pass(r)
	}
	dt := r.t - k.last
	if !k.holding && dt > 0 && dt <= k.f.stamps.hole {
		k.behind = false
		k.last = r.t
		return k.out.row(r)
	}
	if k.f.stamps.shaken && !k.holding && math.Abs(dt) <= k.f.stamps.hole {
		k.behind = false
		k.last = math.Max(k.last, r.t)
		return k.out.row(r)
	}
	return k.odd(r, dt)
}

func (k *ticker) pass(r *row) error {
	k.last, k.behind = r.t, false
	return k.out.row(r)
}

// odd handles a row that does not follow the one before by about a period.
func (k *ticker) odd(r *row, dt float64) error {
	if k.holding {
		return k.resolve(r)
	}
	switch {
	case dt == 0 && k.f.stamps.packets:
		return k.pass(r)
	case k.behind && dt <= 0:
		k.backwards(r)
		return nil
	case dt == 0:
		k.tally.add("time-repeated", remark.Loss, k.at(r), "rows that repeat the time of the row before, left out: %d")
		return nil
	case k.rebase(r, dt):
		return k.pass(r)
	case dt > 0 && dt <= BridgeSeconds+k.f.stamps.hole:
		return k.pass(r)
	}
	k.held, k.holding = *r, true
	return nil
}

func (k *ticker) backwards(r *row) {
	k.tally.add("time-back", remark.Loss, k.at(r), "rows that step back in time, left out: %d")
}

// rebase undoes a wrap of the counter and a clock put forward or back by an
// hour, or past midnight; true when it did.
func (k *ticker) rebase(r *row, dt float64) bool {
	p := &k.f.time
	period := max(k.f.stamps.hole, 3/k.f.stamps.rate)
	for _, w := range []struct {
		span float64
		ok   bool
		code string
		text string
	}{
		{p.wrap, p.wrap > 0, "counter-wrap", wrapped},
		{math.Ldexp(p.tick, 24), k.nearZero(r, period), "counter-wrap", wrapped},
		{math.Ldexp(p.tick, 32), k.nearZero(r, period), "counter-wrap", wrapped},
		{daySeconds, p.kind == timeClock, "midnight", "the recording runs over midnight: %d times"},
		{hourSeconds, p.local, "clock-hour", "the local clock was put back by an hour: %d times"},
		{-hourSeconds, p.local, "clock-hour", "the local clock was put forward by an hour: %d times"},
	} {
		if w.ok && dt+w.span > 0 && dt+w.span < BridgeSeconds+period {
			k.offset += w.span
			r.t += w.span
			k.tally.add(w.code, remark.Note, k.at(r), w.text)
			return true
		}
	}
	return false
}

const wrapped = "the time counter starts again at 0 where it is full: %d times"

// nearZero tells whether a counter that may wrap stands where one does that has
// just started again: then it may also be full at another power of two than its
// first values told.
func (k *ticker) nearZero(r *row, period float64) bool {
	p := &k.f.time
	return p.wrap > 0 && r.t-k.offset-p.shift < BridgeSeconds+period
}

// resolve decides about the held row by the row after it.
func (k *ticker) resolve(r *row) error {
	hole := k.f.stamps.hole
	held := k.held
	k.holding = false
	ahead, back := r.t-held.t, k.last-held.t
	switch {
	case back >= 0 && back <= shakenPeriods/k.f.stamps.rate && r.t > k.last && r.t-k.last <= BridgeSeconds+hole:
		return k.repair(held, r)
	case ahead >= 0 && ahead <= BridgeSeconds+hole && (ahead > 0 || k.f.stamps.packets):
		return k.jumped(held, r)
	case r.t > k.last && r.t-k.last <= BridgeSeconds+3*hole:
		return k.repair(held, r)
	}
	if held.t > k.last && r.t > held.t {
		// A gap, and after it another: both rows are in order.
		if err := k.pass(&held); err != nil {
			return err
		}
		return k.odd(r, r.t-k.last)
	}
	k.tally.add("time-unclear", remark.Loss, k.at(&held), "rows whose time fits neither the row before nor the row after, left out: %d")
	k.held, k.holding = *r, true
	return nil
}

// repair gives the held row the time between its neighbours.
func (k *ticker) repair(held row, r *row) error {
	k.tally.add("time-jump", remark.Loss, k.at(&held), "single wrong time stamps, put between their neighbours: %d")
	held.t = k.last + (r.t-k.last)/2
	held.missing |= VoidTime
	if err := k.pass(&held); err != nil {
		return err
	}
	return k.pass(r)
}

// jumped follows the clock to where it went for good: over a gap, back over
// rows written twice, or to a new start.
func (k *ticker) jumped(held row, r *row) error {
	back := k.last - held.t
	switch {
	case back < 0:
	case back <= overlapSeconds && k.rebaseable(held):
		k.behind = true
		k.backwards(&held)
		return k.follow(r)
	default:
		add := k.last + RestartPause - held.t
		k.tally.add("clock-restart", remark.Doubt, k.at(&held), "the clock starts again: %d times; each part is put 10 s after the one before, since the true pause is unknown")
		k.offset += add
		held.t += add
		r.t += add
	}
	if err := k.pass(&held); err != nil {
		return err
	}
	return k.pass(r)
}

// rebaseable tells whether a step back is short enough to be rows written twice
// and not a start at 0.
func (k *ticker) rebaseable(held row) bool { return held.t-k.offset > 0.5 }

// follow handles the row after the first of a block that was written twice.
func (k *ticker) follow(r *row) error {
	if r.t <= k.last {
		k.backwards(r)
		return nil
	}
	return k.pass(r)
}

// end gives up a row that is still held: nothing came after it to confirm it.
func (k *ticker) end() {
	if k.holding {
		k.tally.add("time-unclear", remark.Loss, k.at(&k.held), "rows whose time fits neither the row before nor the row after, left out: %d")
	}
}

// none is the time of nothing.
func none() float64 { return math.NaN() }
