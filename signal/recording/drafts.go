package recording

import (
	"setdown/signal/remark"
)

// settlePlace decides side and site: given, then column or value, then the file's name,
// then a line before the heading.
func (d *draft) settlePlace(l *layout, side Side, tracks int) {
	named := d.side
	if named == SideUnknown {
		named = l.words.side
	}
	titleSide, titleSite := l.titled(d, tracks)
	if named == SideUnknown {
		named = titleSide
	}
	if side != SideUnknown && (tracks == 1 || d.side == SideUnknown) {
		if named == side.Other() {
			l.remarks.Add(remark.Doubt, "side-contradicted", remark.In(l.f.name), "given as the %s side, but its name or columns say %s; it was taken as %s", side, named, side)
		}
		d.side, d.sideFrom = side, "given"
	}
	if d.side == SideUnknown && l.words.side != SideUnknown {
		d.side, d.sideFrom = l.words.side, "file name"
	}
	if d.site == SiteUnknown && l.words.site != SiteUnknown {
		d.site, d.siteFrom = l.words.site, "file name"
	}
	if titleSide == d.side.Other() && d.sideFrom == "file name" {
		l.remarks.Add(remark.Doubt, "side-contradicted", remark.In(l.f.name), "its name says the %s side, but a line before its heading says %s; it was taken as %s", d.side, titleSide, d.side)
	}
	if d.side == SideUnknown && titleSide != SideUnknown {
		d.side, d.sideFrom = titleSide, "lines before the heading"
	}
	if d.site == SiteUnknown && titleSite != SiteUnknown {
		d.site, d.siteFrom = titleSite, "lines before the heading"
	}
}

// decide freezes time, rate, units and clipping of a draft's feeds; keep tells
// whether the rows read for that are kept.
func (o *opener) decide(l *layout, d *draft, keep bool) error {
	for i, f := range d.feeds {
		if err := l.decideTime(f); err != nil {
			return err
		}
		h, err := o.headOf(l, f)
		if err != nil {
			return err
		}
		if err := l.decideFeed(d, i, h); err != nil {
			return err
		}
		if f.axes(0) == 0 || f.axes(3) == 0 {
			h.bursts = burstsOf(h, f, map[bool]int{true: 3, false: 0}[f.axes(0) == 0])
		}
		h.settle()
		if keep && f.keep(h) {
			o.space = nil
		}
		o.heads[f] = h
	}
	return nil
}

// headOf reads the first rows of a feed; the error is of too few.
func (o *opener) headOf(l *layout, f *feed) (*head, error) {
	if o.space == nil {
		o.space = o.opt.Room.take()
	}
	h, err := readHead(f, o.space)
	if err != nil {
		return nil, err
	}
	if len(h.t) < 3 {
		return nil, fault(l.f.name, l.s.header, "only %d samples", h.rows).hint("export the recording again")
	}
	return h, nil
}

// decideFeed freezes rate, units and clipping of feed i by its first rows. What is
// checked later stands on what is decided before: the range on the units, and the
// signs and axes on both.
func (l *layout) decideFeed(d *draft, i int, h *head) error {
	f := d.feeds[i]
	planLost(f, h)
	if err := l.decideRate(f, h); err != nil {
		return err
	}
	l.remarkPattern(f)
	l.remarkRepeats(f)
	if err := l.checkAcc(f, h, d.cols[i], f.stamps.rate); err != nil {
		return err
	}
	if err := l.checkGyr(f, h, d.cols[i]); err != nil {
		return err
	}
	if err := l.checkBeyond(f, h); err != nil {
		return err
	}
	h.foot = looksLikeFoot(h)
	if err := l.checkGravity(d, f, h, i); err != nil {
		return err
	}
	f.clip = planClip(h.v)
	return l.checkAxes(d, f, h)
}

// decideRate plans the time stamps.
func (l *layout) decideRate(f *feed, h *head) error {
	p := &f.stamps
	if f.time.kind == timeNone || f.time.counter {
		rate := roundDigits(l.givenRate()/float64(f.lost.every), 9)
		*p = stampPlan{rate: rate, measured: rate, hole: gapPeriods / rate}
		return nil
	}
	plan, ok := planStamps(h.t, f.time.quantum, h.numbers())
	if !ok {
		return fault(l.f.name, l.s.first, "no even sampling rate between %d and %d Hz comes out of the time (%.4g Hz)", MinRate, MaxRate, plan.measured).
			column(f.columnName(f.time.col)).hint("state the time's unit in its heading (for example time_ms), or with --columns")
	}
	*p = plan
	l.remarkStamps(f)
	if p.rate < RateContact {
		l.remarks.Add(remark.Loss, "rate-low", remark.At(l.f.name, l.s.first, none()),
			"%.4g Hz is too slow to see how the forefoot is lowered, which needs %d Hz; only the step rate can be found", p.rate, RateLowering)
	}
	return nil
}

// remarkStamps says what was assumed about the stamps.
func (l *layout) remarkStamps(f *feed) {
	p := &f.stamps
	at := remark.At(l.f.name, l.s.first, none())
	switch {
	case p.packets && !p.arrivals:
		l.remarks.Add(remark.Doubt, "time-packets", at, "several samples share one time stamp; they were spread evenly at %.6g Hz", p.rate)
	case p.arrivals:
		l.remarks.Add(remark.Doubt, "time-arrival", at, "the time stamps scatter as those of samples that arrive now early, now late; the rows were taken as evenly spaced, in the order of the file, at %.6g Hz", p.rate)
	case p.shaken:
		l.remarks.Add(remark.Doubt, "time-shaken", at, "the time stamps scatter so much that neighbours change places; the rows were taken as evenly spaced, in the order of the file, at %.6g Hz", p.rate)
	case p.mixed: // said where it changes
	case p.mode == stampsMeant:
		l.remarks.Add(remark.Note, "time-uneven", at, "the samples are unevenly spaced (by about %.2f ms); they were put on an even grid of %.6g Hz", 1000*p.jitter, p.rate)
	case f.time.quantum > 0.02/p.rate && p.jitter > evenWithin/p.rate:
		l.remarks.Add(remark.Note, "time-rounded", at, "the time stamps are rounded to %.3g ms; samples were taken as evenly spaced", 1000*f.time.quantum)
	}
}

// finishDraft infers what only the signal can tell, and says which sensor is
// missing.
func (o *opener) finishDraft(d *draft) {
	at := remark.At(d.file.name, o.layouts[d].s.header, none())
	switch {
	case d.gyrAxes == 0 && !d.hasGyr:
		o.set.Remarks.Add(remark.Loss, "gyroscope-missing", at, "there is no gyroscope in it, so that lowering cannot be measured")
	case d.accAxes == 0:
		o.set.Remarks.Add(remark.Loss, "accelerometer-missing", at, "there is no accelerometer in it, so that contacts cannot be found")
	}
	if d.site == SiteUnknown && d.hasAcc && d.hasGyr {
		if o.heads[d.feeds[len(d.feeds)-1]].foot {
			d.site, d.siteFrom = Foot, "signal"
		}
	}
}

// looksLikeFoot tells whether a sensor turns as fast as only a foot (or a shin)
// does in gait and lies still in between. Project's own rule: fastest hundredth
// above 3 rad/s, and a tenth of the time below 0.6 rad/s.
func looksLikeFoot(h *head) bool {
	w := h.size(3)
	if len(w) == 0 || h.moving < 2 {
		return false
	}
	slow, fast := 0, 0
	for _, x := range w {
		if x < 0.6 {
			slow++
		}
		if x > 3 {
			fast++
		}
	}
	return slow*10 > len(w) && fast*100 > len(w)
}
