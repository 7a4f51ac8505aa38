package recording

import (
	"math"
	"strconv"
	"strings"

	"setdown/signal/remark"
	"setdown/signal/unit"
)

// decideTime fills in how a feed's time is read, from the column's heading and
// the raw stamps of its first rows.
func (l *layout) decideTime(f *feed) error {
	p := &f.time
	p.mul, p.div, p.date, p.sub = 1, 1, -1, -1
	if done, err := l.inSeveral(p); done || err != nil {
		return err
	}
	if i := l.stepsColumn(p.col); i >= 0 {
		return l.decideSteps(p, &l.cols[i])
	}
	if p.col < 0 {
		return l.countRows(p)
	}
	l.findSubSecond(p)
	p.carry = !f.sparse && len(f.keys) == 0 && l.mostlyEmpty(p.col)
	c := &l.cols[p.col]
	if c.kind == cellsMoment || c.kind == cellsNumber && l.packed(p.col) {
		return l.decideMoment(p, c)
	}
	p.kind = timeNumber
	if err := l.perhapsDigits(c); err != nil {
		return err
	}
	step := l.step(f)
	if step <= 0 {
		return l.orCount(p, c)
	}
	if err := l.decideUnit(p, c, step); err != nil {
		return err
	}
	p.quantum = math.Pow(10, -float64(l.places(p.col))) * p.mul / p.div
	if p.sub >= 0 {
		p.quantum = 1 / p.subDiv
	}
	return l.decideEpoch(p, c, l.firstCells(p.col))
}

// orCount counts the rows at the rate that the user gave, where the time column c does
// not advance; without a rate, and where the time runs backwards, that is an error.
func (l *layout) orCount(p *timePlan, c *column) error {
	switch {
	case l.backwards(p.col):
		return fault(l.f.name, l.s.first, "the time runs backwards").column(c.name).hint("turn the order of the rows round, first sample first")
	case l.opt.Rate > 0:
		return l.withoutTime(p, c)
	}
	return fault(l.f.name, l.s.first, "the time does not advance").column(c.name).hint("give --rate HZ if the file has no usable time")
}

// decideUnit finds what one of the stamps' numbers stands for; step is their mean
// advance a row.
func (l *layout) decideUnit(p *timePlan, c *column, step float64) error {
	day, days := l.serialDays(p.col, step)
	clock := clockIn(c.name)
	switch {
	case !c.stated && days:
		l.setSerial(p, c, day, step)
	case l.inTicks(c, step, clock):
		return l.decideTicks(p, c, step, clock)
	case c.role != roleTime:
		return l.decideCounter(p, c, step)
	case c.stated && c.unit.Kind == unit.Time:
		p.setUnit(c.unit)
		p.ticks = strings.Contains(c.unit.Symbol, " ") // a count with its scale, from a mapping
	default:
		if err := l.inferUnit(p, c, step); err != nil {
			return err
		}
		return l.orTicks(c, step)
	}
	return nil
}

// places is how many decimals the first numbers of a column have at the most.
func (l *layout) places(col int) int {
	n := 0
	for _, r := range l.firstCells(col) {
		if i := strings.IndexByte(r, l.s.decimal); i >= 0 {
			n = max(n, len(r)-i-1)
		}
	}
	return n
}

// packedDigits is how many digits a date with a time has without signs.
const packedDigits = 14

// packed tells whether the numbers of a column are dates with times without any
// signs: 20240309083000.250.
func (l *layout) packed(col int) bool {
	cells := l.firstCells(col)
	for _, c := range cells {
		if whole, _, _ := strings.Cut(c, "."); len(whole) != packedDigits || !packedMoment().MatchString(c) {
			return false
		}
	}
	return len(cells) > 0
}

// setUnit takes the unit of the stamps, with whole divisors so that a decimal
// stamp is rounded once.
func (p *timePlan) setUnit(u unit.Unit) {
	switch u {
	case unit.Millisecond:
		p.div = 1e3
	case unit.Microsecond:
		p.div = 1e6
	case unit.Nanosecond:
		p.div = 1e9
	default:
		p.mul = u.Factor
	}
}

// countRows makes the time of a file without one.
func (l *layout) countRows(p *timePlan) error {
	rate := l.givenRate()
	if rate <= 0 {
		why := "no time column and no sampling rate"
		if len(preambleRates(l.s.preamble)) > 1 {
			why = "no time column, and " + l.noRate()
		}
		return l.fail("%s", why).
			hint("give the rate with --rate HZ, or say with --columns which column holds the time")
	}
	p.kind, p.div = timeNone, rate
	return nil
}

// withoutTime counts rows at the rate that the user gave, where a time column does
// not advance: written with too few digits, or not written at all.
func (l *layout) withoutTime(p *timePlan, c *column) error {
	l.remarks.Add(remark.Doubt, "time-useless", remark.At(l.f.name, l.s.first, none()),
		"the time column %q does not advance; the rows were counted at the given %.6g Hz, so that lost rows do not show", c.name, l.opt.Rate)
	p.col, p.sub, p.carry = -1, -1, false
	return l.countRows(p)
}

// givenRate is the rate that the user or the preamble states, Hz, or 0.
func (l *layout) givenRate() float64 {
	if l.opt.Rate > 0 {
		return l.opt.Rate
	}
	if l.opt.Mapping != nil && l.opt.Mapping.Rate > 0 {
		return l.opt.Mapping.Rate
	}
	if l.rate > 0 {
		return l.rate
	}
	return preambleRate(l.s.preamble)
}

// decideCounter reads a column as a counter of samples.
func (l *layout) decideCounter(p *timePlan, c *column, step float64) error {
	if clock := l.clockOf(c, step); clock > 0 && l.opt.Rate <= 0 {
		return l.decideTicks(p, c, step, clock)
	}
	rate := l.givenRate()
	if rate <= 0 {
		return l.fail("counts samples, but %s", l.noRate()).column(c.name).hint("give the rate with --rate HZ")
	}
	p.div, p.counter = rate, true
	// A counter may count ticks of a finer clock; its step then is not 1.
	if step > 1.5 && step == math.Round(step) {
		p.div = rate * step
	}
	p.wrap, p.tick = wrapOf(l, c.index, step)/p.div, 1/p.div
	return nil
}

// wrapOf guesses at which power of two a whole-number counter wraps: the
// smallest that its first values and a step fit into; 0 for other columns.
func wrapOf(l *layout, col int, _ float64) float64 {
	top, whole := 0.0, true
	for _, r := range l.firstCells(col) {
		v, _ := parseNumber([]byte(r), l.s.decimal)
		top = max(top, v)
		whole = whole && v == math.Trunc(v) && v >= 0
	}
	if !whole {
		return 0
	}
	for _, bits := range []int{8, 16, 24, 32} {
		if w := math.Ldexp(1, bits); top < w {
			if bits == 8 && len(l.s.sample) > 0 && !l.wrapsIn(col, w) {
				continue
			}
			if bits == 24 && !l.wrapsIn(col, w) {
				continue
			}
			return w
		}
	}
	return 0
}

// wrapsIn tells whether the column steps back by nearly w among the first rows.
func (l *layout) wrapsIn(col int, w float64) bool {
	before := -1.0
	for _, r := range l.firstCells(col) {
		v, _ := parseNumber([]byte(r), l.s.decimal)
		if before-v > 0.9*w && before-v < w {
			return true
		}
		before = v
	}
	return false
}

// inferUnit finds the unit of the stamps from their step: between MinRate and
// MaxRate exactly one of s, ms, µs and ns is possible.
func (l *layout) inferUnit(p *timePlan, c *column, step float64) error {
	low, high := 1.0/MaxRate, 1.0/MinRate
	if l.slow {
		low, high = watchFastest, watchSlow
	}
	for _, u := range []unit.Unit{unit.Second, unit.Millisecond, unit.Microsecond, unit.Nanosecond} {
		if s := step * u.Factor; s >= low && s < high {
			p.setUnit(u)
			c.unit, c.unitFrom = u, "inferred"
			if u != unit.Second {
				l.remarks.Append(remark.Remark{Code: "time-unit", Level: remark.Doubt, Place: remark.At(l.f.name, l.s.header, none()), Count: 1,
					Text: "the time column " + strconv.Quote(c.name) + " states no unit; it was read as " + u.Symbol + ", which gives " + strconv.FormatFloat(1/s, 'g', 4, 64) + " Hz"})
			}
			return nil
		}
	}
	return l.fail("its step of %.6g is no sampling interval in s, ms, us or ns", step).column(c.name).
		hint("raw motion is read at %d to %d Hz; state the unit with --columns", MinRate, MaxRate)
}

// firstCells returns the filled cells of a column in the first rows.
func (l *layout) firstCells(col int) []string {
	var out []string
	for _, r := range l.s.sample {
		if col < len(r) && !isMissing([]byte(r[col])) {
			out = append(out, r[col])
		}
	}
	return out
}
