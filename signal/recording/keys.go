package recording

import (
	"slices"
	"strconv"
)

// keyed tells whether a column tells whose row it is.
func (l *layout) keyed() bool { return len(l.keyColumns()) > 0 }

// keyColumns are the columns of words (or of a few numbers) that tell side,
// site, sensor or channel.
func (l *layout) keyColumns() []int {
	var out []int
	for i := range l.cols {
		c := &l.cols[i]
		few := c.distinct <= maxKeys
		if few && (c.kind == cellsText && c.role != roleTime && c.role != roleDate && (c.role == roleKey || knownKey(l.s, i)) || c.kind == cellsNumber && c.role == roleKey && l.whole(i)) {
			out = append(out, i)
		}
	}
	if len(out) == 0 {
		out = l.hiddenKey()
	}
	return out
}

// whole tells whether the first cells of a column are whole numbers.
func (l *layout) whole(i int) bool {
	for _, c := range l.firstCells(i) {
		if _, err := strconv.Atoi(c); err != nil {
			return false
		}
	}
	return true
}

// hiddenKey finds a column of words that its heading does not tell, but its rows
// do: over all rows the times repeat or step back, within each word they rise; or
// the word changes with nearly every row, as where two sensors take turns.
func (l *layout) hiddenKey() []int {
	t := l.timeColumn()
	if t < 0 {
		return nil
	}
	for i := range l.cols {
		c := &l.cols[i]
		if i == t || c.kind != cellsText || c.distinct < 2 || c.distinct > maxKeys || c.role != roleNone {
			continue
		}
		all, each := l.steadily(t, -1), l.steadily(t, i)
		if each > 0.95 && (all < 0.95*each || l.taking(i)) {
			return []int{i}
		}
	}
	return nil
}

// taking tells whether the words of a column take turns: most rows have another
// word than the row before.
func (l *layout) taking(i int) bool {
	turns, n := 0, 0
	for k, r := range l.s.sample {
		if k > 0 && i < len(r) && i < len(l.s.sample[k-1]) {
			n++
			if r[i] != l.s.sample[k-1][i] {
				turns++
			}
		}
	}
	return turns*2 > n
}

// timeColumn is the first column that looks like time, or −1.
func (l *layout) timeColumn() int {
	return slices.IndexFunc(l.cols, func(c column) bool { return c.role == roleTime && c.useful() })
}

// steadily is the share of the first rows whose time is later than that of the row
// before with the same word in column key; −1 takes all rows together.
func (l *layout) steadily(t, key int) float64 {
	last := map[string]float64{}
	rise, n := 0, 0
	for _, r := range l.s.sample {
		if t >= len(r) || key >= len(r) {
			continue
		}
		word := ""
		if key >= 0 {
			word = r[key]
		}
		v, ok := l.seconds(r[t])
		if before, any := last[word]; ok && any {
			n++
			if v > before {
				rise++
			}
		}
		if ok {
			last[word] = v
		}
	}
	return float64(rise) / float64(max(1, n))
}

// maxKeys bounds how many sensors and channels one file may name.
const maxKeys = 64

// knownKey tells whether the cells of a column are words for sides, sites, sensors
// or axes.
func knownKey(s *sheet, i int) bool {
	known := 0
	for _, r := range s.sample {
		if i < len(r) {
			if h := readHeading(r[i]); h.side != SideUnknown || h.site != SiteUnknown || h.acc || h.gyr || axisOf(fold(r[i])) > 0 {
				known++
			}
		}
	}
	return known*2 > len(s.sample)
}
