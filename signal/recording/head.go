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
	// room is made for them, with reserveSeconds to spare, but for no more than
	// reserveTimes as many as were read: stamps may be wrong.
	reserveRows    = 512
	reserveSeconds = 3
	reserveTimes   = 16
	// digestEvery is every how many values one goes into the digest, which only
	// has to tell most recordings apart: where it does not, the files are compared.
	digestEvery = 61
)

// head is the first part of a feed, on which everything is decided.
type head struct {
	*space // t and v are the stamps, s, and the channels
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
	// rests tells that the accelerometer is known to rest somewhere.
	rests bool
	// bursts are those of a sensor that has stamps of its own; nil for others.
	bursts []float64
	// plain is where the rows end that stand in the file one a line and are all
	// in t and v.
	plain place
}

// readHead reads a feed until DecideSeconds of movement, into space that no other
// head needs any more. The channels are not yet scaled.
func readHead(f *feed, into *space) (*head, error) {
	h := &head{whole: true, space: into}
	h.t = h.t[:0]
	for c := range h.v {
		if h.v[c] = h.v[c][:0]; f.col[c] < 0 {
			h.v[c] = nil
		}
	}
	r := headReader{head: h, f: f, first: math.NaN(), full: reserveRows}
	if f.axes(0) == 0 {
		r.from = 3
	}
	plain, err := f.rowsFrom(place{}, nil, &r)
	h.moving, h.plain = r.seconds, plain
	return h, err
}

// headReader takes the rows of a head until there is enough movement.
type headReader struct {
	*head
	movement
	f     *feed
	first float64 // the first stamp, s
	full  int     // the rows after which room is made for more
}

func (r *headReader) row(in *row) error {
	if in.missing != 0 {
		r.rows++
		return nil
	}
	b := batch{t: []float64{in.t}}
	for c := range b.v {
		if r.f.col[c] >= 0 {
			b.v[c] = in.v[c : c+1]
		}
	}
	_, err := r.batch(&b)
	return err
}

func (r *headReader) batch(b *batch) (used int, err error) {
	used, err = r.enough(b)
	r.rows += used
	r.t = append(r.t, b.t[:used]...)
	for c, v := range b.v {
		if v != nil {
			r.v[c] = append(r.v[c], v[:used]...)
		}
	}
	if len(r.t) >= r.full {
		r.reserve()
	}
	return used, err
}

// enough counts the rows of a batch up to the one that ends the head; errStop
// tells that there is one.
func (r *headReader) enough(b *batch) (int, error) {
	for i, t := range b.t {
		if math.IsNaN(r.first) {
			r.first = t
		}
		a := 0.0
		for _, v := range b.v[r.from : r.from+3] {
			if v != nil {
				a += v[i] * v[i]
			}
		}
		if r.add(t, math.Sqrt(a)) > DecideSeconds || len(r.t)+i+1 >= headRows || math.Abs(t-r.first) > headSeconds {
			r.whole = false
			return i + 1, errStop
		}
	}
	return len(b.t), nil
}

// reserve makes room for DecideSeconds at the rate that the stamps show so far:
// most recordings move from the start.
func (r *headReader) reserve() {
	n := len(r.t)
	most := min(reserveTimes*n, headRows)
	r.full = max(most, n+1)
	seconds := r.t[n-1] - r.t[0]
	if !(seconds > 0) {
		return
	}
	more := int(min(float64(n)/seconds*(DecideSeconds+reserveSeconds), float64(most))) - n
	if more <= 0 {
		return
	}
	r.t = slices.Grow(r.t, more)
	for c := range r.v {
		if r.v[c] != nil {
			r.v[c] = slices.Grow(r.v[c], more)
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

// add takes the time, s, and the size of a row and returns the seconds of movement
// so far.
func (m *movement) add(t, a float64) float64 {
	if m.n == 0 {
		m.begin = t
	}
	m.n++
	m.sum += a
	m.sumSq += a * a
	if dt := t - m.begin; dt >= 1 || dt < 0 {
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
}

// numbers is room for a number a row, which is used again.
func (h *head) numbers() []float64 {
	if cap(h.spare) < len(h.t) {
		h.spare = make([]float64, len(h.t))
	}
	return h.spare[:len(h.t)]
}

// size returns the length of the vector of a sensor (from channel 0 or 3) for
// each row, in room that the next call uses again.
func (h *head) size(from int) []float64 {
	out := h.numbers()
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
