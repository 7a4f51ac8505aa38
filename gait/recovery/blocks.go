package recovery

import (
	"fmt"
	"math"

	"setdown/gait/diary"
	"setdown/gait/estimate"
	"setdown/signal/recording"
)

// Block is a stretch of one run under one condition, from Start to End s on the
// recording's axis.
type Block struct {
	Label string  `json:"label"`
	Start float64 `json:"start_s"`
	End   float64 `json:"end_s"`
}

// Timed is a step's value of a metric at a time in s; NaN values are left out.
type Timed struct{ Time, Value float64 }

// MinBlocks is how many blocks a comparison of alternating blocks needs: two of
// each condition and one more, so that a drift can be told from the condition.
const MinBlocks = 5

// blockSteps is how many steps a block needs, and blockSettle how many s at the
// start of a block are left out while the runner settles (common practice, no
// source).
const (
	blockSteps  = 10
	blockSettle = 10.0
)

// BlockResult compares two conditions that alternated within one run.
type BlockResult struct {
	// A and B are the labels in order of appearance; Change is B − A.
	A, B   string
	Change Value
	// Medians holds each used block's median, in order of time.
	Medians []float64
	Left    []string // blocks left out, with the reason
	Text    string
}

// CompareBlocks compares alternating blocks (A, B, A, B, …) of one run. Each
// block gives one median; the change is the coefficient c of
//
//	median = a + b·time + c·[is B] + error
//
// by least squares, with Student's t on blocks − 3 degrees of freedom, so that
// a drift through the run is not taken for the condition. The error says what
// the blocks lack.
func CompareBlocks(steps []Timed, blocks []Block) (BlockResult, error) {
	var r BlockResult
	var time, isB, y []float64
	for _, b := range blocks {
		m, n := blockMedian(steps, b)
		switch {
		case n < blockSteps:
			r.Left = append(r.Left, fmt.Sprintf("%s at %.0f s: %d steps after the first %.0f s, %d are needed", b.Label, b.Start, n, blockSettle, blockSteps))
			continue
		case r.A == "":
			r.A = b.Label
		case b.Label != r.A && r.B == "":
			r.B = b.Label
		}
		if b.Label != r.A && b.Label != r.B {
			return r, fmt.Errorf("blocks have more than two conditions: %s, %s and %s", r.A, r.B, b.Label)
		}
		r.Medians = append(r.Medians, m)
		time, y = append(time, (b.Start+b.End)/2), append(y, m)
		isB = append(isB, map[bool]float64{true: 1}[b.Label == r.B])
	}
	if r.B == "" || len(y) < MinBlocks {
		return r, fmt.Errorf("%d usable blocks of %d; alternating blocks need %d or more, two conditions in turn, a minute or longer each", len(y), len(blocks), MinBlocks)
	}
	r.Change = blockChange(time, isB, y)
	verb := "no difference shown between"
	if r.Change.Low > 0 || r.Change.High < 0 {
		verb = "a difference was shown between"
	}
	r.Text = fmt.Sprintf("%s %s and %s in %d blocks; a comparison, not a cause", verb, r.A, r.B, len(y))
	return r, nil
}

func blockMedian(steps []Timed, b Block) (float64, int) {
	var xs []float64
	for _, s := range steps {
		if s.Time >= b.Start+blockSettle && s.Time < b.End && !math.IsNaN(s.Value) {
			xs = append(xs, s.Value)
		}
	}
	if len(xs) < blockSteps {
		return math.NaN(), len(xs)
	}
	return estimate.Median(xs), len(xs)
}

// blockChange is the coefficient of isB beside a line in time.
func blockChange(time, isB, y []float64) Value {
	one := make([]float64, len(y))
	for i := range one {
		one[i] = 1
	}
	t, u, e := clone(time), clone(isB), clone(y)
	project(t, one)
	for _, col := range [][]float64{one, t} {
		project(u, col)
		project(e, col)
	}
	uu, ue := 0.0, 0.0
	for i := range u {
		uu, ue = uu+u[i]*u[i], ue+u[i]*e[i]
	}
	c := ue / uu
	q := 0.0
	for i := range e {
		d := e[i] - c*u[i]
		q += d * d
	}
	df := float64(len(y) - 3)
	half := studentQuantile(df) * math.Sqrt(q/df/uu)
	return Value{N: len(y), Center: Real(c), Low: Real(c - half), High: Real(c + half), Method: "least squares on block medians beside a line in time; interval by Student's t"}
}

func clone(x []float64) []float64 { return append([]float64(nil), x...) }

// SwapResult splits a side difference into the foot's and the sensor's part.
type SwapResult struct {
	// Foot is what goes with the foot, Sensor what goes with the sensor; both
	// left − right.
	Foot, Sensor Value
	Text         string
}

// SwapPair finds the newest session with swapped sensors and the newest of its
// day without; either is nil where there is none.
func SwapPair(sessions []Session) (normal, swapped *Session) {
	for i := range sessions {
		if sessions[i].Conditions.SensorsSwapped == diary.Yes {
			swapped = &sessions[i]
		}
	}
	for i := range sessions {
		if s := &sessions[i]; swapped != nil && s.Date == swapped.Date && s.Conditions.SensorsSwapped != diary.Yes {
			normal = s
		}
	}
	return normal, swapped
}

// SwapCheck splits the side difference of a metric by two sessions of one day,
// one with each sensor on its own foot and one with the sensors swapped:
//
//	foot = (normal + swapped)/2,   sensor = (normal − swapped)/2,
//
// where both differences are left foot − right foot. Intervals add the two
// sessions' half-widths in quadrature, and what putting sensors on again makes
// of itself: swapping them is that, so without it a fit would pass for a
// sensor. Its SD is the refitting share of DefaultSD, with Student's t on
// DefaultDF degrees of freedom. The error says what is missing.
func SwapCheck(normal, swapped Session, key string) (SwapResult, error) {
	a, b := normal.Measures[key].minus(recording.Left), swapped.Measures[key].minus(recording.Left)
	switch {
	case normal.Date != swapped.Date:
		return SwapResult{}, fmt.Errorf("the sessions are of %s and %s; a swap check needs both on one day", normal.Date, swapped.Date)
	case !a.known() || !b.known():
		return SwapResult{}, fmt.Errorf("one of the sessions has no side difference of this measure")
	}
	fit := studentQuantile(DefaultDF) * math.Sqrt(refitShare/2) * DefaultSD * sidesLevel(key, normal, swapped)
	half := math.Hypot(math.Hypot(float64(a.High-a.Low), float64(b.High-b.Low))/4, fit)
	part := func(c Real) Value {
		return Value{N: min(a.N, b.N), Center: c, Low: c - Real(half), High: c + Real(half),
			Method: "half sum or half difference of two sessions; half-widths of the sessions and of putting sensors on again in quadrature"}
	}
	r := SwapResult{Foot: part((a.Center + b.Center) / 2), Sensor: part((a.Center - b.Center) / 2)}
	foot, sensor := r.Foot.Low > 0 || r.Foot.High < 0, r.Sensor.Low > 0 || r.Sensor.High < 0
	switch {
	case foot && !sensor:
		r.Text = "the difference stays with the foot when the sensors are swapped: it is not the sensor's"
	case sensor && !foot:
		r.Text = "the difference goes with the sensor when the sensors are swapped: fasten or check the sensors before anything is read from it"
	case foot && sensor:
		r.Text = "part of the difference stays with the foot and part goes with the sensor"
	default:
		r.Text = "no difference was shown that stays with the foot or goes with the sensor; two minutes more of each would narrow it"
	}
	return r, nil
}

// sidesLevel is the mean size of a metric over the sides of sessions.
func sidesLevel(key string, sessions ...Session) float64 {
	sum, n := 0.0, 0.0
	for _, s := range sessions {
		m := s.Measures[key]
		for _, v := range []Value{m.Left, m.Right} {
			if v.known() {
				sum, n = sum+math.Abs(float64(v.Center)), n+1
			}
		}
	}
	return sum / n
}
