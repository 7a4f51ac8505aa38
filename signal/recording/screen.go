package recording

import (
	"math"

	"setdown/signal/remark"
)

// screen leaves out the rows that cannot be measurements: zeros in every channel,
// and rows that hold the values of the row before while the sensor moves. What they
// leave is a hole like any other. Where stamps do not tell of a hole, because several
// samples share one, the rows stay without their values.
type screen struct {
	f     *feed
	tally *tally
	out   sink
	// present are the channels that are there.
	present []int
	// last are the values of the row before; any tells that there is one.
	last [6]float64
	any  bool
	// entry is the jump to the row that first had these values.
	entry float64
	// loud tells that zeros stand behind a row that cannot come before a true one.
	loud bool
	// run are the rows that wait for the end of a run: they repeat the row before
	// them, or are zeros; of equal rows only stamps and lines differ.
	run   []waiting
	zeros bool
	// settled is what was decided of a run too long to wait for its end.
	settled verdict
	// step is the square of each sensor's step, in base units; 0 for none.
	step [2]float64
	// weight is the size of the acceleration, m/s², beside zeros.
	weight float64
}

// waiting is a row of a run.
type waiting struct {
	t       float64
	line    int
	missing Void
}

func newScreen(f *feed, t *tally, out sink) *screen {
	s := &screen{f: f, tally: t, out: out, weight: f.lost.weight * f.scale[0]}
	for c := range f.col {
		if f.col[c] >= 0 {
			s.present = append(s.present, c)
			step := f.lost.step[c/3] * f.scale[c]
			s.step[c/3] = step * step
		}
	}
	return s
}

// batch hands on what needs no look together, the rest row by row.
func (s *screen) batch(b *batch) (used int, err error) {
	var r row
	for i := 0; i < len(b.t); {
		if n := s.plain(b, i); n > 0 {
			part := b.part(i, i+n)
			if used, err := s.out.batch(&part); err != nil {
				return i + used, err
			}
			i += n
			continue
		}
		b.row(i, &r)
		i++
		if err := s.row(&r); err != nil {
			return i, err
		}
	}
	return len(b.t), nil
}

// plain counts the rows from index from on that neither repeat the row before them
// nor are zeros, and notes the last of them.
func (s *screen) plain(b *batch, from int) int {
	if len(s.present) == 0 {
		return len(b.t) - from
	}
	if len(s.run) > 0 || s.settled != undecided || !s.any {
		return 0
	}
	first := s.present[0]
	v, last := b.v[first][from:], s.last[first]
	n := len(v)
	for i, x := range v {
		if (x == last || x == 0) && s.odd(b, from+i, i == 0) {
			n = i
			break
		}
		last = x
	}
	if n > 1 {
		s.note(b, from+n-2)
	}
	if n > 0 {
		s.note(b, from+n-1)
	}
	return n
}

// odd tells whether row i repeats the row before it or is all zeros.
func (s *screen) odd(b *batch, i int, first bool) bool {
	same, zero := true, true
	for _, c := range s.present {
		x := b.v[c][i]
		before := s.last[c]
		if !first {
			before = b.v[c][i-1]
		}
		same = same && x == before
		zero = zero && x == 0
	}
	return same || zero
}

// note takes row i for the last one.
func (s *screen) note(b *batch, i int) {
	var v [6]float64
	for _, c := range s.present {
		v[c] = b.v[c][i]
	}
	s.entry = s.jump(&v)
	s.last = v
}

// row takes the next row.
func (s *screen) row(r *row) error {
	if r.missing&(VoidAcc|VoidGyr) != 0 || len(s.present) == 0 {
		if err := s.end(); err != nil {
			return err
		}
		s.any = false
		return s.out.row(r)
	}
	zero, same := s.compare(r)
	switch {
	case zero && s.zeros, !zero && same:
		return s.wait(r)
	case zero && s.f.axes(0) == 3 && !s.f.lost.flat:
		return s.zero(r)
	case same:
		return s.wait(r) // without gravity zeros are what a sensor at rest measures
	}
	return s.fresh(r)
}

// compare tells whether all values are 0, and whether they are the last row's.
func (s *screen) compare(r *row) (zero, same bool) {
	zero, same = true, s.any
	for _, c := range s.present {
		zero = zero && r.v[c] == 0
		same = same && r.v[c] == s.last[c]
	}
	return zero, same
}

// zero begins a run of zeros.
func (s *screen) zero(r *row) error {
	if err := s.settle(s.jump(&r.v)); err != nil {
		return err
	}
	s.loud = !s.any || s.far(&s.last)
	s.last, s.any, s.zeros, s.entry = r.v, true, true, 0
	return s.wait(r)
}

// fresh takes a row that differs from the one before.
func (s *screen) fresh(r *row) error {
	jump := 0.0
	if s.any {
		jump = s.jump(&r.v)
	}
	s.loud = s.loud && s.zeros && s.far(&r.v)
	if err := s.settle(jump); err != nil {
		return err
	}
	s.last, s.any, s.entry = r.v, true, jump
	return s.out.row(r)
}

// wait adds a row to the run, which is judged at its end, or after heldWait.
func (s *screen) wait(r *row) error {
	if s.settled != undecided {
		return s.give(waiting{r.t, r.line, r.missing}, s.settled)
	}
	s.run = append(s.run, waiting{r.t, r.line, r.missing})
	if len(s.run) < s.f.lost.wait {
		return nil
	}
	v := s.judge(s.edge())
	if s.zeros {
		v = notMeasured // no flight lasts so long
	}
	err := s.giveAll(v)
	s.settled = v
	return err
}

// edge stands for the jump after a run whose end is not known.
func (s *screen) edge() float64 {
	if s.f.lost.fine {
		return s.entry
	}
	return 0
}

// settle ends the run.
func (s *screen) settle(exit float64) error {
	if len(s.run) > 0 {
		if err := s.giveAll(s.judge(exit)); err != nil {
			return err
		}
	}
	s.settled, s.zeros = undecided, false
	return nil
}

func (s *screen) giveAll(v verdict) error {
	for _, w := range s.run {
		if err := s.give(w, v); err != nil {
			return err
		}
	}
	s.run = s.run[:0]
	return nil
}

// give hands on a row of a run that was measured, and leaves out one that was not.
func (s *screen) give(w waiting, v verdict) error {
	r := row{line: w.line, t: w.t, v: s.last, missing: w.missing}
	if v == notMeasured {
		s.remark(&r)
		if p := &s.f.stamps; !p.packets && !p.shaken {
			return nil
		}
		for _, c := range s.present {
			r.v[c] = math.NaN()
			r.missing |= sensorBit(c)
		}
	}
	return s.out.row(&r)
}

func (s *screen) remark(r *row) {
	at := remark.At(s.f.f.name, r.line, r.t)
	if s.zeros {
		s.tally.add("rows-zero", remark.Loss, at, "rows with 0 in every channel, taken as lost samples: %d; what they hide is withheld")
		return
	}
	s.tally.add("rows-held", remark.Loss, at, "rows that hold all values of the row before while the sensor moves, taken as lost samples: %d; what they hide is withheld")
}

// end judges a run that nothing comes after.
func (s *screen) end() error { return s.settle(s.edge()) }
