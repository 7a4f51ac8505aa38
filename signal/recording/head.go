package recording

import (
	"math"

	"setdown/signal/unit"
)

// Limits of what is read to decide.
const (
	// headRows bounds the rows that are kept to decide.
	headRows = 600_000
	// headSeconds is how long, s, a recording that does not move is read to
	// decide.
	headSeconds = 1200
	// moveShare is the spread of the acceleration's size within 1 s, as a share
	// of its mean, from which that second counts as movement. Project's own.
	moveShare = 0.1
)

// head is the first part of a feed, on which everything is decided.
type head struct {
	t []float64
	v [6][]float64
	// moving counts the seconds of movement.
	moving float64
	// whole is true when the head is the whole file.
	whole bool
	rows  int
}

// readHead reads a feed until DecideSeconds of movement. The channels are not
// yet scaled.
func readHead(f *feed) (*head, error) {
	h := &head{whole: true}
	m := movement{}
	first := math.NaN()
	err := f.rowsOf(nil, func(r *row) error {
		h.rows++
		if r.missing != 0 {
			return nil
		}
		if math.IsNaN(first) {
			first = r.t
		}
		h.t = append(h.t, r.t)
		for c := range h.v {
			if f.col[c] >= 0 {
				h.v[c] = append(h.v[c], r.v[c])
			}
		}
		if m.add(r, f) > DecideSeconds || len(h.t) >= headRows || math.Abs(r.t-first) > headSeconds {
			h.whole = false
			return errStop
		}
		return nil
	})
	h.moving = m.seconds
	return h, err
}

// movement counts the seconds in which a sensor moves.
type movement struct {
	seconds    float64
	begin      float64
	n          int
	sum, sumSq float64
}

// add takes a row and returns the seconds of movement so far.
func (m *movement) add(r *row, f *feed) float64 {
	a, from := 0.0, 0
	if f.axes(0) == 0 {
		from = 3
	}
	for c := from; c < from+3; c++ {
		if f.col[c] >= 0 {
			a += r.v[c] * r.v[c]
		}
	}
	a = math.Sqrt(a)
	if m.n == 0 {
		m.begin = r.t
	}
	m.n++
	m.sum += a
	m.sumSq += a * a
	if dt := r.t - m.begin; dt >= 1 || dt < 0 {
		mean := m.sum / float64(m.n)
		if sd := math.Sqrt(max(0, m.sumSq/float64(m.n)-mean*mean)); dt > 0 && dt < 2 && (sd > moveShare*mean) {
			m.seconds += dt
		}
		m.n, m.sum, m.sumSq = 0, 0, 0
	}
	return m.seconds
}

// scale turns a channel of the head into base units.
func (h *head) scale(c int, factor float64) {
	for i := range h.v[c] {
		h.v[c][i] *= factor
	}
}

// size returns the length of the vector of a sensor (from channel 0 or 3) for
// each row.
func (h *head) size(from int) []float64 {
	out := make([]float64, len(h.t))
	for c := from; c < from+3; c++ {
		for i, x := range h.v[c] {
			out[i] += x * x
		}
	}
	for i := range out {
		out[i] = math.Sqrt(out[i])
	}
	return out
}

// gUnits are the units that an acceleration without one may have.
var gUnits = []unit.Unit{unit.MetrePerSecond2, unit.G, unit.MilliG}
