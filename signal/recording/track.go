package recording

import (
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
		HasAcc: d.hasAcc, HasGyr: d.hasGyr, AccAxes: d.accAxes, Mapping: d.mappingOf(l), Unread: l.unread()}
	main := d.main()
	t.Rate = main.stamps.rate
	for _, f := range d.feeds {
		a, g := f.clip.ranges()
		t.AccRange, t.GyrRange = max(t.AccRange, a), max(t.GyrRange, g)
	}
	d.bind(t)
	return t
}

// unread are the names of columns of numbers that tell no quantity.
func (l *layout) unread() []string {
	var out []string
	for i := range l.cols {
		c := &l.cols[i]
		if c.kind == cellsNumber && c.name != "" && (c.role == roleNone || c.role >= roleAxisX && c.role <= roleAxisZ) {
			out = append(out, c.name)
		}
	}
	return out
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
