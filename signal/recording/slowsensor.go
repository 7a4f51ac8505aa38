package recording

// sameRow tells whether rows i−1 and i are equal in the channels from up to to.
func sameRow(v *[6][]float64, i, from, to int) bool {
	for c := from; c < to; c++ {
		if v[c] != nil && v[c][i] != v[c][i-1] {
			return false
		}
	}
	return true
}

// pattern finds a sensor whose values change only every so many rows.
func (p *lostPlan) pattern(f *feed, h *head) {
	for s := range 2 {
		if f.axes(3*s) == 0 {
			continue
		}
		if !mayRepeat(&h.v, len(h.t), 3*s) {
			continue
		}
		k := everyRows(&h.v, len(h.t), 3*s)
		if p.slow[s] = k > 1; k > 1 && k >= p.every {
			p.every, p.from = k, 3*s
			for c := range 3 {
				p.has[c] = f.col[3*s+c] >= 0
			}
		}
	}
}

// mayRepeat tells from some stretches of the rows whether the sensor may stand still
// in half of them.
func mayRepeat(v *[6][]float64, rows, from int) bool {
	const stretches, length = 8, 50
	seen, same := 0, 0
	for s := range stretches {
		for i := max(1, s*rows/stretches); i < min(rows, s*rows/stretches+length); i++ {
			seen++
			if sameRow(v, i, from, from+3) {
				same++
			}
		}
	}
	return 3*same > seen
}

// everyRows returns how many rows each value of the sensor from channel from on
// fills, 1 where that is not nearly always the same number.
func everyRows(v *[6][]float64, rows, from int) int {
	var hist [everyMost + 1]int
	values, last := 0, -1
	for i := 1; i < rows; i++ {
		if sameRow(v, i, from, from+3) {
			continue
		}
		if last >= 0 {
			values++
			if n := i - last; n <= everyMost {
				hist[n]++
			}
		}
		last = i
	}
	k := 1
	for n, count := range hist {
		if count > hist[k] {
			k = n
		}
	}
	kept := 0
	for n := k; n <= everyMost; n += k {
		kept += hist[n]
	}
	if k == 1 || values < everyFew || hist[k]*2 < values || float64(kept) < everyShare*float64(values) {
		return 1
	}
	return k
}
