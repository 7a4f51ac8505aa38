package recording

import (
	"context"
	"maps"
	"runtime"

	"github.com/sourcegraph/conc/pool"

	"setdown/signal/remark"
)

// Open looks at the head of each source, decides how it is read, and returns
// its tracks. Nothing beyond the first DecideSeconds of movement is read, but
// for files whose head is all (whose hash is then known), for long tables
// (whose sensors' names have to be found) and for watch exports. The error is
// an *Error that names the file, line and column.
//
// Where a source states neither side nor site, its name and columns decide.
// Track.Inputs of larger files get their hash when Track.Read has ended.
func Open(ctx context.Context, sources []Source, opt Options) (*Set, error) {
	o, err := openAll(ctx, sources, opt)
	if err != nil {
		return nil, err
	}
	return o.set, nil
}

// openAll does the work of Open and keeps what it found.
func openAll(ctx context.Context, sources []Source, opt Options) (*opener, error) {
	if len(sources) == 0 {
		return nil, &Error{Msg: "no file given", Hint: "name the recordings, for example --left left.csv --right right.csv"}
	}
	opt.Room.again()
	o, err := openEach(ctx, sources, &opt)
	if err != nil {
		return nil, err
	}
	if err := o.sameFiles(); err != nil {
		return nil, err
	}
	o.pair()
	for _, d := range o.drafts {
		o.finishDraft(d)
	}
	o.clocks()
	for _, d := range o.drafts {
		o.set.Tracks = append(o.set.Tracks, d.track(o.layouts[d]))
	}
	o.setClocks()
	if len(o.set.Tracks)+len(o.set.Cadences) == 0 {
		return nil, fault(sources[0].Name, 0, "no sensor found in it").hint("see setdown inspect %s", sources[0].Name)
	}
	return o, nil
}

// openEach opens the sources side by side, one a core, and joins what they hold
// in their order. The error is that of the first source that has one.
func openEach(ctx context.Context, sources []Source, opt *Options) (*opener, error) {
	found, errs := make([]*opener, len(sources)), make([]error, len(sources))
	group := pool.New().WithMaxGoroutines(runtime.GOMAXPROCS(0))
	for i, src := range sources {
		found[i] = newOpener(opt)
		group.Go(func() {
			if errs[i] = ctx.Err(); errs[i] == nil && !companion(src, sources) {
				errs[i] = found[i].source(src, sources)
			}
		})
	}
	group.Wait()
	all := newOpener(opt)
	for i, o := range found {
		if errs[i] != nil {
			return nil, errs[i]
		}
		all.join(o)
	}
	return all, nil
}

func newOpener(opt *Options) *opener {
	return &opener{opt: opt, set: &Set{}, layouts: map[*draft]*layout{}, heads: map[*feed]*head{}}
}

// join takes over what another opener found.
func (o *opener) join(p *opener) {
	o.tables = append(o.tables, p.tables...)
	o.drafts = append(o.drafts, p.drafts...)
	o.watches = append(o.watches, p.watches...)
	o.set.Cadences = append(o.set.Cadences, p.set.Cadences...)
	o.set.Remarks.Join(&p.set.Remarks)
	maps.Copy(o.layouts, p.layouts)
	maps.Copy(o.heads, p.heads)
}

// opener gathers what the sources hold.
type opener struct {
	opt     *Options
	set     *Set
	tables  []*layout
	drafts  []*draft
	layouts map[*draft]*layout
	heads   map[*feed]*head
	watches []*watch
	space   *space // for the next head
}

// source opens one source, which may hold several tables.
func (o *opener) source(src Source, all []Source) error {
	fs, err := files(src)
	if err != nil {
		return err
	}
	for _, f := range fs {
		lines, err := f.head()
		if err != nil {
			return err
		}
		l, err := o.layoutOf(f, lines, all)
		if err != nil {
			return err
		}
		o.tables = append(o.tables, l)
		if err := o.table(l, src.Side, len(all)); err != nil {
			return err
		}
	}
	return nil
}

// layoutOf finds the table of a file and what its columns are.
func (o *opener) layoutOf(f *file, lines [][]byte, all []Source) (*layout, error) {
	opt := *o.opt
	if f.src.Mapping != nil {
		opt.Mapping = f.src.Mapping
	}
	s, err := sniff(f.name, lines, opt.Mapping)
	if err != nil {
		return nil, err
	}
	if s.columns > MaxColumns || len(s.names) > MaxColumns {
		return nil, fault(f.name, max(1, s.header), "has %d columns; at most %d are read", max(s.columns, len(s.names)), MaxColumns).
			hint("this is not a recording of a few sensors; cut out the columns of one person")
	}
	l := &layout{f: f, s: s, opt: &opt, words: fileWords(f.name)}
	if err := l.bids(all); err != nil {
		return nil, err
	}
	l.cols = readColumns(s)
	for i, h := range l.described {
		l.cols[i].heading = h
		if h.stated {
			l.cols[i].unitFrom = "header"
		}
	}
	if opt.Mapping != nil {
		if err := l.mapped(opt.Mapping); err != nil {
			return nil, err
		}
	} else if l.described == nil {
		l.guess()
	}
	l.resolveAxes()
	return l, nil
}

// table makes the drafts of one table.
func (o *opener) table(l *layout, side Side, sources int) error {
	n := len(o.drafts)
	if err := o.sensors(l); err != nil {
		return err
	}
	o.drafts = append(o.drafts, l.drafts...)
	for _, d := range l.drafts {
		o.layouts[d] = l
		d.settlePlace(l, side, len(l.drafts))
		if err := o.decide(l, d, sources*l.channels() <= keepChannels); err != nil {
			return err
		}
	}
	o.set.Remarks.Join(&l.remarks)
	switch {
	case l.cadence != nil:
		return l.f.finish()
	case len(o.drafts) > n && l.f.short:
		return l.f.finish()
	}
	return nil
}

// sensors finds the sensors of a table, or a watch's step rate.
func (o *opener) sensors(l *layout) error {
	if keys := l.keyColumns(); len(keys) > 0 {
		if err := l.long(keys); err != nil || len(l.drafts) > 0 {
			return err
		}
	}
	if err := l.wide(); err != nil || len(l.drafts) > 0 {
		return err
	}
	return o.watch(l)
}

// settlePlace decides side and site: given, then column or value, then name.
func (d *draft) settlePlace(l *layout, side Side, tracks int) {
	named := d.side
	if named == SideUnknown {
		named = l.words.side
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
}

// decide freezes time, rate, units and clipping of a draft's feeds; keep tells
// whether the rows read for that are kept.
func (o *opener) decide(l *layout, d *draft, keep bool) error {
	for i, f := range d.feeds {
		if err := l.decideTime(f); err != nil {
			return err
		}
		if o.space == nil {
			o.space = o.opt.Room.take()
		}
		h, err := readHead(f, o.space)
		if err != nil {
			return err
		}
		if len(h.t) < 3 {
			return fault(l.f.name, l.s.header, "only %d samples", h.rows).hint("export the recording again")
		}
		if err := l.decideRate(f, h); err != nil {
			return err
		}
		if err := l.checkAcc(f, h, d.cols[i], f.stamps.rate); err != nil {
			return err
		}
		if err := l.checkGyr(f, h, d.cols[i]); err != nil {
			return err
		}
		f.clip = planClip(h.v)
		if err := l.checkSigns(f, h); err != nil {
			return err
		}
		if err := l.checkAxes(d, f, h); err != nil {
			return err
		}
		h.settle()
		if keep && f.keep(h) {
			o.space = nil
		}
		o.heads[f] = h
	}
	return nil
}

// decideRate plans the time stamps.
func (l *layout) decideRate(f *feed, h *head) error {
	p := &f.stamps
	if f.time.kind == timeNone || f.time.counter {
		rate := l.givenRate()
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
	case p.packets:
		l.remarks.Add(remark.Doubt, "time-packets", at, "several samples share one time stamp; they were spread evenly at %.6g Hz", p.rate)
	case p.shaken:
		l.remarks.Add(remark.Doubt, "time-shaken", at, "the time stamps scatter so much that neighbours change places; the rows were taken as evenly spaced, in the order of the file, at %.6g Hz", p.rate)
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
