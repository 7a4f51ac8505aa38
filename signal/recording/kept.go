package recording

// Limits of the rows that are kept from opening to reading: the channels of a pair
// of feet, in one file or several alike. What is larger is read twice.
const (
	keepChannels = 12
	keepRows     = 150_000
)

// kept are the first rows of a feed, in base units, one a line of the file.
type kept struct {
	batch
	next place // where reading goes on
}

// channels counts the channels of all sensors of the table.
func (l *layout) channels() int {
	n := 0
	for _, d := range l.drafts {
		for _, f := range d.feeds {
			n += f.axes(0) + f.axes(3)
		}
	}
	return n
}

// keep keeps the rows of a head for the first reading; false when they are not to
// be kept.
func (f *feed) keep(h *head) bool {
	n := h.plain.rows
	if n == 0 || len(h.t) > keepRows || f.time.shift != 0 || f.lost.any {
		return false
	}
	f.kept.Store(&kept{batch{line: h.plain.lines - n + 1, t: h.t[:n], v: h.v}, h.plain})
	return true
}

// rowsOnce reads the feed's rows as rowsOf does. Those that were kept are not read
// again, and w may have their room.
func (f *feed) rowsOnce(t *tally, w *blockWriter, use sink) error {
	k := f.kept.Swap(nil)
	if k == nil || f.time.shift != 0 { // the stamps were moved since
		return f.rowsOf(t, use)
	}
	w.lend(k.v)
	if err := k.rows(use); err != nil {
		if err == errStop {
			return nil
		}
		return err
	}
	w.freeAll()
	if k.next.end {
		return nil
	}
	_, err := f.rowsFrom(k.next, t, use)
	return err
}

// rows hands on all rows.
func (k *kept) rows(use sink) error {
	for from := 0; from < len(k.t); from += batchRows {
		to := min(from+batchRows, len(k.t))
		b := k.part(from, to)
		if _, err := use.batch(&b); err != nil {
			return err
		}
	}
	return nil
}
