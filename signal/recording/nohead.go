package recording

import (
	"math"
	"slices"

	"setdown/signal/remark"
	"setdown/signal/unit"
)

// gravityNear is how near, as a share, the median size of three columns must
// come to 1 g in some unit to be taken for an accelerometer without a heading.
const gravityNear = 0.25

// guess names the columns of a table without a heading, where only one reading
// is possible: a rising time (or none, with a given rate), and three or six
// columns of which exactly one group of three reads 1 g.
func (l *layout) guess() {
	first := 0
	if l.rises(0) && len(l.cols)%3 == 1 {
		first = 1
	}
	n := len(l.cols) - first
	if l.s.names != nil || n != 3 && n != 6 {
		return
	}
	acc := l.onlyGravity(first)
	if acc < 0 {
		return
	}
	if first == 1 {
		l.cols[0].heading = heading{role: roleTime}
	}
	for g := first; g < len(l.cols); g += 3 {
		from := roleGyrX
		if g == acc {
			from = roleAccX
		}
		for c := range 3 {
			l.cols[g+c].heading = heading{role: from + role(c)}
		}
	}
	l.remarks.Add(remark.Doubt, "no-heading", remark.At(l.f.name, l.s.first, none()),
		"the table has no heading; columns %d to %d read 1 g and were taken for the accelerometer", acc+1, acc+3)
}

// onlyGravity is the column with which the one group of three begins that reads 1 g;
// −1 where none does, or more than one.
func (l *layout) onlyGravity(first int) int {
	acc := -1
	for g := first; g < len(l.cols); g += 3 {
		if !l.readsG(g) {
			continue
		}
		if acc >= 0 {
			return -1
		}
		acc = g
	}
	return acc
}

// readsG tells whether the median size of the three columns from c on is about
// 1 g in m/s², g or mg.
func (l *layout) readsG(c int) bool {
	var size []float64
	for _, r := range l.s.sample {
		sum := 0.0
		for i := c; i < c+3; i++ {
			if i >= len(r) {
				return false
			}
			v, ok := parseNumber([]byte(r[i]), l.s.decimal)
			if !ok {
				sum = math.NaN()
			}
			sum += v * v
		}
		if !math.IsNaN(sum) {
			size = append(size, math.Sqrt(sum))
		}
	}
	if len(size) == 0 {
		return false
	}
	slices.Sort(size)
	m := size[len(size)/2]
	return slices.ContainsFunc(gUnits, func(u unit.Unit) bool {
		return math.Abs(m*u.Factor/unit.StandardGravity-1) < gravityNear
	})
}
