package recording

import (
	"math"
	"math/bits"
	"slices"

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
	// After reserveRows rows it is known how many DecideSeconds will hold, and
	// room is made for them, with reserveSeconds to spare.
	reserveRows    = 512
	reserveSeconds = 3
	// digestEvery is every how many values one goes into the digest, which only
	// has to tell most recordings apart: where it does not, the files are compared.
	digestEvery = 61
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
	// What stays known when the samples are let go: first and last stamp, s, a
	// digest of the values, and whether they look like a foot's.
	begin, end float64
	digest     uint64
	foot       bool
	room       []float64 // for size
	// plain is where the rows end that stand in the file one a line and are all
	// in t and v.
	plain place
}

// readHead reads a feed until DecideSeconds of movement, into the room that
// another head has left. The channels are not yet scaled.
func readHead(f *feed, left *head) (*head, error) {
	h := &head{whole: true}
	if left != nil {
		h.t, h.room, left.t, left.room = left.t[:0], left.room, nil, nil
		for c := range h.v {
			h.v[c], left.v[c] = left.v[c][:0], nil
		}
	}
	m := movement{}
	if f.axes(0) == 0 {
		m.from = 3
	}
	first := math.NaN()
	plain, err := f.rowsFrom(place{}, nil, func(r *row) error {
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
		if len(h.t) == reserveRows {
			h.reserve()
		}
		if m.add(r, f) > DecideSeconds || len(h.t) >= headRows || math.Abs(r.t-first) > headSeconds {
			h.whole = false
			return errStop
		}
		return nil
	})
	h.moving, h.plain = m.seconds, plain
	return h, err
}

// reserve makes room for DecideSeconds at the rate that the stamps show so far:
// most recordings move from the start.
func (h *head) reserve() {
	seconds := h.t[len(h.t)-1] - h.t[0]
	if !(seconds > 0) {
		return
	}
	rows := int(min(float64(len(h.t))/seconds*(DecideSeconds+reserveSeconds), headRows))
	h.t = slices.Grow(h.t, max(0, rows-len(h.t)))
	for c := range h.v {
		if h.v[c] != nil {
			h.v[c] = slices.Grow(h.v[c], max(0, rows-len(h.v[c])))
		}
	}
}

// movement counts the seconds in which a sensor moves.
type movement struct {
	from       int // first channel of the sensor that is looked at
	seconds    float64
	begin      float64
	n          int
	sum, sumSq float64
}

// add takes a row and returns the seconds of movement so far.
func (m *movement) add(r *row, f *feed) float64 {
	a := 0.0
	for c := m.from; c < m.from+3; c++ {
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

// settle notes what is asked for later, so that the samples can go.
func (h *head) settle() {
	h.begin, h.end = h.t[0], h.t[len(h.t)-1]
	for c := range h.v {
		for i := 0; i < len(h.v[c]); i += digestEvery {
			h.digest = bits.RotateLeft64(h.digest, 5)*0x9e3779b97f4a7c15 ^ math.Float64bits(h.v[c][i])
		}
	}
	h.foot = looksLikeFoot(h)
}

// size returns the length of the vector of a sensor (from channel 0 or 3) for
// each row, in room that the next call uses again.
func (h *head) size(from int) []float64 {
	if cap(h.room) < len(h.t) {
		h.room = make([]float64, len(h.t))
	}
	out := h.room[:len(h.t)]
	x, y, z := h.v[from], h.v[from+1], h.v[from+2]
	if len(x) == len(out) && len(y) == len(out) && len(z) == len(out) {
		for i := range out {
			out[i] = math.Sqrt(x[i]*x[i] + y[i]*y[i] + z[i]*z[i])
		}
		return out
	}
	clear(out)
	for _, v := range [][]float64{x, y, z} {
		for i, x := range v {
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
