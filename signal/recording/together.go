package recording

import "setdown/signal/decimal"

// Limits of the rows that are read together.
const (
	// togetherColumns is how many columns a table may have for it.
	togetherColumns = 32
	// togetherRest is the most lines that are read one by one after some that could
	// not be read with others: a table with a long number in each row is not read
	// twice.
	togetherRest = 256
	// cellBytes is the longest cell that decimal.Rows reads, with what ends it.
	cellBytes = 16
)

// block is room for rows that are read together.
type block struct {
	numbers []float64 // row after row
	ends    []int
	// rest counts the lines that are left to be read one by one, pause those that
	// were left so the last time: twice as many each time, until lines can be read.
	rest, pause int
}

// together reads the lines that stand in the buffer just as quick does one by one,
// as many as there is room for in next and up to the first that decimal.Rows
// cannot read.
func (d *decoder) together() {
	k := &d.block
	if k.rest > 0 {
		k.rest--
		return
	}
	columns := d.s.columns
	if d.n == batchRows || columns > togetherColumns || columns < len(d.acts) || d.l.line+1 < d.s.first {
		return
	}
	if k.ends == nil {
		k.numbers, k.ends = make([]float64, columns*batchRows), make([]int, batchRows)
	}
	text := d.l.buf[d.l.a:d.l.b]
	n := decimal.Rows(text, columns, d.s.delim, d.s.decimal, d.l.eol, k.numbers, k.ends[:batchRows-d.n])
	if n == 0 {
		if len(text) > cellBytes*(columns+2) {
			k.pause = min(2*k.pause+1, togetherRest)
			k.rest = k.pause
		}
		return
	}
	k.pause = 0
	if d.n == 0 {
		d.next.line = d.l.line + 1
	}
	d.share(n)
	at := d.l.offset()
	for i, end := range k.ends[:n] {
		d.next.ends[d.n+i] = at + int64(end)
		if d.time.kind == timeNone {
			d.next.t[d.n+i] = d.rowTime()
		}
		d.rows++
	}
	d.n += n
	d.l.skip(n, k.ends[n-1])
}

// share puts the numbers of n rows, column by column, behind those in next.
func (d *decoder) share(n int) {
	columns := d.s.columns
	for col, act := range d.acts {
		from := d.block.numbers[col:]
		switch act {
		case actSkip:
		case actTime:
			for i, t := 0, d.next.t[d.n:d.n+n]; i < n; i++ {
				t[i] = from[i*columns]*d.time.mul/d.time.div + d.time.shift
			}
		default:
			scale := d.scale[act]
			for i, v := 0, d.next.v[act][d.n:d.n+n]; i < n; i++ {
				v[i] = from[i*columns] * scale
			}
		}
	}
}
