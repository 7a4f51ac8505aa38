package recording

import (
	"slices"
	"strconv"
)

// rawStep is the mean advance of the stamps per row of the feed, in the file's
// units, over the first rows, from the steps that are not holes. Where none of
// the first rows is the feed's own, those of the first row's sensor stand for
// them: one table is written by one clock.
func (l *layout) rawStep(f *feed) float64 {
	t := l.rawStamps(l.s.sample, f, f.match)
	if len(t) < 2 && len(f.keys) > 0 && len(l.s.sample) > 0 {
		t = l.rawStamps(l.s.sample, f, map[string]int{keyOf(l.s.sample[0], f.keys): -1})
	}
	return meanStep(t)
}

// longStep is as rawStep over all rows of the file's first lines, for stamps that
// are rounded so that the first rows share one.
func (l *layout) longStep(f *feed) float64 {
	var rows [][]string
	for _, line := range l.lines[min(len(l.lines), l.s.first-1):] {
		if cells, bad := l.s.split(nil, line); bad < 0 && len(cells) == l.s.columns {
			rows = append(rows, texts(cells))
		}
	}
	return meanStep(l.rawStamps(rows, f, f.match))
}

// meanStep is the mean advance of stamps, from the steps that are not holes; 0 where
// they never advance.
func meanStep(t []float64) float64 {
	d := intervals(t)
	zero := 0
	var pos []float64
	for _, x := range d {
		if x == 0 {
			zero++
		} else if x > 0 {
			pos = append(pos, x)
		}
	}
	if len(pos) == 0 {
		return 0
	}
	slices.Sort(pos)
	return pos[len(pos)/2] * float64(len(pos)) / float64(len(pos)+zero)
}

// rawStamps are the stamps of the rows whose key is in match, in the file's units.
func (l *layout) rawStamps(rows [][]string, f *feed, match map[string]int) []float64 {
	var t []float64
	p := timePlan{mul: 1, div: 1}
	if i := slices.IndexFunc(l.s.sample, func(r []string) bool { return f.time.col < len(r) }); i >= 0 {
		p.base = bigBase([]byte(l.s.sample[i][f.time.col]))
	}
	for _, r := range rows {
		if f.time.col >= len(r) || !f.sampleHas(r) {
			continue
		}
		if len(f.keys) > 0 {
			if ch, ok := match[keyOf(r, f.keys)]; !ok || ch > 0 && ch != 3 {
				continue
			}
		}
		v, ok := p.number([]byte(r[f.time.col]), l.s.decimal)
		switch {
		case ok:
			more, _ := f.time.subSecond(cellsOf(r), l.s.decimal)
			t = append(t, v+more)
		case f.time.carry && len(t) > 0:
			t = append(t, t[len(t)-1])
		}
	}
	return t
}

// keyOf joins the key cells of a sample row.
func keyOf(r []string, keys []int) string {
	return string(joinKey(nil, cellsOf(r), keys))
}

// sampleHas tells whether a sample row has a value for a sparse feed.
func (f *feed) sampleHas(r []string) bool {
	if !f.sparse || len(f.keys) > 0 {
		return true
	}
	return filledIn(r, f.col[:])
}

// bigBase is the whole part of a number that is too big to be subtracted
// without loss as a float64; else 0.
func bigBase(cell []byte) int64 {
	i := 0
	for i < len(cell) && cell[i]-'0' <= 9 {
		i++
	}
	if i < 9 || i > 19 {
		return 0
	}
	v, err := strconv.ParseInt(string(cell[:i]), 10, 64)
	if err != nil {
		return 0
	}
	return v
}
