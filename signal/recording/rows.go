package recording

import (
	"bytes"
	"errors"
	"io"
	"math"

	"setdown/signal/decimal"
)

// row is one sample of one feed as it stands in the file.
type row struct {
	line int
	// t is s; NaN only when the feed counts rows.
	t float64
	// v holds acc x, y, z in m/s² and gyr x, y, z in rad/s; NaN where missing.
	v [6]float64
	// missing has VoidAcc and VoidGyr where a cell has no value.
	missing Void
}

// errStop ends a pass early without being an error.
var errStop = errors.New("stop")

// The meaning of a column on the fast path; 0 to 5 are channels.
const (
	actSkip int8 = -1
	actTime int8 = 6
)

// decoder reads the rows of one feed.
type decoder struct {
	*feed
	l     *lineReader
	tally *tally
	acts  []int8
	fast  bool
	block block
	cells [][]byte
	row   row
	rows  int
	key   []byte
	// next are the rows that quick has read and that are not yet handed on, n of
	// them.
	next batch
	n    int
	// part is the row of a long table whose channels come line by line.
	part   row
	filled uint8
	// stampBefore is the last stamp read, s, for rows that belong to its packet.
	stampBefore float64
	// Of a time told by steps: the sum so far, s, whether a row was read, and the last
	// line that could not be.
	elapsed float64
	begun   bool
	broken  int
	// title is the last line left out that names another sensor; 0 where there is none.
	title   int
	bad     int
	badLine int
	badWhy  string
	// plain is where the rows end that quick has read and that were taken, before
	// the first line that it could not read.
	plain place
	mixed bool // there was such a line
}

// place is where the rows of a feed can be read on from.
type place struct {
	// offset is in bytes of text; lines and rows count what stands before.
	offset int64
	lines  int
	rows   int
	// end tells that nothing comes after it.
	end bool
}

// rowsOf reads the feed's rows and hands each to use. An error of use ends the
// reading and is returned, but errStop is returned as nil.
func (f *feed) rowsOf(t *tally, use sink) error {
	_, err := f.rowsFrom(place{}, t, use)
	return err
}

// rowsFrom is as rowsOf from a place on. The place returned is where the first
// plain rows end: before a line that is none, or where the reading ended.
func (f *feed) rowsFrom(from place, t *tally, use sink) (plain place, err error) {
	r, err := f.f.openAt(from.offset)
	if err != nil {
		return plain, err
	}
	defer r.Close()
	l := newLineReader(r, f.f.name, f.f.eol)
	l.base, l.line = from.offset, from.lines
	d := newDecoder(f, l, t)
	d.rows = from.rows
	err = d.read(use)
	if !d.mixed {
		d.plain.end = err == nil
	}
	if err == errStop {
		err = nil
	}
	return d.plain, err
}

func newDecoder(f *feed, l *lineReader, t *tally) *decoder {
	d := &decoder{feed: f, l: l, tally: t}
	d.next.t, d.next.ends = make([]float64, batchRows), make([]int64, batchRows)
	for c := range f.col {
		if f.col[c] >= 0 {
			d.next.v[c] = make([]float64, batchRows)
		}
	}
	d.fast = len(f.keys) == 0 && f.s.labels == nil && f.s.delim != ' ' && f.value < 0 &&
		(f.time.kind == timeNone || f.time.kind == timeNumber && f.time.base == 0 && f.time.sub < 0 && !f.time.carry && !f.time.steps)
	last := f.time.col
	for _, c := range f.col {
		last = max(last, c)
	}
	d.acts = make([]int8, last+1)
	for i := range d.acts {
		d.acts[i] = actSkip
	}
	for i, c := range f.col {
		if c >= 0 {
			d.acts[c] = int8(i)
		}
	}
	if f.time.kind == timeNumber {
		d.acts[f.time.col] = actTime
	}
	for i := range d.row.v {
		d.row.v[i] = math.NaN()
	}
	d.part.v, d.stampBefore = d.row.v, math.NaN()
	return d
}

// read reads to the end of the file.
func (d *decoder) read(use sink) error {
	for {
		if d.fast {
			d.together()
		}
		if d.n == batchRows {
			if err := d.hand(use); err != nil {
				return err
			}
			continue
		}
		line, err := d.l.next()
		if err == nil && d.l.line < d.s.first {
			continue
		}
		if err == nil && d.fast && d.quick(line) {
			continue
		}
		if err := d.hand(use); err != nil {
			return err
		}
		if err == io.EOF {
			return d.end(use)
		}
		if err != nil {
			return err
		}
		d.mixed = true
		ok, err := d.slow(line)
		if ok && err == nil {
			err = use.row(&d.row)
		}
		if err != nil {
			return err
		}
	}
}

// hand hands on the rows that quick has read.
func (d *decoder) hand(use sink) error {
	if d.n == 0 {
		return nil
	}
	b := d.next.part(0, d.n)
	used, err := use.batch(&b)
	if !d.mixed {
		d.plain = place{offset: d.next.ends[used-1], lines: b.line + used - 1, rows: d.rows - d.n + used}
	}
	d.n = 0
	return err
}

// end gives out what is left of a long table and judges the bad lines.
func (d *decoder) end(use sink) error {
	if d.filled != 0 {
		d.row = d.part
		d.row.missing = d.lack()
		d.filled = 0
		if err := use.row(&d.row); err != nil {
			return err
		}
	}
	if d.bad > 10 && d.bad > d.rows/20 {
		return fault(d.f.name, d.badLine, "%s; so have %d of %d lines", d.badWhy, d.bad, d.bad+d.rows).
			hint("the file is damaged, or it is not a plain table; see setdown inspect %s", d.f.name)
	}
	return nil
}

// quick reads a line that is nothing but plain numbers where it matters; false
// leaves the line to slow.
func (d *decoder) quick(line []byte) bool {
	i, delim, dec := 0, d.s.delim, d.s.decimal
	b, n := &d.next, d.n
	for col, act := range d.acts {
		if col > 0 {
			if i >= len(line) || line[i] != delim {
				return false
			}
			i++
		}
		if act == actSkip {
			j := bytes.IndexByte(line[i:], delim)
			if j < 0 {
				j = len(line) - i
			}
			i += j
			continue
		}
		v, end, ok := decimal.Scan(line, i, dec)
		if !ok {
			return false
		}
		i = end
		if act == actTime {
			b.t[n] = v*d.time.mul/d.time.div + d.time.shift
		} else {
			b.v[act][n] = v * d.scale[act]
		}
	}
	if i < len(line) && (line[i] != delim || bytes.Count(line[i:], []byte{delim}) != d.s.columns-len(d.acts)) || i == len(line) && len(d.acts) != d.s.columns {
		return false
	}
	if n == 0 {
		b.line = d.l.line
	}
	if d.time.kind == timeNone {
		b.t[n] = d.rowTime()
	}
	b.ends[n] = d.l.offset()
	d.rows++
	d.n++
	return true
}

// rowTime is the time of the next row where the file has none, s.
func (d *decoder) rowTime() float64 { return float64(d.rows)/d.time.div + d.time.shift }

// count numbers the row and gives it a time when the file has none.
func (d *decoder) count() {
	d.row.line = d.l.line
	if d.time.kind == timeNone {
		d.row.t = d.rowTime()
	}
	d.rows++
}
