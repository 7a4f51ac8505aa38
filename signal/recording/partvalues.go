package recording

import (
	"math"
	"slices"
	"strings"
)

// read makes a row's time, ns since 1970 or since midnight; false where a part is no
// number or cannot be.
func (p *timeParts) read(cells [][]byte, dec byte) (ns int64, ok bool) {
	if p.digits {
		return p.readDigits(cells, dec)
	}
	var v [partCount]float64
	parts, ok := p.numbers(&v, cells, dec)
	if !ok {
		return 0, false
	}
	half, ok := p.halfDay(cells, v[partHour])
	if !ok {
		return 0, false
	}
	moments, ok := p.moments(cells)
	if !ok {
		return 0, false
	}
	ns = parts + half + moments
	if p.col[partYear] < 0 {
		return ns, true
	}
	day, ok := calendar(int64(v[partYear]), int64(v[partMonth]), int64(v[partDay]))
	return ns + day*dayNS, ok
}

// numbers reads the parts that have a column into v, and adds up those of them that
// have a fixed length, ns.
func (p *timeParts) numbers(v *[partCount]float64, cells [][]byte, dec byte) (ns int64, ok bool) {
	for part, c := range p.col {
		if c < 0 {
			continue
		}
		if c >= len(cells) {
			return 0, false
		}
		if v[part], ok = parseNumber(cells[c], dec); !ok || !p.may(part, v[part]) {
			return 0, false
		}
		ns += int64(math.Round(v[part] * float64(partNS[part])))
	}
	return ns, true
}

// moments adds up the columns with a whole date and a whole time of day, ns.
func (p *timeParts) moments(cells [][]byte) (ns int64, ok bool) {
	for _, c := range []int{p.date, p.clock} {
		if c < 0 {
			continue
		}
		if c >= len(cells) {
			return 0, false
		}
		more, _, _, ok := parseMoment(cells[c], p.order)
		if !ok {
			return 0, false
		}
		ns += more
	}
	return ns, true
}

// may tells whether a part can hold v: a whole number but for the finest part, up to
// where the next coarser part begins that has a column. Minutes run on where there
// are no hours.
func (p *timeParts) may(part int, v float64) bool {
	most := partMost[part]
	switch {
	case part == partMinute && p.col[partHour] < 0:
		most = math.MaxInt32
	case part == partMicro && p.col[partMilli] < 0:
		most = 1e6 - 1
	case part == partNano && p.col[partMicro] < 0 && p.col[partMilli] < 0:
		most = 1e9 - 1
	}
	finest := part >= partSecond && !slices.ContainsFunc(p.col[part+1:], func(c int) bool { return c >= 0 })
	return v >= 0 && v < most+1 && (finest || v == math.Trunc(v))
}

// halves tells whether a column holds AM and PM alone.
func (l *layout) halves(i int) bool {
	return !slices.ContainsFunc(l.firstCells(i), func(c string) bool { return halfOf([]byte(c)) == 0 })
}

// halfOf returns 'a' for AM and 'p' for PM, with or without points; 0 for other text.
func halfOf(cell []byte) byte {
	switch strings.ToLower(strings.NewReplacer(".", "", " ", "").Replace(string(cell))) {
	case "am":
		return 'a'
	case "pm":
		return 'p'
	}
	return 0
}

// halfDay is what AM or PM adds to an hour of the clock, ns.
func (p *timeParts) halfDay(cells [][]byte, hour float64) (ns int64, ok bool) {
	if p.half < 0 {
		return 0, true
	}
	if p.half >= len(cells) || hour < 1 || hour > 12 {
		return 0, false
	}
	switch half := halfOf(cells[p.half]); {
	case half == 'p' && hour < 12:
		return dayNS / 2, true
	case half == 'a' && hour == 12:
		return -dayNS / 2, true
	default:
		return 0, half != 0
	}
}

// inUnits tells whether columns that are called parts of a time tell one time, each in
// its own unit: hours, minutes and seconds since the start. Then a coarser one has
// decimals, or a finer one runs on where the coarser begins.
func (l *layout) inUnits(named []int) bool {
	parts, step := make([]int, len(named)), 0.0
	for i, c := range named {
		if parts[i] = partOf(l.cols[c].name, -1); parts[i] < partHour {
			return false
		}
		step = max(step, float64(partNS[parts[i]])*math.Pow(10, -float64(l.places(c))))
	}
	finest, split := slices.Max(parts), true
	for _, r := range l.s.sample {
		if slices.Max(named) >= len(r) {
			continue
		}
		before := math.NaN()
		for i, c := range named {
			v, ok := parseNumber([]byte(r[c]), l.s.decimal)
			ns := v * float64(partNS[parts[i]])
			if !ok || math.Abs(ns-before) > step {
				return false
			}
			if before = ns; v >= partMost[parts[i]]+1 || parts[i] < finest && v != math.Trunc(v) {
				split = false
			}
		}
	}
	return !split
}
