package recording

import (
	"bytes"
	"math"
	"slices"
	"strings"

	"setdown/signal/remark"
)

// slow reads any line: quotes, empty cells, dates, keys, damage. The first
// result tells whether d.row now holds a row of the feed.
func (d *decoder) slow(line []byte) (bool, error) {
	if len(trim(line)) == 0 || isComment(line) {
		return false, nil
	}
	if bytes.IndexByte(line, 0) >= 0 {
		return false, nulError(d.f.name, d.l.line)
	}
	bad := -1
	d.cells, bad = d.s.split(d.cells[:0], line)
	if !d.fits() {
		return false, d.another(line)
	}
	if bad >= 0 {
		return false, d.mislabelled(bad)
	}
	channel, ok := d.mine()
	if !ok {
		return false, nil
	}
	t, ok, err := d.stamp()
	if err != nil && d.speaks() {
		d.tally.add("line-words", remark.Note, remark.At(d.f.name, d.l.line, math.NaN()), "lines of words without samples, left out: %d")
		return false, d.another(line)
	}
	if err != nil || !ok {
		return false, d.orHeading(err)
	}
	if channel >= 0 {
		return d.gather(channel, t)
	}
	return d.whole(t)
}

// whole reads the channels of a row that has them all. One without any value is none:
// it belongs to another feed, or is left out with a remark.
func (d *decoder) whole(t float64) (bool, error) {
	d.row.t, d.row.missing = t, 0
	empty := true
	for i, c := range d.col {
		if c < 0 {
			continue
		}
		v, err := d.cell(i, c)
		if err != nil {
			return false, d.orHeading(err)
		}
		d.row.v[i] = v
		empty = empty && math.IsNaN(v)
	}
	if empty {
		if !d.sparse {
			d.tally.add("row-empty", remark.Loss, remark.At(d.f.name, d.l.line, t), "rows without any value, left out: %d")
		}
		return false, nil
	}
	d.count()
	d.remarkMissing()
	return true, nil
}

// fits tells whether the line has the table's width; a repeated heading, a
// unit row and a line too short or too long are left out, with a remark.
func (d *decoder) fits() bool {
	n := len(d.cells)
	for n > d.s.columns && len(d.cells[n-1]) == 0 {
		n--
	}
	if n == d.s.columns && !d.isHeading() || n < d.s.columns && d.enough(n) && !d.isHeading() {
		return true
	}
	at := remark.At(d.f.name, d.l.line, math.NaN())
	switch {
	case d.isHeading():
		d.tally.add("heading-again", remark.Note, at, "the heading comes again: %d times")
	case n < d.s.columns && d.l.open:
		d.tally.add("line-cut", remark.Loss, at, "the last line is cut off and was left out")
	case n < d.s.columns:
		d.badAs("has %d cells where the table has %d", n)
		d.broken = d.l.line
		d.tally.add("line-short", remark.Loss, at, "lines with too few cells, left out: %d")
	default:
		d.badAs("has %d cells where the table has %d", n)
		d.broken = d.l.line
		d.tally.add("line-long", remark.Loss, at, "lines with too many cells, left out: %d")
	}
	return false
}

// titleNear is how many lines above a heading its title stands at the most.
const titleNear = 3

// another is the error of a heading that comes again under a line which names another
// sensor: what follows is not of the same foot. A line that stands above the first
// heading too, as where a logger starts again, names the same one.
func (d *decoder) another(line []byte) error {
	if !d.isHeading() {
		if ws := tokens(string(line)); namesOne(ws) && !slices.ContainsFunc(d.s.preamble, func(p string) bool { return slices.Equal(tokens(p), ws) }) {
			d.title = d.l.line
		}
		return nil
	}
	if d.title == 0 || d.l.line-d.title > titleNear {
		return nil
	}
	return fault(d.f.name, d.title, "names another sensor before the heading comes again: what follows is another table").
		hint("split the file before line %d and give both parts, each with its own heading", d.title)
}

// enough tells whether a short line still has every cell that is used, as where
// an export drops empty cells at the end of a line.
func (d *decoder) enough(n int) bool {
	return d.sparse && n > 1 || n >= len(d.acts) && n == d.s.columns-1 && !d.l.open
}

func (d *decoder) badAs(format string, n int) {
	if d.bad++; d.bad == 1 {
		d.badLine, d.badWhy = d.l.line, fault("", 0, format, n, d.s.columns).Msg
	}
}

// isHeading tells whether the line is the heading, or the units row, again.
func (d *decoder) isHeading() bool {
	same := func(names []string) bool {
		return len(names) > 0 && len(names) <= len(d.cells)+1 && slices.EqualFunc(names[:min(len(names), len(d.cells))], d.cells, func(a string, b []byte) bool {
			return strings.TrimSpace(a) == string(b)
		})
	}
	return same(d.s.names) || same(d.s.units)
}

// at returns a cell, or nothing beyond the line's end.
func (d *decoder) at(i int) []byte {
	if i < 0 || i >= len(d.cells) {
		return nil
	}
	return d.cells[i]
}

// mine tells whether the row belongs to the feed, and the channel that its
// value column holds, or −1.
func (d *decoder) mine() (int, bool) {
	if len(d.keys) == 0 {
		return -1, true
	}
	d.key = joinKey(d.key[:0], d.cells, d.keys)
	c, ok := d.match[string(d.key)]
	return c, ok
}

// joinKey joins the key cells of a row.
func joinKey(dst []byte, cells [][]byte, keys []int) []byte {
	for n, k := range keys {
		if n > 0 {
			dst = append(dst, '|')
		}
		if k < len(cells) {
			dst = append(dst, cells[k]...)
		}
	}
	return dst
}

// cell reads a channel's cell; NaN where it says that there is no value.
func (d *decoder) cell(channel, col int) (float64, error) {
	c := d.at(col)
	if isMissing(c) {
		return math.NaN(), nil
	}
	v, ok := parseNumber(c, d.s.decimal)
	if !ok {
		return 0, d.notNumber(col, c, "a number")
	}
	return v * d.scale[channel], nil
}

// speaks tells whether a line holds no sample at all, as a sum or a note at the
// end: every cell of the feed is empty or words.
func (d *decoder) speaks() bool {
	filled := 0
	for i, c := range d.col {
		if cell := d.at(c); c >= 0 && !isMissing(cell) && i != d.value {
			filled++
		}
	}
	return filled == 0 && d.value < 0
}

// notNumber is the error of a cell that cannot be read.
func (d *decoder) notNumber(col int, cell []byte, want string) error {
	if len(cell) > 40 {
		cell = append(slices.Clone(cell[:37]), "..."...)
	}
	e := fault(d.f.name, d.l.line, "%q is not %s", cell, want).column(d.columnName(col))
	other := byte(',')
	if d.s.decimal == ',' {
		other = '.'
	}
	if _, ok := parseNumber(cell, other); ok && want == "a number" {
		if other == ',' {
			return e.hint("the file seems to use decimal commas; see setdown inspect %s", d.f.name)
		}
		return e.hint("the file mixes decimal points and decimal commas; see setdown inspect %s", d.f.name)
	}
	return e.hint("correct or delete line %d, or say with --columns which columns hold what", d.l.line)
}

// orHeading turns the error of a line that cannot be read into that of another
// table's heading, if the line is one: to delete it, as for other lines, would read
// the rows after it by the wrong columns or units.
func (d *decoder) orHeading(err error) error {
	if err == nil || slices.ContainsFunc(d.cells, func(c []byte) bool { return isNumber(c, d.s.decimal) }) || rolesIn(d.cells) < 3 {
		return err
	}
	return fault(d.f.name, d.l.line, "a heading that differs from that in line %d: what follows is another table", d.s.header).
		hint("split the file before line %d and give both parts, each with its own heading", d.l.line)
}

// remarkMissing marks the sensors that lack a cell in this row.
func (d *decoder) remarkMissing() {
	for i, c := range d.col {
		if c >= 0 && math.IsNaN(d.row.v[i]) {
			d.row.missing |= sensorBit(i)
		}
	}
	if d.row.missing != 0 {
		d.tally.add("cell-missing", remark.Loss, remark.At(d.f.name, d.l.line, d.row.t), "rows with cells that are empty, NaN or infinite: %d; the measures that need them are left out")
	}
}

// sensorBit is the void bit of a channel.
func sensorBit(channel int) Void {
	if channel < 3 {
		return VoidAcc
	}
	return VoidGyr
}

// gather collects the channels of one sample from the lines of a long table,
// and gives out the sample when a line of the next one comes or all are there.
func (d *decoder) gather(channel int, t float64) (bool, error) {
	v, err := d.cell(channel, d.value)
	if err != nil || math.IsNaN(v) {
		return false, err
	}
	bit := uint8(1) << channel
	out := false
	if d.filled != 0 && (t != d.part.t || d.filled&bit != 0) {
		d.row = d.part
		d.row.missing = d.lack()
		d.count()
		out, d.filled = true, 0
	}
	if d.filled == 0 {
		for i := range d.part.v {
			d.part.v[i] = math.NaN()
		}
	}
	d.part.t, d.part.line = t, d.l.line
	d.part.v[channel] = v
	d.filled |= bit
	return out, nil
}

// lack returns the sensors of which a channel is missing in the gathered row.
func (d *decoder) lack() Void {
	var out Void
	for i, c := range d.col {
		if c >= 0 && d.filled&(1<<i) == 0 {
			out |= sensorBit(i)
		}
	}
	return out
}
