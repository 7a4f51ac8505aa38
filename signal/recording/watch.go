package recording

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"setdown/signal/remark"
	"setdown/signal/unit"
)

// Rules for telling what a watch's step rate counts. A step rate that fits the
// speed decides; the ranges are wide versions of those of adult walking and
// running (common practice, no source; running from check-values: 155–203).
const (
	runSpeed                 = 2.0 // m/s; above it people run
	walkStepsLow, walkSteps  = 70, 145
	runStepsLow, runSteps    = 130, 240
	stepsOnly                = 130 // per min; nobody makes that many strides
	watchFastest, watchSlow  = 0.15, 120
	minCadence, maxCadenceIn = 20, 300
)

// watch is a step-rate series of one file while it is being read.
type watch struct {
	f     *feed
	c     *Cadence
	first float64
	at    int // column of the step rate
}

// shift moves the series onto the common axis.
func (w *watch) shift() {
	for i := range w.c.Time {
		w.c.Time[i] += w.f.time.shift
	}
}

// watch reads a watch's step rate; a file that has none has no sensor at all.
func (o *opener) watch(l *layout) error {
	i := slices.IndexFunc(l.cols, func(c column) bool { return c.role == roleCadence && c.kind == cellsNumber })
	if i < 0 {
		return l.noSensor()
	}
	l.cadence = &l.cols[i]
	f := l.newFeed()
	f.col[0] = i
	speed := slices.IndexFunc(l.cols, func(c column) bool { return c.role == roleSpeed && c.kind == cellsNumber })
	if speed >= 0 {
		f.col[1] = speed
	}
	f.time.col = l.timeFor(&draft{}, 0)
	l.slow = true
	if err := l.decideTime(f); err != nil {
		return err
	}
	w := &watch{f: f, at: i, c: &Cadence{Label: l.f.name}}
	if err := w.read(); err != nil {
		return err
	}
	if len(w.c.Time) == 0 {
		return l.fail("holds no step rate").column(l.cadence.name)
	}
	w.first = w.c.Time[0]
	var speeds []float64
	if speed >= 0 {
		speeds = w.speedFactors(&l.cols[speed])
	}
	per, from, err := w.counts(l, o.opt.CadenceCounts, speeds)
	if err != nil {
		return err
	}
	w.settleSpeed(l, per, speed, speeds)
	w.finish(l, per, from, speed)
	if err := l.f.finish(); err != nil {
		return err
	}
	w.c.Input = l.f.input()
	o.watches = append(o.watches, w)
	o.set.Cadences = append(o.set.Cadences, w.c)
	return nil
}

// noSensor is the error of a table without motion and without a step rate.
func (l *layout) noSensor() error {
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

// kmhFrom is the median speed without a unit from which it is km/h: nobody keeps
// up 7 m/s.
const kmhFrom = 7

// speedFactors are the factors to m/s that the speed column may have.
func (w *watch) speedFactors(c *column) []float64 {
	switch {
	case c.stated:
		return []float64{c.unit.Factor}
	case middle(w.c.Speed) > kmhFrom:
		return []float64{unit.KilometrePerHour.Factor}
	}
	return []float64{1, unit.KilometrePerHour.Factor}
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

// counts decides how many steps one count stands for: stated, given by the
// user, told by the speed, or asked for.
func (w *watch) counts(l *layout, given CadenceCounts, speeds []float64) (per float64, from string, err error) {
	c := l.cadence
	switch given {
	case CountsSteps:
		return 1, "given", nil
	case CountsStrides:
		return 2, "given", nil
	}
	ws := strings.Join(append(tokens(c.name), fold(c.unit.Symbol)), " ")
	switch {
	case strings.Contains(ws, "stride"):
		return 2, "header", nil
	case strings.Contains(ws, "step"), strings.Contains(ws, "spm"), strings.Contains(ws, "schritt"), strings.Contains(ws, "pasos"),
		strings.Contains(ws, "passi"), strings.Contains(ws, "stappen"), strings.Contains(ws, "stap"):
		return 1, "header", nil
	}
	median := middle(w.c.StepsPerMinute)
	if median > stepsOnly {
		return 1, "inferred", nil
	}
	if per, ok := w.agreed(speeds); ok {
		return per, "inferred", nil
	}
	return 0, "", l.fail("a step rate of %.0f may count the steps of both feet or the strides of one", median).column(c.name).
		hint("say which with --cadence-counts steps or --cadence-counts strides")
}

// agreed decides by speed; false when its possible units disagree or fit neither.
func (w *watch) agreed(speeds []float64) (float64, bool) {
	per := 0.0
	for _, f := range speeds {
		switch p := w.vote(f); {
		case p == 0:
		case per == 0:
			per = p
		case per != p:
			return 0, false
		}
	}
	return per, per > 0
}

// vote tells by the speed, in a unit of factor m/s, whether steps (1) or strides
// (2) are counted; 0 when it fits neither or both.
func (w *watch) vote(factor float64) float64 {
	steps, strides, n := 0.0, 0.0, 0.0
	for i, v := range w.c.StepsPerMinute {
		s := w.c.Speed[i] * factor
		if math.IsNaN(v) || math.IsNaN(s) || s < 0.5 {
			continue
		}
		n++
		lo, hi := float64(walkStepsLow), float64(walkSteps)
		if s >= runSpeed {
			lo, hi = runStepsLow, runSteps
		}
		if v >= lo && v <= hi {
			steps++
		}
		if 2*v >= lo && 2*v <= hi {
			strides++
		}
	}
	switch {
	case n > 0 && steps > 0.8*n && strides < 0.2*n:
		return 1
	case n > 0 && strides > 0.8*n && steps < 0.2*n:
		return 2
	}
	return 0
}

// settleSpeed scales the speed to m/s; where the unit stays open, the speed is
// not reported.
func (w *watch) settleSpeed(l *layout, per float64, speed int, speeds []float64) {
	if speed < 0 {
		return
	}
	c := &l.cols[speed]
	factor := math.NaN()
	if len(speeds) == 1 {
		factor = speeds[0]
	} else if a, b := w.vote(speeds[0]), w.vote(speeds[1]); a == per && b != per {
		factor = speeds[0]
	} else if b == per && a != per {
		factor = speeds[1]
	}
	for i := range w.c.Speed {
		w.c.Speed[i] *= factor
	}
	if !c.stated {
		c.unitFrom = "inferred"
		switch factor {
		case 1:
			c.unit = unit.MetrePerSecond
		case unit.KilometrePerHour.Factor:
			c.unit = unit.KilometrePerHour
		}
	}
}

// middle is the median of the finite values.
func middle(v []float64) float64 {
	var out []float64
	for _, x := range v {
		if !math.IsNaN(x) {
			out = append(out, x)
		}
	}
	if len(out) == 0 {
		return math.NaN()
	}
	slices.Sort(out)
	return out[len(out)/2]
}

// finish scales the series and notes what was assumed.
func (w *watch) finish(l *layout, per float64, from string, speed int) {
	for i := range w.c.StepsPerMinute {
		w.c.StepsPerMinute[i] *= per
	}
	what := "steps/min"
	if per == 2 {
		what = "strides/min"
	}
	if w.f.time.col >= 0 {
		t := &l.cols[w.f.time.col]
		w.c.Mapping = append(w.c.Mapping, Channel{Name: t.name, Role: "time", Unit: t.unit.Symbol, UnitFrom: t.unitFrom})
	}
	w.c.Mapping = append(w.c.Mapping, Channel{Name: l.cadence.name, Role: "cadence", Unit: what, UnitFrom: from})
	if speed >= 0 {
		s := &l.cols[speed]
		w.c.Mapping = append(w.c.Mapping, Channel{Name: s.name, Role: "speed", Unit: s.unit.Symbol, UnitFrom: s.unitFrom})
	}
	at := remark.At(l.f.name, l.s.header, none())
	l.remarks.Add(remark.Loss, "watch", at, "no raw motion in it: only the step rate is reported")
	if from == "inferred" {
		l.remarks.Append(remark.Remark{Code: "cadence-counts", Level: remark.Doubt, Place: at, Count: 1,
			Text: fmt.Sprintf("the step rate was read as %s, since the other reading does not fit", what)})
	}
}
