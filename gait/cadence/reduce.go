package cadence

import (
	"math"

	"setdown/signal/recording"
)

// leastReduced is the lowest rate, Hz, to which motion is reduced: steps come
// at up to 4 a second and are timed by their shape, to a part of a sample.
const leastReduced = 80

// Motion is one gap-free span of motion, reduced to what shows a rhythm.
type Motion struct {
	// Rate is samples a second, Start the time of sample 0, s.
	Rate, Start float64
	// Acc holds the axes of the specific force that the sensor has, m/s²; Gyr
	// those of the angular rate, rad/s, or nothing.
	Acc, Gyr [][]float64
	// Size is the mean size of the specific force, m/s², and Low and High its
	// smallest and largest size, in each reduced sample. Without all three axes
	// they are the size of what is there.
	Size, Low, High []float64
}

// Len returns the number of samples.
func (m *Motion) Len() int { return len(m.Size) }

// Time returns the time of the fractional sample i, s.
func (m *Motion) Time(i float64) float64 { return m.Start + i/m.Rate }

// Reducer gathers the blocks of one track into spans of reduced motion: means
// over as many samples as leave at least 80 a second. What it keeps grows by
// about 25 MB with each hour of recording.
type Reducer struct {
	rate   float64
	factor int
	spans  []*Motion
	span   int
	n      int // samples in the group under way
	acc    [3]float64
	gyr    [3]float64
	size   float64
	low    float64
	high   float64
}

// NewReducer returns a reducer for samples at rate Hz.
func NewReducer(rate float64) *Reducer {
	return &Reducer{rate: rate, factor: max(1, int(rate/leastReduced)), span: -1}
}

// Push takes the next block. Blocks must come in order. An axis whose first
// sample is NaN counts as absent.
func (r *Reducer) Push(b *recording.Block) {
	if b.Len() == 0 {
		return
	}
	if b.Span != r.span {
		r.begin(b)
	}
	m := r.spans[len(r.spans)-1]
	acc, gyr := present(b.Acc), present(b.Gyr)
	for i := range b.Void {
		sum := 0.0
		for k, x := range acc {
			r.acc[k] += x[i]
			sum += x[i] * x[i]
		}
		for k, x := range gyr {
			r.gyr[k] += x[i]
		}
		size := math.Sqrt(sum)
		r.size += size
		r.low, r.high = math.Min(r.low, size), math.Max(r.high, size)
		if r.n++; r.n == r.factor {
			r.put(m)
		}
	}
}

// begin starts a span.
func (r *Reducer) begin(b *recording.Block) {
	r.span = b.Span
	m := &Motion{Rate: r.rate / float64(r.factor), Start: b.Start + float64(r.factor-1)/2/r.rate}
	m.Acc = make([][]float64, len(present(b.Acc)))
	m.Gyr = make([][]float64, len(present(b.Gyr)))
	r.spans = append(r.spans, m)
	r.clear()
}

func (r *Reducer) clear() {
	r.n, r.acc, r.gyr, r.size = 0, [3]float64{}, [3]float64{}, 0
	r.low, r.high = math.Inf(1), 0
}

// put ends a group of samples.
func (r *Reducer) put(m *Motion) {
	n := float64(r.n)
	for k := range m.Acc {
		m.Acc[k] = append(m.Acc[k], r.acc[k]/n)
	}
	for k := range m.Gyr {
		m.Gyr[k] = append(m.Gyr[k], r.gyr[k]/n)
	}
	m.Size, m.Low, m.High = append(m.Size, r.size/n), append(m.Low, r.low), append(m.High, r.high)
	r.clear()
}

// Spans returns what was gathered; samples of a last group that is not full are
// left out.
func (r *Reducer) Spans() []*Motion { return r.spans }

// present lists the axes that hold numbers.
func present(x [3][]float64) [][]float64 {
	var out [][]float64
	for _, v := range x {
		if len(v) > 0 && !math.IsNaN(v[0]) {
			out = append(out, v)
		}
	}
	return out
}
