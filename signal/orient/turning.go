package orient

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// Turning is a way in which a gyroscope's columns can be meant: the rate about
// the accelerometer's axis k is Factor[k] times that of column Axis[k].
type Turning struct {
	Axis   [3]int
	Factor [3]float64
}

// asRecorded is the columns as they stand. It is never written.
var asRecorded = Turning{Axis: [3]int{0, 1, 2}, Factor: [3]float64{1, 1, 1}}

// The constants of the comparison of gyroscope and accelerometer. Own choices,
// set on simulated recordings (seeds below 50000) and on the open walks and runs:
// as they stand, the columns of those drift by 0.2 to 1.3 m/s².
const (
	turningFewest = 5   // strides that are worth a comparison
	turningMost   = 20  // strides that are compared
	turningDrift  = 1.5 // m/s²: less than this is taken as it stands
	turningFits   = 2.0 // m/s²: a way that fits drifts by this at most,
	turningBetter = 0.5 // and by this share of what the columns drift by as they stand
)

// drifts are the strides on which the ways are compared.
type drifts struct {
	s        *aligner
	pairs    [][2]int // stances at both ends
	up, bias [3]float64
}

// median is the median drift, m/s², of the columns read in one way.
func (d drifts) median(w Turning) float64 {
	all := make([]float64, len(d.pairs))
	for i, p := range d.pairs {
		_, left := d.s.travel(p[0], p[1], d.up, d.bias, w)
		all[i] = d.s.drift(left, p[0], p[1])
	}
	return middle(all)
}

// drift is the speed, m/s, that strap-down integration leaves at the end of a
// stride, where the foot rests again, over its time, in m/s².
func (s *aligner) drift(left [3]float64, from, to int) float64 {
	return norm3(left) * s.rate / float64(to-from)
}

// middle is the upper median of x, which it sorts; NaN of nothing.
func middle(x []float64) float64 {
	if len(x) == 0 {
		return math.NaN()
	}
	slices.Sort(x)
	return x[len(x)/2]
}

// turning compares the ways in which the gyroscope can be meant and notes in a
// the one that fits a good deal better than the columns as they stand.
func (s *aligner) turning(a *Alignment, stances []int, up [3]float64) {
	if !(a.Drift >= turningDrift) {
		return
	}
	d := drifts{s: s, pairs: s.strides(stances), up: up, bias: a.Bias}
	if len(d.pairs) < turningFewest {
		return
	}
	least := min(turningFits, turningBetter*d.median(asRecorded))
	for _, w := range otherTurnings() {
		if drift := d.median(w); drift < least {
			a.Other, a.OtherDrift, least = &w, drift, drift
		}
	}
}

// strides returns stances that follow each other within a stride, spread over
// the recording where there are many.
func (s *aligner) strides(stances []int) [][2]int {
	var all [][2]int
	for j := 1; j < len(stances); j++ {
		if float64(stances[j]-stances[j-1])/s.rate <= alignMaxStride {
			all = append(all, [2]int{stances[j-1], stances[j]})
		}
	}
	if len(all) <= turningMost {
		return all
	}
	out := make([][2]int, turningMost)
	for i := range out {
		out[i] = all[i*len(all)/turningMost]
	}
	return out
}

// otherTurnings are the ways that are tried: every order and direction of the
// axes, and half and twice the rate, as a wrong range or sampling rate gives.
func otherTurnings() []Turning {
	var out []Turning
	for _, axis := range [][3]int{{0, 1, 2}, {0, 2, 1}, {1, 0, 2}, {1, 2, 0}, {2, 0, 1}, {2, 1, 0}} {
		for signs := range 8 {
			w := Turning{Axis: axis}
			for k := range 3 {
				w.Factor[k] = 1 - 2*float64(signs>>k&1)
			}
			out = append(out, w)
		}
	}
	out[0] = Turning{asRecorded.Axis, [3]float64{0.5, 0.5, 0.5}} // instead of the columns as they stand
	return append(out, Turning{asRecorded.Axis, [3]float64{2, 2, 2}})
}

// biasOf returns the bias of the columns, rad/s, in the order in which they are
// read.
func (w Turning) biasOf(bias [3]float64) [3]float64 {
	return [3]float64{bias[w.Axis[0]], bias[w.Axis[1]], bias[w.Axis[2]]}
}

// turningDoubt says that the columns do not fit as they stand, and which way does.
func (a *Alignment) turningDoubt() string {
	return fmt.Sprintf("the gyroscope does not turn as the accelerometer asks for: from rest to rest the foot would gain %.1f m/s each second, "+
		"but %.1f with %s; check axes, signs, unit and sampling rate of the export, or say by hand which column holds what (docs/csv.md)",
		a.Drift, a.OtherDrift, a.Other)
}

// String says the way in the words of a file of columns.
func (w Turning) String() string {
	if w.Axis == asRecorded.Axis && w.Factor[0] > 0 && w.Factor[0] == w.Factor[1] && w.Factor[1] == w.Factor[2] {
		return fmt.Sprintf("all rates times %g", w.Factor[0])
	}
	var parts []string
	for k, axis := range w.Axis {
		if sign := w.Factor[k]; axis != k || sign < 0 {
			parts = append(parts, fmt.Sprintf("gyr_%c = %sgyr_%c", 'x'+k, map[bool]string{true: "-", false: ""}[sign < 0], 'x'+axis))
		}
	}
	return strings.Join(parts, ", ")
}
