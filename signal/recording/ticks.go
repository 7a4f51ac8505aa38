package recording

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"setdown/signal/unit"
)

// A clock whose ticks a column counts, as a heading or a line before it states it.
var (
	clockHertz = pattern(`(?i)([0-9]+(?:[.,][0-9]+)?)[ _]*([km]?)hz`)
	clockShare = pattern(`(?i)1 ?/ ?([0-9]+(?:[.,][0-9]+)?) ?s(?:ec\w*)?\b`)
	clockPlain = pattern(`(?i)(?:clock|timer|tick)s?[ _-]*(?:rate|freq\w*)\W*([0-9]+(?:[.,][0-9]+)?)\s*$`)
	clockPer   = pattern(`(?i)ticks? ?(?:per|/) ?s(?:ec\w*)?\W+([0-9]+(?:[.,][0-9]+)?)|([0-9]+(?:[.,][0-9]+)?) ?ticks? ?(?:per|/) ?s`)
	clockWords = pattern(`(?i)\b(?:clock|timer|ticks?|oscillator|rtc|takt\w*)`)
)

// clockIn is the rate, Hz, of the clock that a text states; 0 where it states none.
func clockIn(text string) float64 {
	if !strings.ContainsAny(text, "0123456789") {
		return 0 // most headings: not worth an expression
	}
	if m := clockHertz().FindStringSubmatch(text); m != nil {
		return decimalValue(m[1]) * map[string]float64{"": 1, "k": 1e3, "m": 1e6}[strings.ToLower(m[2])]
	}
	if m := clockShare().FindStringSubmatch(text); m != nil {
		return decimalValue(m[1])
	}
	if m := clockPer().FindStringSubmatch(text); m != nil {
		return decimalValue(m[1] + m[2])
	}
	if m := clockPlain().FindStringSubmatch(text); m != nil {
		return decimalValue(m[1])
	}
	return 0
}

// clockBefore is the clock that the lines before the heading state, Hz, and its line's
// text; 0 where there is none.
func (l *layout) clockBefore() (float64, string) {
	for _, line := range l.s.preamble {
		if clockPer().MatchString(line) || clockWords().MatchString(line) && !sampleWords().MatchString(line) {
			if v := clockIn(line); v > 0 {
				return v, strings.TrimSpace(line)
			}
		}
	}
	return 0, ""
}

// countsTicks tells whether a heading says that ticks are counted, and not samples.
func countsTicks(name string) bool {
	return slices.ContainsFunc(tokens(name), func(w string) bool { return strings.HasPrefix(w, "tick") || w == "timer" || w == "clock" })
}

// clockOf is the clock, Hz, whose ticks a column counts: in its name, or before the
// heading where the column is called ticks, or counts more than one a row and no
// sampling rate is stated. A rate in the name of a column that counts otherwise may be
// that of the samples too: it must be too fast for them, or give the same.
func (l *layout) clockOf(c *column, step float64) float64 {
	named := clockIn(c.name)
	if named > 0 && (countsTicks(c.name) || named > MaxRate || step == 1) {
		return named
	}
	if u, ok := unitOfSteps(c.name); ok && countsTicks(c.name) && named == 0 {
		return math.Round(1 / u.Factor)
	}
	if named > 0 || l.opt.Mapping != nil && len(l.opt.Mapping.Columns) > 0 {
		return 0
	}
	if v, _ := l.clockBefore(); countsTicks(c.name) || step > 1.5 && l.givenRate() <= 0 {
		return v
	}
	return 0
}

// inTicks tells whether a time column counts ticks of the clock, Hz, in its name. A
// rate that the stamps have in a unit of time is that of the samples.
func (l *layout) inTicks(c *column, step, clock float64) bool {
	if c.role != roleTime || clock <= 0 || !l.interval(step/clock) || c.stated && l.interval(step*c.unit.Factor) {
		return false
	}
	return !slices.ContainsFunc([]unit.Unit{unit.Second, unit.Millisecond, unit.Microsecond, unit.Nanosecond}, func(u unit.Unit) bool {
		return rateOfRows(step, u, clock)
	})
}

// rateOfRows tells whether a rate, Hz, is that of rows which come every step of a unit
// of time: what is stated is then the sampling rate and not a clock's.
func rateOfRows(step float64, u unit.Unit, rate float64) bool {
	return math.Abs(step*u.Factor*rate-1) < 0.05
}

// decideTicks reads a column as ticks of a clock, Hz.
func (l *layout) decideTicks(p *timePlan, c *column, step, clock float64) error {
	if !l.interval(step / clock) {
		return l.fail("advances by %.6g a row, which is no sampling interval for a clock of %.6g Hz (%.4g Hz)", step, clock, clock/step).column(c.name).
			hint("correct the clock's rate, or give the sampling rate with --rate HZ")
	}
	if rate := l.givenRate(); rate > 0 && math.Abs(clock/step/rate-1) > 0.02 {
		return l.fail("advances by %.6g a row: at %.6g Hz of its clock that is %.4g Hz, but %.6g Hz is stated as the sampling rate", step, clock, clock/step, rate).column(c.name).
			hint("correct one of the two, or give the sampling rate with --rate HZ")
	}
	p.div, p.ticks = clock, true
	c.unit, c.unitFrom = unit.Unit{Symbol: fmt.Sprintf("%g s", 1/clock), Factor: 1 / clock, Kind: unit.Time}, "header"
	return nil
}

// orTicks refuses a time without a unit where a clock is stated whose ticks it may
// count as well.
func (l *layout) orTicks(c *column, step float64) error {
	clock, line := l.clockBefore()
	if clock <= 0 || !l.interval(step/clock) || math.Abs(clock*c.unit.Factor-1) < 1e-9 || rateOfRows(step, c.unit, clock) || c.unitFrom != "inferred" {
		return nil
	}
	return l.fail("may be in %s or in ticks of the clock that is stated (%s), which gives %.4g Hz", c.unit.Symbol, line, clock/step).column(c.name).
		hint("call the column ticks_%gHz or time_%s", clock, c.unit.Symbol)
}
