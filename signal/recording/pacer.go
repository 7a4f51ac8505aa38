package recording

import (
	"fmt"
	"math"

	"setdown/signal/remark"
)

// Rules for a rate that changes within a file; the project's own.
const (
	// paceRows is how many intervals are judged together; two such windows one after
	// the other must show the new rate.
	paceRows = 128
	// paceApart is how far, as a share, the new interval is from the old, and
	// paceSteady how well the intervals of a window agree with their middle: lost
	// rows make some intervals longer, a new rate all of them.
	paceApart, paceSteady = 0.2, 0.1
)

// pacer watches the rate at which the rows of a feed come and says where it changes.
// What it sees are rows in order of time.
type pacer struct {
	f     *feed
	tally *tally
	out   sink
	// t are the stamps, s, of the last three windows; lines are the lines where rows
	// begin that stand one a line.
	t     []float64
	lines []lineOf
	// now is the interval, s, at which the rows come.
	now float64
	off bool
}

// lineOf is the line of the row at index row of the windows.
type lineOf struct{ row, line int }

func newPacer(f *feed, t *tally, out sink) *pacer {
	p := &pacer{f: f, tally: t, out: out, now: 1 / f.stamps.rate}
	p.off = f.stamps.packets || f.stamps.shaken || f.time.kind == timeNone || f.time.counter
	if !p.off {
		p.t = make([]float64, 0, 3*paceRows+1)
	}
	return p
}

func (p *pacer) row(r *row) error {
	if !p.off {
		t := [1]float64{r.t}
		p.see(t[:], r.line)
	}
	return p.out.row(r)
}

func (p *pacer) batch(b *batch) (int, error) {
	if !p.off {
		p.see(b.t, b.line)
	}
	return p.out.batch(b)
}

// see takes the stamps of rows of which the first stands in the line.
func (p *pacer) see(t []float64, line int) {
	for len(t) > 0 {
		from := len(p.t)
		n := min(len(t), cap(p.t)-from)
		p.t = append(p.t, t[:n]...)
		if k := len(p.lines); k == 0 || p.lines[k-1].line-p.lines[k-1].row != line-from {
			p.lines = append(p.lines, lineOf{from, line})
		}
		t, line = t[n:], line+n
		if len(p.t) == cap(p.t) {
			p.judge()
		}
	}
}

// judge looks at the last two windows and lets go of the first.
func (p *pacer) judge() {
	a, b := p.t[paceRows:2*paceRows+1], p.t[2*paceRows:]
	if p.apart(a) && p.apart(b) {
		if x, ok := steady(a); ok {
			if y, ok := steady(b); ok && math.Abs(y/x-1) < paceSteady {
				p.change(x)
			}
		}
	}
	p.forget()
}

// forget lets go of the first window.
func (p *pacer) forget() {
	p.t = p.t[:copy(p.t, p.t[paceRows:])]
	kept := p.lines[:0]
	for i, l := range p.lines {
		if l.row -= paceRows; i+1 < len(p.lines) && p.lines[i+1].row <= paceRows {
			continue
		}
		kept = append(kept, l)
	}
	p.lines = kept
}

// lineAt is the line of the row at index i of the windows.
func (p *pacer) lineAt(i int) int {
	line := 0
	for _, l := range p.lines {
		if l.row <= i {
			line = l.line + i - l.row
		}
	}
	return line
}

// apart tells whether the mean interval of a window is far from the present one.
func (p *pacer) apart(t []float64) bool {
	return math.Abs((t[len(t)-1]-t[0])/(float64(len(t)-1)*p.now)-1) > paceApart
}

// steady returns the middle interval of a window, s, and whether the others agree.
func steady(t []float64) (float64, bool) {
	d := intervals(t)
	mean := (t[len(t)-1] - t[0]) / float64(len(d))
	m := nth(d, len(d)/2)
	return m, m > 0 && math.Abs(mean/m-1) < paceSteady
}

// mixedRates tells whether the stamps, s, come at another interval than the given for
// a while, as where a sensor changed its rate.
func mixedRates(t []float64, period float64) bool {
	before := 0.0
	for from := 0; from+paceRows < len(t); from += paceRows {
		w := t[from : from+paceRows+1]
		now := 0.0
		if mean := (w[paceRows] - w[0]) / paceRows; math.Abs(mean/period-1) > paceApart {
			if m, ok := steady(w); ok {
				now = m
			}
		}
		if now > 0 && math.Abs(before/now-1) < paceSteady {
			return true
		}
		before = now
	}
	return false
}

// change says that from some row of the first two windows on the rows come at
// another interval, s.
func (p *pacer) change(to float64) {
	at := 2*paceRows - 1
	for at > 0 && math.Abs(p.t[at]-p.t[at-1]-to) < math.Abs(p.t[at]-p.t[at-1]-p.now) {
		at--
	}
	was, grid := 1/p.now, p.f.stamps.rate
	p.now = to
	more := ""
	switch own := to * grid; {
	case to > p.f.stamps.hole:
		more = fmt.Sprintf("; what lies between them on the grid of %.4g Hz is filled and marked, and measures that need it are left out", grid)
	case math.Abs(own-1) > paceApart:
		more = fmt.Sprintf("; they were put on a grid of %.4g Hz", grid)
	}
	p.tally.add("time-rate-changed", remark.Loss, remark.At(p.f.f.name, p.lineAt(at), p.t[at]),
		fmt.Sprintf("the rows come at %.4g Hz from here on, not at %.4g Hz%s; changes of the rate in this file: %%d", 1/to, was, more))
}
