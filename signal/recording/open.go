package recording

import (
	"context"
	"errors"
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
	o.pairNames()
	o.pair()
	if err := o.checkAxisFiles(); err != nil {
		return nil, err
	}
	for _, d := range o.drafts {
		if err := o.checkAnatomy(d); err != nil {
			return nil, err
		}
		o.finishDraft(d)
	}
	o.clocks()
	for _, d := range o.drafts {
		if err := o.checkClocks(d); err != nil {
			return nil, err
		}
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
	return all, all.leaveAside()
}

func newOpener(opt *Options) *opener {
	return &opener{opt: opt, set: &Set{}, layouts: map[*draft]*layout{}, heads: map[*feed]*head{}}
}

// join takes over what another opener found.
func (o *opener) join(p *opener) {
	o.tables = append(o.tables, p.tables...)
	o.drafts = append(o.drafts, p.drafts...)
	o.watches = append(o.watches, p.watches...)
	o.aside = append(o.aside, p.aside...)
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
	space   *space  // for the next head
	aside   []error // of files without a sensor
}

// source opens one source, which may hold several tables.
func (o *opener) source(src Source, all []Source) error {
	fs, err := files(src)
	if err != nil {
		return err
	}
	for _, f := range fs {
		err := o.member(f, all)
		if errors.Is(err, errOther) && src.Side == SideUnknown && src.Mapping == nil && len(fs)+len(all) > 2 {
			o.aside = append(o.aside, err)
			continue
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// member opens one table of a source.
func (o *opener) member(f *file, all []Source) error {
	lines, err := f.head()
	if err != nil {
		return err
	}
	l, err := o.layoutOf(f, lines, all)
	if err != nil {
		return err
	}
	n := len(o.tables)
	o.tables = append(o.tables, l)
	if err = o.table(l, f.src.Side, len(all)); errors.Is(err, errOther) {
		o.tables = o.tables[:n]
	}
	return err
}

// leaveAside remarks on the files that hold no sensor beside those that do; without any
// of these the first such error is returned.
func (o *opener) leaveAside() error {
	for _, err := range o.aside {
		var e *Error
		if len(o.drafts)+len(o.watches) == 0 || !errors.As(err, &e) {
			return err
		}
		o.set.Remarks.Add(remark.Note, "file-aside", remark.In(e.File), "holds no accelerometer, gyroscope or step rate and was left aside")
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
	l := &layout{f: f, s: s, opt: &opt, words: f.words(all), lines: lines, sources: len(all)}
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
