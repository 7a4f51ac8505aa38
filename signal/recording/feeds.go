package recording

// join makes one feed of accelerometer and gyroscope where they share their
// rows and their time, else two.
func (l *layout) join(d *draft, acc, gyr *feed, accCols, gyrCols []column) {
	one := acc.axes(0) == 0 || gyr.axes(3) == 0 || l.timeFor(d, 0) == l.timeFor(d, 3) && !l.interleaved(acc, gyr)
	if one {
		f := acc
		for i := 3; i < 6; i++ {
			f.col[i] = gyr.col[i]
		}
		f.time.col = l.timeFor(d, 0)
		if acc.axes(0) == 0 {
			f.time.col = l.timeFor(d, 3)
		}
		d.feeds, d.cols = []*feed{f}, [][]column{append(accCols, gyrCols...)}
		return
	}
	acc.time.col, gyr.time.col = l.timeFor(d, 0), l.timeFor(d, 3)
	acc.sparse, gyr.sparse = true, true
	d.feeds, d.cols = []*feed{acc, gyr}, [][]column{accCols, gyrCols}
}

// interleaved tells whether many rows hold only one of the two sensors, each at
// its own times.
func (l *layout) interleaved(acc, gyr *feed) bool {
	only, both := 0, 0
	for _, r := range l.s.sample {
		a, g := filledIn(r, acc.col[:3]), filledIn(r, gyr.col[3:])
		switch {
		case a && g:
			both++
		case a || g:
			only++
		}
	}
	return only > both/2
}

// filledIn tells whether any of the cells has a value.
func filledIn(r []string, cols []int) bool {
	for _, c := range cols {
		if c >= 0 && c < len(r) && !isMissing([]byte(r[c])) {
			return true
		}
	}
	return false
}
