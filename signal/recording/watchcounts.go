package recording

import (
	"math"
	"slices"
	"strings"

	"setdown/signal/unit"
)

// Rules for telling what a watch's step rate counts. A step rate that fits the
// speed decides; the ranges are wide versions of those of adult walking and
// running (common practice, no source; running from check-values: 155–203).
const (
	runSpeed                = 2.0 // m/s; above it people run
	walkStepsLow, walkSteps = 70, 145
	runStepsLow, runSteps   = 130, 240
	stepsOnly               = 130 // per min; nobody makes that many strides
)

// kmhFrom is the median speed without a unit from which it is km/h: nobody keeps
// up 7 m/s.
const kmhFrom = 7

// speedFactors are the factors to m/s that the speed may have; none without a speed.
func (w *watch) speedFactors() []float64 {
	switch {
	case w.speed == nil:
		return nil
	case w.speed.stated:
		return []float64{w.speed.unit.Factor}
	case middle(w.c.Speed) > kmhFrom:
		return []float64{unit.KilometrePerHour.Factor}
	}
	return []float64{1, unit.KilometrePerHour.Factor}
}

// counts decides how many steps one count stands for: stated, given by the
// user, told by the speed, or asked for.
func (w *watch) counts(l *layout, given CadenceCounts, speeds []float64) (per float64, from string, err error) {
	c := l.cadence
	switch given {
	case CountsSteps:
		return 1, "given", nil
	case CountsStrides:
		return 2, "given", nil
	}
	ws := strings.Join(append(tokens(c.name), fold(c.unit.Symbol)), " ")
	switch {
	case strings.Contains(ws, "stride"):
		return 2, "header", nil
	case strings.Contains(ws, "step"), strings.Contains(ws, "spm"), strings.Contains(ws, "schritt"), strings.Contains(ws, "pasos"),
		strings.Contains(ws, "passi"), strings.Contains(ws, "stappen"), strings.Contains(ws, "stap"):
		return 1, "header", nil
	}
	median := middle(w.c.StepsPerMinute)
	if median > stepsOnly {
		return 1, "inferred", nil
	}
	if per, ok := w.agreed(speeds); ok {
		return per, "inferred", nil
	}
	return 0, "", l.fail("a step rate of %.0f may count the steps of both feet or the strides of one", median).column(c.name).
		hint("say which with --cadence-counts steps or --cadence-counts strides")
}

// agreed decides by speed; false when its possible units disagree or fit neither.
func (w *watch) agreed(speeds []float64) (float64, bool) {
	per := 0.0
	for _, f := range speeds {
		switch p := w.vote(f); {
		case p == 0:
		case per == 0:
			per = p
		case per != p:
			return 0, false
		}
	}
	return per, per > 0
}

// vote tells by the speed, in a unit of factor m/s, whether steps (1) or strides
// (2) are counted; 0 when it fits neither or both.
func (w *watch) vote(factor float64) float64 {
	steps, strides, n := 0.0, 0.0, 0.0
	for i, v := range w.c.StepsPerMinute {
		s := w.c.Speed[i] * factor
		if math.IsNaN(v) || math.IsNaN(s) || s < 0.5 {
			continue
		}
		n++
		lo, hi := float64(walkStepsLow), float64(walkSteps)
		if s >= runSpeed {
			lo, hi = runStepsLow, runSteps
		}
		if v >= lo && v <= hi {
			steps++
		}
		if 2*v >= lo && 2*v <= hi {
			strides++
		}
	}
	switch {
	case n > 0 && steps > 0.8*n && strides < 0.2*n:
		return 1
	case n > 0 && strides > 0.8*n && steps < 0.2*n:
		return 2
	}
	return 0
}

// settleSpeed scales the speed to m/s; where the unit stays open, the speed is
// not reported.
func (w *watch) settleSpeed(per float64, speeds []float64) {
	c := w.speed
	if c == nil {
		return
	}
	factor := math.NaN()
	if len(speeds) == 1 {
		factor = speeds[0]
	} else if a, b := w.vote(speeds[0]), w.vote(speeds[1]); a == per && b != per {
		factor = speeds[0]
	} else if b == per && a != per {
		factor = speeds[1]
	}
	for i := range w.c.Speed {
		w.c.Speed[i] *= factor
	}
	if !c.stated {
		c.unitFrom = "inferred"
		switch factor {
		case 1:
			c.unit = unit.MetrePerSecond
		case unit.KilometrePerHour.Factor:
			c.unit = unit.KilometrePerHour
		}
	}
}

// middle is the median of the finite values.
func middle(v []float64) float64 {
	var out []float64
	for _, x := range v {
		if !math.IsNaN(x) {
			out = append(out, x)
		}
	}
	if len(out) == 0 {
		return math.NaN()
	}
	slices.Sort(out)
	return out[len(out)/2]
}
