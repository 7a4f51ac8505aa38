package recording

import (
	"fmt"
	"iter"

	"setdown/signal/remark"
)

// sampler reads a second feed beside the first and gives its values at any
// rising time.
type sampler struct {
	next func() (*Block, bool)
	f    *feed
	from int
	// The present block's samples, with the last three of the block before.
	t0   float64
	v    [3][]float64
	void []Void
	span int
	done bool
	err  error
	sum  Summary
}

// newSampler starts reading; stop must be called.
func newSampler(f *feed, from int, t *tally) (s *sampler, stop func()) {
	s = &sampler{f: f, from: from, span: -1}
	seq := func(give func(*Block) bool) {
		s.sum, s.err = f.grid(t, func(b *Block) error {
			if !give(b) {
				return errStop
			}
			return nil
		})
		if s.err == errStop {
			s.err = nil
		}
	}
	s.next, stop = iter.Pull(iter.Seq[*Block](seq))
	return s, stop
}

// load takes the next block in.
func (s *sampler) load() bool {
	b, ok := s.next()
	if !ok {
		s.done = true
		return false
	}
	src := b.Acc
	if s.from == 3 {
		src = b.Gyr
	}
	keep := 0
	if b.Span == s.span {
		keep = min(3, len(s.void))
	}
	n := len(s.void)
	for c := range 3 {
		s.v[c] = append(s.v[c][:copy(s.v[c], s.v[c][n-keep:])], src[c]...)
	}
	s.void = append(s.void[:copy(s.void, s.void[n-keep:])], b.Void...)
	s.t0 = b.Start + float64(b.First-keep)/s.f.stamps.rate
	s.span = b.Span
	return true
}

// at sets out to the values at time t, s; false where the feed has none.
func (s *sampler) at(t float64, out *[3]float64) (Void, bool) {
	rate := s.f.stamps.rate
	for !s.done && t > s.t0+float64(len(s.void)-2)/rate {
		if !s.load() {
			break
		}
	}
	x := (t - s.t0) * rate
	n := len(s.void)
	if x < -0.5 || n < 4 || x > float64(n)-0.5 {
		return 0, false
	}
	i := min(max(int(x), 1), n-3)
	if r := float64(int(x + 0.5)); x-r < evenWithin && r-x < evenWithin && int(r) < n {
		for c := range 3 {
			out[c] = s.v[c][int(r)]
		}
		return s.void[int(r)], true
	}
	var w [4]float64
	lagrange(&w, []float64{float64(i - 1), float64(i), float64(i + 1), float64(i + 2)}, x, gapPeriods)
	for c := range 3 {
		v := s.v[c]
		out[c] = w[0]*v[i-1] + w[1]*v[i] + w[2]*v[i+1] + w[3]*v[i+2]
	}
	return s.void[i] | s.void[i+1], true
}

// merge reads two feeds side by side and puts the second on the first's grid.
func (d *draft) merge(rs *remark.List, yield func(*Block) error) (Summary, error) {
	main := d.main()
	other := d.feeds[0]
	if other == main {
		other = d.feeds[1]
	}
	from := 0
	if _, gyr := other.has(); gyr {
		from = 3
	}
	var tm, to tally
	s, stop := newSampler(other, from, &to)
	defer stop()
	w := newBlockWriter(main.stamps.rate, true, true, yield)
	m := &merger{w: w, s: s, from: from, rate: main.stamps.rate}
	sum, err := main.grid(&tm, m.block)
	if err == nil {
		m.close()
		err = w.err
	}
	for err == nil && s.load() {
	}
	if err == nil {
		err = s.err
	}
	tm.flush(rs)
	to.flush(rs)
	if m.lost > 0 && rs != nil {
		rs.Append(remark.Remark{Code: "no-overlap", Level: remark.Loss, Place: remark.In(d.file.name), Count: 1,
			Text: fmt.Sprintf("accelerometer and gyroscope were not both recorded for %.1f s, which were left out", float64(m.lost)/m.rate)})
	}
	out := w.summary
	out.Samples, out.GapSeconds = sum.Samples, sum.GapSeconds+float64(m.lost)/m.rate
	return out, err
}

// merger writes the blocks of one feed together with a sampler's values.
type merger struct {
	w    *blockWriter
	s    *sampler
	from int
	rate float64
	lost int
}

// block adds the other sensor to each sample; where it has none, the span ends.
func (m *merger) block(b *Block) error {
	own := b.Gyr
	if m.from == 3 {
		own = b.Acc
	}
	var v [3]float64
	for i := range b.Void {
		t := b.Start + float64(b.First+i)/m.rate
		void, ok := m.s.at(t, &v)
		if !ok {
			m.lost++
			m.close()
			continue
		}
		if !m.w.open {
			m.w.begin(t, 0)
		}
		k := m.w.slot(void | b.Void[i])
		for c := range 3 {
			m.w.v[m.from+c][k] = v[c]
			m.w.v[3-m.from+c][k] = own[c][i]
		}
	}
	if b.Last {
		m.close()
	}
	return m.w.err
}

// close ends the span that is open.
func (m *merger) close() {
	total := m.w.first + m.w.n
	if dropped, _ := m.w.endSpan(); dropped {
		m.lost += total
	}
}
