package recording

// Limits of the rows that are kept from opening to reading. A pair of recordings
// is kept; what is larger is read twice.
const (
	keepTracks = 2
	keepRows   = 150_000
)

// kept are the first rows of a feed, in base units, one a line of the file.
type kept struct {
	t    []float64
	v    [6][]float64
	line int   // of the first row
	next place // where reading goes on
}

// keep keeps the rows of a head for the first reading.
func (f *feed) keep(h *head) {
	n := h.plain.rows
	if n == 0 || len(h.t) > keepRows || f.time.shift != 0 {
		return
	}
	f.kept.Store(&kept{t: h.t[:n], v: h.v, line: h.plain.lines - n + 1, next: h.plain})
	h.t, h.v = nil, [6][]float64{}
}

// rowsOnce reads the feed's rows as rowsOf does. Those that were kept are not read
// again, and w may have their room.
func (f *feed) rowsOnce(t *tally, w *blockWriter, use func(*row) error) error {
	k := f.kept.Swap(nil)
	if k == nil || f.time.shift != 0 { // the stamps were moved since
		return f.rowsOf(t, use)
	}
	w.lend(k.v)
	var r row
	for i, at := range k.t {
		r.line, r.t, r.missing = k.line+i, at, 0
		for c := range r.v {
			if k.v[c] != nil {
				r.v[c] = k.v[c][i]
			}
		}
		w.free = i + 1
		if err := use(&r); err != nil {
			if err == errStop {
				return nil
			}
			return err
		}
	}
	w.free = w.room()
	if k.next.end {
		return nil
	}
	_, err := f.rowsFrom(k.next, t, use)
	return err
}
