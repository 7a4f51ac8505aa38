package recording

import "math"

// Rules for the row at which a rate changes; the project's own.
const (
	// breakRows is how many intervals in a row must agree on another rate.
	breakRows = 8
	// breakApart is how far, as a share of the period, such an interval is from it
	// beyond what rounding makes of it, and breakMost the largest such share that
	// rounded stamps leave to be seen.
	breakApart, breakMost = 0.15, 0.5
	// breakShift is how far, in periods, the last of many rows may stand from its
	// place for none of them to be looked at: less than one such interval moves it.
	breakShift = 0.1
)

// breaker finds, among stamps that an even axis is fitted to, the row from which on
// they come at another rate: an axis fitted over it would bend by tenths of a second.
type breaker struct {
	out  sink
	grid *gridder
	// period is the interval of the rows, s; apart and alike are shares of it.
	period, apart, alike float64
	last                 float64
	off                  bool // nothing is looked at, or any more
	// ahead are rows that may be the first at another rate, the first of them after
	// the interval new, s.
	ahead []row
	new   float64
}

// newBreaker makes a breaker that hands on to out. Where no even axis is fitted to the
// stamps, or their rounding hides a change, all rows only pass through it.
func newBreaker(f *feed, g *gridder, out sink) *breaker {
	p := &f.stamps
	rounding := 2 * f.time.quantum * p.rate
	k := &breaker{out: out, grid: g, period: 1 / p.rate, apart: breakApart + rounding, alike: breakApart/2 + rounding, last: math.NaN()}
	k.off = p.mode != stampsFitted || p.packets || p.shaken || f.time.kind == timeNone || f.time.counter || k.apart > breakMost
	return k
}

func (k *breaker) batch(b *batch) (int, error) {
	var r row
	for i := 0; i < len(b.t); {
		if n := k.even(b.t[i:]); n > 0 {
			part := b.part(i, i+n)
			k.last = b.t[i+n-1]
			if used, err := k.out.batch(&part); err != nil {
				return i + used, err
			}
			i += n
			continue
		}
		b.row(i, &r)
		i++
		if err := k.row(&r); err != nil {
			return i, err
		}
	}
	return len(b.t), nil
}

// even counts the stamps, s, that follow at about the period.
func (k *breaker) even(t []float64) int {
	if k.off {
		return len(t)
	}
	if len(k.ahead) > 0 {
		return 0
	}
	// An interval that is off would move the last stamp.
	n := len(t)
	if math.Abs(t[n-1]-k.last-float64(n)*k.period) < breakShift*k.period {
		return n
	}
	last, low, high := k.last, k.period*(1-k.apart), k.period*(1+k.apart)
	for i, now := range t {
		if dt := now - last; !(dt >= low && dt <= high) {
			return i
		}
		last = now
	}
	return n
}

func (k *breaker) row(r *row) error {
	if k.off {
		return k.out.row(r)
	}
	dt := r.t - k.last
	if n := len(k.ahead); n > 0 {
		dt = r.t - k.ahead[n-1].t
		if math.Abs(dt/k.new-1) <= k.alike {
			k.ahead = append(k.ahead, *r)
			if n+1 == breakRows {
				k.off = true
				k.grid.asTheyStand()
				return k.flush()
			}
			return nil
		}
		if err := k.flush(); err != nil {
			return err
		}
	}
	if math.Abs(dt/k.period-1) > k.apart {
		k.ahead, k.new = append(k.ahead, *r), dt
		return nil
	}
	k.last = r.t
	return k.out.row(r)
}

// flush hands on the rows that were held back.
func (k *breaker) flush() error {
	for i := range k.ahead {
		k.last = k.ahead[i].t
		if err := k.out.row(&k.ahead[i]); err != nil {
			return err
		}
	}
	k.ahead = k.ahead[:0]
	return nil
}
