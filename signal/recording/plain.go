package recording

import (
	"bufio"
	"io"
	"strconv"

	"setdown/signal/remark"
)

// PlainHeader is the heading of the plain dialect: base units, one sensor.
const PlainHeader = "time_s,acc_x_m_s2,acc_y_m_s2,acc_z_m_s2,gyr_x_rad_s,gyr_y_rad_s,gyr_z_rad_s"

// PlainWriter writes samples in the plain dialect, which Open reads back to the
// same numbers.
type PlainWriter struct {
	w    *bufio.Writer
	row  []byte
	rate float64
	head bool
}

// NewPlainWriter writes samples at rate Hz to w. Flush must be called at the end.
func NewPlainWriter(w io.Writer, rate float64) *PlainWriter {
	return &PlainWriter{w: bufio.NewWriterSize(w, 64<<10), rate: rate}
}

// Block writes the samples of a block; an absent axis becomes an empty cell.
func (p *PlainWriter) Block(b *Block) error {
	for i := range b.Void {
		row := p.start(b.Start + float64(b.First+i)/p.rate)
		for _, v := range [6][]float64{b.Acc[0], b.Acc[1], b.Acc[2], b.Gyr[0], b.Gyr[1], b.Gyr[2]} {
			row = append(row, ',')
			if v != nil {
				row = strconv.AppendFloat(row, v[i], 'g', -1, 64)
			}
		}
		if err := p.end(row); err != nil {
			return err
		}
	}
	return nil
}

// Sample writes one sample at t s: acc in m/s², gyr in rad/s.
func (p *PlainWriter) Sample(t float64, acc, gyr [3]float64) error {
	row := p.start(t)
	for _, v := range [6]float64{acc[0], acc[1], acc[2], gyr[0], gyr[1], gyr[2]} {
		row = append(row, ',')
		row = strconv.AppendFloat(row, v, 'g', -1, 64)
	}
	return p.end(row)
}

// start begins a line, after the heading where it is the first.
func (p *PlainWriter) start(t float64) []byte {
	row := p.row[:0]
	if !p.head {
		row = append(row, PlainHeader...)
		row = append(row, '\n')
		p.head = true
	}
	return strconv.AppendFloat(row, t, 'g', -1, 64)
}

func (p *PlainWriter) end(row []byte) error {
	row = append(row, '\n')
	p.row = row
	_, err := p.w.Write(row)
	return err
}

// Flush writes out what is buffered.
func (p *PlainWriter) Flush() error { return p.w.Flush() }

// WritePlain writes a whole track in the plain dialect: gaps stay gaps, filled
// samples are written as they were filled. What was found on the way is added
// to rs.
func WritePlain(w io.Writer, t *Track, rs *remark.List) error {
	p := NewPlainWriter(w, t.Rate)
	if _, err := t.Read(rs, p.Block); err != nil {
		return err
	}
	return p.Flush()
}
