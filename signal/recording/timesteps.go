package recording

import (
	"math"
	"slices"
	"strings"

	"setdown/signal/remark"
	"setdown/signal/unit"
)

// Words of a column that tells, row by row, the time since the row before. A plain
// "delta", "difference" or "previous" says so only beside a word or a unit of time.
var (
	stepWords  = strings.Fields("dt deltat deltatime interval intervall intervalle intervallo intervalo timediff timedelta δt")
	deltaWords = strings.Fields("delta δ diff difference differenz ecart diferencia differenza verschil")
	asideWords = strings.Fields("sample samples sampling since row from to the inter")
	lastWords  = strings.Fields("last previous prev vorigen letzten precedent precedente anterior vorige")
)

// Intervals do not grow from row to row in so large a share of so many rows; times do.
// The first interval may be 0, which proves nothing. The limits are the project's own.
const (
	risingRows  = 4
	risingShare = 0.9
)

// stepsName tells whether a heading names a time since the row before.
func stepsName(name string) bool {
	step, delta, timed := false, false, false
	for _, w := range tokens(name) {
		u, isUnit := unit.Parse(w)
		switch {
		case slices.Contains(stepWords, w):
			step = true
		case slices.Contains(deltaWords, w), slices.Contains(lastWords, w):
			delta = true
		case isUnit && u.Kind == unit.Time, dictionary.is(w, meansTime):
			timed = true
		case !slices.Contains(asideWords, w):
			return false
		}
	}
	return step || delta && timed
}

// stepsColumn finds a column of the times since the row before, where no other tells
// the time; −1 where there is none. One that rises from row to row holds, whatever it
// is called, times since the start, which must not be added up.
func (l *layout) stepsColumn(col int) int {
	if col >= 0 {
		c := &l.cols[col]
		counts := c.role != roleTime && l.givenRate() <= 0
		if !counts && (!stepsName(c.name) || l.steadily(col, -1) > 0.9) {
			return -1
		}
	}
	if col < 0 && l.givenRate() > 0 || l.keyed() || l.opt.Mapping != nil && len(l.opt.Mapping.Columns) > 0 {
		return -1
	}
	return slices.IndexFunc(l.cols, func(c column) bool {
		return c.kind == cellsNumber && stepsName(c.name) && (len(l.s.sample) < risingRows || l.steadily(c.index, -1) <= risingShare)
	})
}

// decideSteps sets up a time that is told by the times since the row before.
func (l *layout) decideSteps(p *timePlan, c *column) error {
	var steps []float64
	for _, cell := range l.firstCells(c.index) {
		if v, ok := parseNumber([]byte(cell), l.s.decimal); ok && (v > 0 || len(steps) > 0) {
			steps = append(steps, v)
		}
	}
	if len(steps) == 0 || slices.Min(steps) < 0 {
		return l.fail("holds no times since the row before").column(c.name).hint("give the rate with --rate HZ")
	}
	step := nth(slices.Clone(steps), len(steps)/2)
	p.kind, p.col, p.steps = timeNumber, c.index, true
	c.role = roleTime
	if u, ok := unitOfSteps(c.name); ok {
		c.unit, c.stated, c.unitFrom = u, true, "header"
		p.setUnit(u)
	} else if c.stated {
		p.setUnit(c.unit)
	} else if err := l.inferUnit(p, c, step); err != nil {
		return err
	}
	if !l.interval(step * p.mul / p.div) {
		return l.fail("its usual %g %s is no sampling interval", step, c.unit.Symbol).column(c.name).hint("raw motion is read at %d to %d Hz; state the unit with --columns, or give --rate HZ", MinRate, MaxRate)
	}
	p.quantum = math.Pow(10, -float64(l.places(p.col))) * p.mul / p.div
	l.remarks.Add(remark.Doubt, "time-steps", remark.At(l.f.name, l.s.header, none()),
		"the time was added up from column %q, the time since the row before, which is written to %.3g ms: all times may be off by up to %.2g %% of themselves", c.name, 1000*p.quantum, 50*p.quantum/(step*p.mul/p.div))
	return nil
}

// unitOfSteps is the unit of time in the name of a column.
func unitOfSteps(name string) (unit.Unit, bool) {
	for _, w := range tokens(name) {
		if u, ok := unit.Parse(w); ok && u.Kind == unit.Time {
			return u, true
		}
	}
	return unit.Unit{}, false
}

// stepped adds the time since the row before to its time; that of the first row tells
// nothing.
func (d *decoder) stepped(step float64) float64 {
	if !d.begun {
		d.begun = true
		return 0
	}
	d.elapsed += step
	return d.elapsed
}

// stepLost is the error of a row whose time since the row before is missing, or was in
// a line that could not be read.
func (d *decoder) stepLost(line int) error {
	return fault(d.f.name, line, "the time since the row before is missing here, so that no row behind it can be placed").column(d.columnName(d.time.col)).
		hint("complete line %d, or delete it and all behind it; or count the rows with --rate HZ, leaving this column out with --columns", line)
}
