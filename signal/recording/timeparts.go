package recording

import (
	"math"
	"slices"
	"strings"

	"setdown/signal/unit"
)

// The parts of a point in time that may stand in columns of their own.
const (
	partYear = iota
	partMonth
	partDay
	partHour
	partMinute
	partSecond
	partMilli
	partMicro
	partNano
	partCount
)

// partWords are the names of the parts in the languages read, folded.
var partWords = [partCount]string{
	" year years jahr jahre annee ano anno jaar rok ar yyyy ", " month months monat mois mes mese maand miesiac maned manad ",
	" day days tag jour dia giorno dag dzien ", " hour hours stunde stunden std heure heures hora horas ora ore uur uren godzina hh hr ",
	" minute minutes minuto minutos minuti minuut minuten minuta minutt minutter mins ", " second seconds sekunde sekunden sek seconde secondes segundo segundos secondo secondi seconden sekunda sekund ss ",
	" millisecond milliseconds millis msec millisekunde millisekunden milliseconde millisecondes milisegundo milisegundos millisecondo millisecondi milliseconden ",
	" microsecond microseconds micros usec mikrosekunde mikrosekunden microseconde microsecondes ", " nanosecond nanoseconds nanos nsec ",
}

// partSigns are names of one or two letters. "m" and "mm" are months behind a year
// and minutes behind an hour.
var partSigns = map[string]int{"y": partYear, "yy": partYear, "d": partDay, "dd": partDay, "h": partHour, "min": partMinute, "s": partSecond, "sec": partSecond,
	"ms": partMilli, "us": partMicro, "µs": partMicro, "ns": partNano}

// partNS is how many ns a part is long, from the hour on.
var partNS = [partCount]int64{partHour: 3600 * secondNS, partMinute: 60 * secondNS, partSecond: secondNS, partMilli: 1e6, partMicro: 1e3, partNano: 1}

// partMost is the largest whole number that a part holds; a leap second is a 61st.
var partMost = [partCount]float64{9999, 12, 31, 23, 59, 60, 999, 999, 999}

// timeParts is a point in time whose parts stand in columns of their own.
type timeParts struct {
	// col holds the columns of the parts; −1 where absent.
	col [partCount]int
	// date and clock are columns with a whole date or time of day; −1 where absent.
	date, clock int
	// half is a column of AM and PM beside the hours; −1 where absent.
	half int
	// digits tells that these are written in digits only: 20240309, 083000.250.
	digits bool
	order  dayOrder
}

func noParts() *timeParts {
	p := &timeParts{date: -1, clock: -1, half: -1}
	for i := range p.col {
		p.col[i] = -1
	}
	return p
}

// partOf tells which part of a point in time a heading names; before is the part
// that the column before it names. −1 for none.
func partOf(name string, before int) int {
	ws := tokens(name)
	if len(ws) == 1 && (ws[0] == "m" || ws[0] == "mm") {
		switch before {
		case partYear:
			return partMonth
		case partHour:
			return partMinute
		}
		return -1
	}
	if len(ws) == 1 {
		if part, ok := partSigns[ws[0]]; ok {
			return part
		}
	}
	ws = slices.DeleteFunc(ws, func(w string) bool {
		return slices.Contains([]string{"utc", "local", "rtc", "clock", "of", "the", "start"}, w) || w == "time" && len(ws) > 1
	})
	if len(ws) != 1 || ws[0] == "time" {
		return -1
	}
	return slices.IndexFunc(partWords[:], func(words string) bool { return strings.Contains(words, " "+ws[0]+" ") })
}

// findParts looks for a point in time in parts: minutes and seconds at the least,
// or a date and a time of day in digits only. nil where there is none that rises;
// the columns are those of the parts, or those that are only called so.
func (l *layout) findParts() (p *timeParts, named []int) {
	if l.opt.Mapping != nil && len(l.opt.Mapping.Columns) > 0 {
		return nil, nil
	}
	p = noParts()
	if p.col, named = l.partColumns(); p.col[partHour] >= 0 {
		p.half = slices.IndexFunc(l.cols, func(c column) bool { return c.kind == cellsText && l.halves(c.index) })
	}
	p.completeDate(l)
	if !p.enough() && !p.findDigits(l) || !l.ordered(p) {
		return nil, named
	}
	return p, p.columns()
}

// partColumns are the columns that are called parts of a time, by part and in their
// order: the most that stand together. Across the channels of a sensor a name is
// something else, as the "min" and "max" of a value.
func (l *layout) partColumns() (most [partCount]int, named []int) {
	most = noParts().col
	now, run, before := most, []int(nil), -1
	for i := range l.cols {
		c := &l.cols[i]
		before = partOf(c.name, before)
		_, channel := c.role.channel()
		switch {
		case channel:
			now, run, before = noParts().col, nil, -1
		case before == partHour && c.role == roleUnused && l.largest(i) > partMost[partHour]: // "hr" is a heart rate
		case before >= 0 && now[before] < 0 && c.kind == cellsNumber:
			now[before], run = i, append(run, i)
		}
		if len(run) > len(named) {
			most, named = now, run
		}
	}
	return most, named
}

// wrongParts is the error of columns that are called parts of a time and make none.
func (l *layout) wrongParts(named []int) error {
	names := make([]string, len(named))
	for i, c := range named {
		names[i] = l.cols[c].name
	}
	return l.fail("the columns %s make no time together", strings.Join(names, ", ")).
		hint("a time in parts needs minutes and seconds, with a date (year in four digits, month, day) hours too; each a whole number in its range, the last with decimals; else give the rate with --rate HZ")
}

// completeDate takes a date from a column of its own where year, month and day are
// not all there, and a time of day where they are and hours are not.
func (p *timeParts) completeDate(l *layout) {
	dated, timed := slices.Min(p.col[:partHour]) >= 0, p.col[partMinute] >= 0 && p.col[partSecond] >= 0
	if !dated {
		p.col[partYear], p.col[partMonth], p.col[partDay] = -1, -1, -1
	}
	switch {
	case timed && !dated:
		if p.date = slices.IndexFunc(l.cols, func(c column) bool { return c.kind == cellsMoment && l.midnight(c.index) }); p.date >= 0 {
			p.order = l.dayOrder(p.date)
		}
	case dated && !timed && p.col[partHour] < 0:
		p.clock = slices.IndexFunc(l.cols, func(c column) bool { return c.kind == cellsMoment && !l.midnight(c.index) })
	}
}

// midnight tells whether a column holds dates without a time of day.
func (l *layout) midnight(i int) bool {
	ns, dated, _, ok := parseMoment([]byte(l.firstCells(i)[0]), dayFirst)
	return ok && dated && ns%dayNS == 0
}

// enough tells whether the parts make a time: minutes and seconds, hours too where
// there is a date; or a date in parts with a whole time of day.
func (p *timeParts) enough() bool {
	dated := p.date >= 0 || p.col[partYear] >= 0
	return p.clock >= 0 || p.col[partMinute] >= 0 && p.col[partSecond] >= 0 && (p.col[partHour] >= 0 || !dated)
}

// ordered tells whether the time that the parts make hardly ever falls among the
// first rows, and rises; whole seconds may stand still in all of them.
func (l *layout) ordered(p *timeParts) bool {
	fall, rise, n, last := 0, 0, 0, int64(math.MinInt64)
	for _, r := range l.s.sample {
		ns, ok := p.read(cellsOf(r), l.s.decimal)
		n++
		switch {
		case !ok || ns < last:
			fall++
		case ns > last && n > 1:
			rise++
		}
		if ok {
			last = ns
		}
	}
	return fall*20 <= n && (rise > 0 || fall == 0 && l.givenRate() <= 0)
}

// columns are the columns of the parts.
func (p *timeParts) columns() []int {
	return slices.DeleteFunc(append(slices.Clone(p.col[:]), p.date, p.clock, p.half), func(c int) bool { return c < 0 })
}

// dated tells whether the parts have a date.
func (p *timeParts) dated() bool { return p.date >= 0 || p.col[partYear] >= 0 }

// main is the column that errors name.
func (p *timeParts) main() int {
	if p.clock >= 0 {
		return p.clock
	}
	return p.col[partSecond]
}

// quantum is the step, s, to which the parts are rounded.
func (p *timeParts) quantum(l *layout) float64 {
	for part := partNano; part > partSecond; part-- {
		if p.col[part] >= 0 {
			return float64(partNS[part]) / 1e9
		}
	}
	if p.clock >= 0 && !p.digits {
		return momentQuantum(l.firstCells(p.clock))
	}
	return math.Pow(10, -float64(l.places(p.main())))
}

// ownClock tells whether a time column that is none of the parts rises from row to
// row: it is the finer clock.
func (l *layout) ownClock(col int, parts []int) bool {
	return col >= 0 && l.cols[col].role == roleTime && !slices.Contains(parts, col) && l.steadily(col, -1) > 0.95
}

// inSeveral sets up a time that stands in several columns; done tells that there is
// one.
func (l *layout) inSeveral(p *timePlan) (done bool, err error) {
	parts, named := l.findParts()
	switch {
	case parts == nil && (len(named) < 3 || l.inUnits(named)) || l.ownClock(p.col, named):
	case parts != nil:
		l.decideParts(p, parts)
		return true, nil
	case l.givenRate() <= 0:
		pair := *p
		if l.findSubSecond(&pair); pair.sub < 0 {
			return false, l.wrongParts(named)
		}
	}
	return false, nil
}

// decideParts sets up a time in parts.
func (l *layout) decideParts(p *timePlan, parts *timeParts) {
	p.parts, p.col = parts, parts.main()
	p.kind, p.dated, p.absolute, p.local = timeClock, parts.dated(), true, true
	if p.dated {
		p.kind = timeMoment
	}
	for _, i := range parts.columns() {
		l.cols[i].role, l.cols[i].unit, l.cols[i].stated = roleTime, unit.Unit{}, false
	}
	for _, r := range l.s.sample {
		if ns, ok := parts.read(cellsOf(r), l.s.decimal); ok {
			p.base = ns
			break
		}
	}
	if !p.dated && parts.clock < 0 && parts.col[partHour] < 0 {
		// Minutes and seconds are a stopwatch, or a clock that starts again with the hour.
		p.kind, p.absolute, p.local, p.base = timeClock, false, false, 0
		p.wrap, p.tick = hourSeconds, 1
	}
	p.quantum = parts.quantum(l)
}
