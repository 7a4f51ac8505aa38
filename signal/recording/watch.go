package recording

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"setdown/signal/remark"
)

// What a watch writes: a row every 0.15 to 120 s, and a rate, a minute, of 20 to 300
// where one is moving (the project's own wide limits).
const (
	watchFastest, watchSlow  = 0.15, 120
	minCadence, maxCadenceIn = 20, 300
)

// watch is a step-rate series of one file while it is being read.
type watch struct {
	f     *feed
	c     *Cadence
	first float64
	speed *column // nil where there is none
}

// shift moves the series onto the common axis.
func (w *watch) shift() {
	for i := range w.c.Time {
		w.c.Time[i] += w.f.time.shift
	}
}

// watch reads a watch's step rate; a file that has none has no sensor at all.
func (o *opener) watch(l *layout) error {
	w, err := l.newWatch()
	if err != nil {
		return err
	}
	if err := w.read(); err != nil {
		return err
	}
	if len(w.c.Time) == 0 {
		return l.fail("holds no step rate").column(l.cadence.name)
	}
	w.first = w.c.Time[0]
	speeds := w.speedFactors()
	per, from, err := w.counts(l, o.opt.CadenceCounts, speeds)
	if err != nil {
		return err
	}
	w.settleSpeed(per, speeds)
	w.finish(l, per, from)
	if err := l.f.finish(); err != nil {
		return err
	}
	w.c.Input = l.f.input()
	o.watches = append(o.watches, w)
	o.set.Cadences = append(o.set.Cadences, w.c)
	return nil
}

// newWatch finds the columns of a watch's step rate: the rate itself, its time and,
// where there is one, the speed.
func (l *layout) newWatch() (*watch, error) {
	at := l.numbersOf(roleCadence)
	if at < 0 {
		err := l.noSensor()
		if l.other() {
			err.Err = errOther
		}
		return nil, err
	}
	l.cadence = &l.cols[at]
	f := l.newFeed()
	w := &watch{f: f, c: &Cadence{Label: l.f.name}}
	f.col[0], f.col[1] = at, l.numbersOf(roleSpeed)
	if f.col[1] >= 0 {
		w.speed = &l.cols[f.col[1]]
	}
	f.time.col = l.timeFor(&draft{}, 0)
	l.slow = true
	return w, l.decideTime(f)
}

// numbersOf is the first column of numbers that has the role, or −1.
func (l *layout) numbersOf(r role) int {
	return slices.IndexFunc(l.cols, func(c column) bool { return c.role == r && c.kind == cellsNumber })
}

// errOther is the cause of an error of a file that holds something else than a sensor's
// motion or a step rate, as the notes and the magnetometer of an export do.
var errOther = errors.New("another kind of file")

// Fewest rows, and columns of numbers, of a table whose columns tell nothing and that may
// still be a sensor's.
const (
	otherRows    = 50
	otherColumns = 3
)

// other tells whether a table without a sensor is of something else: of a quantity that
// is known, by its columns or the file's name, or too small for a sensor.
func (l *layout) other() bool {
	if l.s.names == nil || l.oneAxisOfMany() {
		return false
	}
	numbers := 0
	for i := range l.cols {
		c := &l.cols[i]
		if c.role == roleUnused {
			return true
		}
		if c.kind == cellsNumber && c.role != roleTime && c.role != roleDate && c.role != roleCounter {
			numbers++
		}
	}
	return l.words.unused || (numbers < otherColumns || len(l.s.sample) < otherRows) && !namesFoot(l.f.name)
}

// noSensor is the error of a table without motion and without a step rate.
func (l *layout) noSensor() *Error {
	var names []string
	for _, c := range l.cols[:min(len(l.cols), 12)] {
		names = append(names, c.name)
	}
	if l.s.names == nil {
		return l.fail("%d columns without a heading", l.s.columns).hint("say with --columns which column holds what")
	}
	if l.oneAxisOfMany() {
		return l.fail("holds one axis by its name").hint(sideBySide)
	}
	return l.fail("no accelerometer, gyroscope or step rate among the columns %s", strings.Join(names, ", ")).
		hint("say with --columns which column holds what; setdown inspect %s --save writes a file to edit", l.f.name)
}

// read reads the series. Rows without a step rate are kept as NaN.
func (w *watch) read() error {
	last := math.Inf(-1)
	return w.f.rowsOf(nil, oneByOne(func(r *row) error {
		if r.t <= last {
			return nil
		}
		last = r.t
		v := r.v[0]
		if v < minCadence || v > maxCadenceIn {
			v = math.NaN()
		}
		w.c.Time = append(w.c.Time, r.t)
		w.c.StepsPerMinute = append(w.c.StepsPerMinute, v)
		w.c.Speed = append(w.c.Speed, r.v[1])
		return nil
	}))
}

// finish scales the series and notes what was assumed.
func (w *watch) finish(l *layout, per float64, from string) {
	for i := range w.c.StepsPerMinute {
		w.c.StepsPerMinute[i] *= per
	}
	what := "steps/min"
	if per == 2 {
		what = "strides/min"
	}
	if w.f.time.col >= 0 {
		w.c.Mapping = append(w.c.Mapping, l.cols[w.f.time.col].as("time"))
	}
	w.c.Mapping = append(w.c.Mapping, Channel{Name: l.cadence.name, Role: "cadence", Unit: what, UnitFrom: from})
	if w.speed != nil {
		w.c.Mapping = append(w.c.Mapping, w.speed.as("speed"))
	}
	at := remark.At(l.f.name, l.s.header, none())
	l.remarks.Add(remark.Loss, "watch", at, "no raw motion in it: only the step rate is reported")
	if from == "inferred" {
		l.remarks.Append(remark.Remark{Code: "cadence-counts", Level: remark.Doubt, Place: at, Count: 1,
			Text: fmt.Sprintf("the step rate was read as %s, since the other reading does not fit", what)})
	}
}
