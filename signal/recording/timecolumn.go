package recording

import (
	"math"
	"slices"
	"strings"
)

// timeFor picks the time column for a sensor of a draft: the one that names the
// sensor or the side, else the one that names none; −1 when there is none.
func (l *layout) timeFor(d *draft, from int) int {
	best, score := -1, -1
	for i := range l.cols {
		if n := l.timeScore(&l.cols[i], d, from); n > score {
			best, score = i, n // among equals the first is taken
		}
	}
	if best < 0 {
		best = l.indexLike(roleCounter)
	}
	if best < 0 {
		best = l.unnamedTime()
	}
	if best < 0 {
		best = l.serialColumn()
	}
	if best >= 0 {
		l.cols[best].takeTime()
	}
	return best
}

// timeScore tells how well a column fits as the time of a sensor of a draft; −1 where
// it is no time, or that of another sensor or side.
func (l *layout) timeScore(c *column, d *draft, from int) int {
	if c.role != roleTime || !c.useful() {
		return -1
	}
	score := 1
	switch {
	case c.acc && from >= 3 && !c.gyr, c.gyr && from < 3 && !c.acc, c.side != SideUnknown && d.side != SideUnknown && c.side != d.side:
		return -1
	case c.acc || c.gyr || c.side != SideUnknown && c.side == d.side:
		score = 40
	}
	// Finer stamps are the better clock.
	score += 3 * min(c.distinct*10/max(1, len(l.s.sample)), 10)
	if c.stated {
		score++
	}
	return score
}

// indexLike finds a number column of a role whose values rise.
func (l *layout) indexLike(want role) int {
	return slices.IndexFunc(l.cols, func(c column) bool { return c.role == want && c.kind == cellsNumber && l.rises(c.index) })
}

// unnamedTime finds a column that has a unit of time and no other name, or a
// first column without a name, whose values rise.
func (l *layout) unnamedTime() int {
	for i := range l.cols {
		if c := &l.cols[i]; c.timed && c.role == roleNone && c.kind == cellsNumber && l.steadily(i, -1) > 0 && !l.falls(i) {
			return i
		}
	}
	if len(l.cols) > 0 && l.cols[0].role == roleNone && l.cols[0].kind == cellsNumber && strings.TrimSpace(l.cols[0].name) == "" && l.rises(0) {
		return 0
	}
	return -1
}

// falls tells whether the numbers of a column ever fall among the first rows.
func (l *layout) falls(i int) bool {
	before := math.Inf(-1)
	for _, c := range l.firstCells(i) {
		v, ok := parseNumber([]byte(c), l.s.decimal)
		if ok && v < before {
			return true
		}
		before = v
	}
	return false
}

// backwards tells whether the numbers of a column nearly always fall.
func (l *layout) backwards(i int) bool {
	down, n := 0, 0
	before := math.NaN()
	for _, c := range l.firstCells(i) {
		v, ok := parseNumber([]byte(c), l.s.decimal)
		if ok && !math.IsNaN(before) {
			n++
			if v < before {
				down++
			}
		}
		before = v
	}
	return n > 1 && down*10 >= n*9
}

// rises tells whether the numbers of a column rise nearly always.
func (l *layout) rises(i int) bool {
	up, n := 0, 0
	before := math.Inf(-1)
	for _, r := range l.s.sample {
		if i >= len(r) {
			continue
		}
		v, ok := parseNumber([]byte(r[i]), l.s.decimal)
		if !ok {
			continue
		}
		n++
		if v > before {
			up++
		}
		before = v
	}
	return n > 1 && up*10 >= n*8
}
