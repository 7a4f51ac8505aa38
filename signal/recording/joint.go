package recording

import (
	"fmt"
	"math"
	"slices"
	"time"

	"setdown/signal/remark"
)

// Rules for clocks of separate files. The sources are the formats themselves;
// the limits are the project's own.
const (
	// sameStart is how far apart, s, the first stamps of two files with times
	// since their start may be to pass for one clock.
	sameStart = 1.0
)

// clocks puts all inputs on one axis: absolute times become seconds since the
// earliest first sample.
func (o *opener) clocks() {
	var start time.Time
	dated, found := true, false
	o.eachTime(func(p *timePlan, first float64) {
		if !p.absolute {
			return
		}
		dated = dated && p.dated
		if t := p.instant().Add(time.Duration(math.Round(first * 1e9))); !found || t.Before(start) {
			start, found = t, true
		}
	})
	if !found {
		return
	}
	o.eachTime(func(p *timePlan, _ float64) {
		if p.absolute {
			p.shift = p.instant().Sub(start).Seconds()
		}
	})
	if dated {
		o.set.Start = start
	}
	for _, w := range o.watches {
		w.shift()
	}
}

// eachTime visits the time plan of every feed and watch, with the time, s, of
// its first sample.
func (o *opener) eachTime(visit func(p *timePlan, first float64)) {
	for _, d := range o.drafts {
		for _, f := range d.feeds {
			visit(&f.time, o.heads[f].begin)
		}
	}
	for _, w := range o.watches {
		visit(&w.f.time, w.first)
	}
}

// setClocks names the clock of each track: all absolute times share one, the
// tracks of one file share one, and separate files with times since their start
// share one where they begin together and last alike.
func (o *opener) setClocks() {
	var open []int
	for i, d := range o.drafts {
		if d.feeds[0].time.absolute {
			o.set.Tracks[i].Clock = ClockAbsolute
			continue
		}
		o.set.Tracks[i].Clock = fmt.Sprintf("file %d", 1+slices.Index(o.tables, o.layouts[d]))
		if d.feeds[0].time.kind != timeNone {
			open = append(open, i)
		}
	}
	o.joinRelative(open)
	o.drifts()
}

// Limits for clocks that run apart, as shares; the project's own. Quartz is good
// to some 20 parts in a million; sensors whose rates differ by more than driftMost
// were set to different rates.
const (
	driftLeast = 20e-6
	driftMost  = 5e-3
)

// drifts remarks on two sensors of one clock whose stamps advance at different
// rates: were they stamped by clocks of their own, these drift apart.
func (o *opener) drifts() {
	for i, a := range o.drafts {
		for j, b := range o.drafts[:i] {
			if o.set.Tracks[i].Clock != o.set.Tracks[j].Clock || o.set.Tracks[i].Clock == "" || a.file == b.file {
				continue
			}
			pa, ta := o.pace(a)
			pb, tb := o.pace(b)
			apart := math.Abs(pa/pb - 1)
			if length := min(ta, tb); apart > driftMost || apart < driftLeast+o.blur(a)/length+o.blur(b)/length {
				continue
			}
			o.set.Remarks.Add(remark.Doubt, "clock-drift", remark.In(a.file.name),
				"its time runs %.0f ppm apart from that of %s, %.0f ms in 10 min; each follows its own stamps, so left-right timing is right only if one clock stamped both",
				1e6*apart, b.file.name, 600e3*apart)
		}
	}
}

// pace returns the rate, Hz, at which a draft's stamps advance, and the time, s,
// over which that was measured.
func (o *opener) pace(d *draft) (rate, length float64) {
	h := o.heads[d.main()]
	return d.main().stamps.measured, h.end - h.begin
}

// blur is how well, in s, the stamps of a draft's first and last sample are known.
func (o *opener) blur(d *draft) float64 {
	return max(d.main().time.quantum, d.main().stamps.jitter)
}

// joinRelative gives one clock to files with relative times that begin within
// sameStart of each other.
func (o *opener) joinRelative(open []int) {
	joined, apart := false, false
	for n, i := range open {
		for _, j := range open[:n] {
			a, b := o.drafts[i], o.drafts[j]
			if o.set.Tracks[i].Clock == o.set.Tracks[j].Clock {
				continue
			}
			if !o.alike(a, b) {
				apart = true
				continue
			}
			o.set.Tracks[i].Clock = o.set.Tracks[j].Clock
			joined = true
			break
		}
	}
	switch {
	case joined && !apart:
		o.set.Remarks.Add(remark.Note, "clock-joined", remark.In(""), "the files give times since their start and begin together, so they were taken to share one clock")
	case apart:
		o.set.Remarks.Add(remark.Note, "clocks-apart", remark.In(""), "sensors whose clocks are not joined give no left-right timing")
	}
}

// alike tells whether two relative files begin together and are about as long,
// as far as their heads show.
func (o *opener) alike(a, b *draft) bool {
	ha, hb := o.heads[a.feeds[0]], o.heads[b.feeds[0]]
	if math.Abs(ha.begin-hb.begin) > sameStart {
		return false
	}
	la, lb := ha.end-ha.begin, hb.end-hb.begin
	return min(la, lb) > 0.8*max(la, lb)
}
