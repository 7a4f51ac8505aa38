package recording

import (
	"fmt"
	"iter"
	"sync"

	"setdown/signal/remark"
)

// mappingOf lists the columns in use, for session.json.
func (d *draft) mappingOf(l *layout) []Channel {
	var out []Channel
	f := d.feeds[0]
	if c := f.time.col; c >= 0 {
		ch := l.cols[c].as("time")
		if f.time.counter {
			ch.Role, ch.Unit, ch.UnitFrom = "counter", "", ""
		}
		out = append(out, ch)
	}
	for i, f := range d.feeds {
		for _, c := range d.cols[i] {
			n, _ := c.role.channel()
			if f.col[n] < 0 {
				continue
			}
			ch := c.as(c.role.String())
			ch.Check = f.check[n]
			out = append(out, ch)
		}
	}
	return out
}

// track makes the Track of a draft.
func (d *draft) track(l *layout) *Track {
	t := &Track{Label: d.label, Side: d.side, SideFrom: d.sideFrom, Site: d.site, SiteFrom: d.siteFrom,
		HasAcc: d.hasAcc, HasGyr: d.hasGyr, AccAxes: d.accAxes, Mapping: d.mappingOf(l)}
	main := d.main()
	t.Rate = main.stamps.rate
	for _, f := range d.feeds {
		a, g := f.clip.ranges()
		t.AccRange, t.GyrRange = max(t.AccRange, a), max(t.GyrRange, g)
	}
	d.bind(t)
	return t
}

// bind connects a track with its feeds.
func (d *draft) bind(t *Track) {
	var mu sync.Mutex
	files := d.files()
	t.Inputs = inputsOf(files)
	t.read = func(rs *remark.List, yield func(*Block) error) (Summary, error) {
		sum, err := d.read(rs, yield)
		if err == nil {
			mu.Lock()
			defer mu.Unlock()
			for i, f := range files {
				if t.Inputs[i].SHA256 == "" {
					if err := f.finish(); err != nil {
						return sum, err
					}
					t.Inputs[i] = f.input()
				}
			}
		}
		return sum, err
	}
}

// files are the distinct files of the feeds.
func (d *draft) files() []*file {
	var out []*file
	for _, f := range d.feeds {
		if len(out) == 0 || out[0] != f.f {
			out = append(out, f.f)
		}
	}
	return out
}

func inputsOf(files []*file) []Input {
	out := make([]Input, len(files))
	for i, f := range files {
		out[i] = f.input()
	}
	return out
}

// main is the feed whose grid the track stands on: the faster one.
func (d *draft) main() *feed {
	m := d.feeds[0]
	for _, f := range d.feeds[1:] {
		if f.stamps.rate > m.stamps.rate {
			m = f
		}
	}
	return m
}

// read reads the track through once.
func (d *draft) read(rs *remark.List, yield func(*Block) error) (Summary, error) {
	if len(d.feeds) == 1 {
		var t tally
		sum, err := d.feeds[0].grid(&t, yield)
		t.flush(rs)
		return sum, d.empty(sum, err)
	}
	sum, err := d.merge(rs, yield)
	return sum, d.empty(sum, err)
}

// empty makes an error of a track without a single span.
func (d *draft) empty(sum Summary, err error) error {
	if err == nil && sum.Spans == 0 {
		return fault(d.file.name, 0, "no stretch of %g s without a gap (%d rows)", MinSpan, sum.Samples).
			hint("the recording is too short or too broken to be used")
	}
	return err
}

// grid reads one feed through: rows, order of time, grid.
func (f *feed) grid(t *tally, yield func(*Block) error) (Summary, error) {
	acc, gyr := f.has()
	w := newBlockWriter(f.stamps.rate, acc, gyr, yield)
	g := newGridder(f, t, w)
	s := newScreen(f, t, g)
	b := newBreaker(f, g, s)
	k := &ticker{f: f, tally: t, out: newPacer(f, t, b)}
	if err := f.rowsOnce(t, w, f.thinned(k)); err != nil {
		return Summary{}, err
	}
	k.end()
	if err := b.flush(); err != nil {
		return Summary{}, err
	}
	if err := s.end(); err != nil {
		return Summary{}, err
	}
	return g.end()
}

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
