package figure

import (
	"fmt"
	"math"
	"slices"

	"setdown/gait/estimate"
	"setdown/gait/step"
	"setdown/signal/recording"
	"setdown/signal/unit"
)

// maxCurves is how many steps a side are drawn; more would only blacken the
// picture and lengthen the page.
const maxCurves = 200

// timeToFlat is the key of the time to foot-flat in the catalogue.
const timeToFlat = "time_to_foot_flat_ms"

// BothKey is the key of the picture that shows both feet's lowering together.
const BothKey = "lowering-both"

// curves is the lowering of one side: toe-down pitch rate, deg/s, against time
// from initial contact, ms.
type curves struct {
	side recording.Side
	ms   []float64
	each [][]float64
	// n is how many steps were measured; of a long recording only some, evenly
	// chosen, kept their curve.
	n                int
	median, low, top []float64
	// flat is the median time to foot-flat in ms.
	flat float64
}

// lowering draws the sides' medians in one picture and every step in one
// picture a side.
func (s study) lowering() []Figure {
	var all []curves
	for _, side := range s.sides() {
		if c := s.curves(side); len(c.each) > 0 {
			all = append(all, c)
		}
	}
	if len(all) == 0 {
		return nil
	}
	x, y := window(all)
	var out []Figure
	if len(all) > 1 {
		out = append(out, s.loweringBoth(all, x, y))
	}
	for _, c := range all {
		out = append(out, s.loweringSide(c, all, x, y))
	}
	return out
}

// curves collects the heel-first steps of a side that enter the summaries.
func (s study) curves(side recording.Side) curves {
	out := curves{side: side, flat: math.NaN()}
	for i := range step.CurveLen {
		out.ms = append(out.ms, unit.Millisecond.FromBase(step.CurveStart+float64(i)*step.CurveStep))
	}
	var kept [][]float32
	kept, out.n = s.keptCurves(side)
	for _, col := range byMoment(kept) {
		slices.Sort(col) // once, so that the quantiles find it sorted
		out.median = append(out.median, estimate.Quantile(col, 0.5))
		out.low = append(out.low, estimate.Quantile(col, 0.1))
		out.top = append(out.top, estimate.Quantile(col, 0.9))
	}
	for _, c := range thin(kept, maxCurves) {
		line := make([]float64, len(c))
		for i, v := range c {
			line[i] = unit.DegreePerSecond.FromBase(float64(v))
		}
		out.each = append(out.each, line)
	}
	if m := s.res.Session.Of(side).Get(timeToFlat); m.N > 0 {
		out.flat = unit.Millisecond.FromBase(m.Center)
	}
	return out
}

// keptCurves are the curves that were kept of the heel-first steps of a side; n is how
// many steps there are.
func (s study) keptCurves(side recording.Side) (kept [][]float32, n int) {
	for _, st := range s.used(side) {
		if math.IsNaN(st.PeakLoweringRate) {
			continue
		}
		n++
		if len(st.Curve) == step.CurveLen {
			kept = append(kept, st.Curve)
		}
	}
	return kept, n
}

// byMoment collects, for each moment of the curves, what all of them have there, deg/s.
func byMoment(curves [][]float32) [][]float64 {
	out := make([][]float64, step.CurveLen)
	for _, c := range curves {
		for i, v := range c {
			if v := float64(v); !math.IsNaN(v) {
				out[i] = append(out[i], unit.DegreePerSecond.FromBase(v))
			}
		}
	}
	return out
}

// window chooses the ranges of the axes: from shortly before initial contact
// until well after the later foot-flat, and from the lowest to the highest band.
func window(all []curves) (x, y span) {
	x = span{-25, 100}
	y = span{0, 0}
	for _, c := range all {
		if !math.IsNaN(c.flat) {
			x.hi = math.Max(x.hi, 2*c.flat)
		}
	}
	x.hi = math.Min(x.hi, all[0].ms[len(all[0].ms)-1])
	for _, c := range all {
		for i, ms := range c.ms {
			if ms < x.lo || ms > x.hi || math.IsNaN(c.low[i]) {
				continue
			}
			y.lo = math.Min(y.lo, c.low[i])
			y.hi = math.Max(y.hi, c.top[i])
		}
	}
	y = around(y.lo, y.hi, 0.06)
	y.hi += 0.14 * (y.hi - y.lo) // room for the names of the sides
	return x, y
}

const (
	loweringX = "time from initial contact (ms)"
	loweringY = "toe-down rate (deg/s)"
)

func (s study) loweringBoth(all []curves, x, y span) Figure {
	p := newPlot(loweringX, loweringY, x, y)
	f := Figure{Key: BothKey, Group: Lowering, Title: "How fast the forefoot comes down",
		Caption: "Middle step of each foot from heel contact on; the band holds 8 of 10 steps, and the marker is the moment when the foot is flat."}
	p.Add(upright(quiet.line(0.8, 1), 0, "initial contact"))
	var sides []recording.Side
	for _, c := range all {
		sides = append(sides, c.side)
		p.Add(band(sideTone(c.side), 0.16, c.ms, c.low, c.top))
	}
	for _, c := range all {
		p.Add(polyline(sideTone(c.side).line(2, 1, sideDashes(c.side)...), c.ms, c.median),
			marks(sideMark(c.side, 5, 1), []float64{c.flat}, []float64{at(c.ms, c.median, c.flat)}))
		f.Alt += c.words(s.name(c.side))
	}
	p.Add(s.legend(sides))
	return f.svg(s.prefix, 270, p)
}

func (s study) loweringSide(c curves, all []curves, x, y span) Figure {
	p := newPlot(loweringX, loweringY, x, y)
	name := s.name(c.side)
	f := Figure{Key: "lowering-" + c.side.String(), Group: Lowering, Title: "Every step, " + name,
		Caption: fmt.Sprintf("%s, with the middle step as a thick line%s.", shownOf(len(c.each), c.n), otherWords(all)),
		Alt:     c.words(name)}
	p.Add(upright(quiet.line(0.8, 1), 0, "initial contact"))
	opacity := math.Max(0.10, math.Min(0.5, 12/float64(len(c.each))))
	for _, line := range c.each {
		p.Add(polyline(sideTone(c.side).line(0.7, opacity), c.ms, line))
	}
	for _, o := range all {
		if o.side != c.side {
			p.Add(polyline(quiet.line(1.5, 1, 1.5, 2.5), o.ms, o.median))
		}
	}
	p.Add(polyline(sideTone(c.side).line(2.2, 1, sideDashes(c.side)...), c.ms, c.median),
		marks(sideMark(c.side, 5, 1), []float64{c.flat}, []float64{at(c.ms, c.median, c.flat)}),
		s.legend([]recording.Side{c.side}))
	return f.svg(s.prefix, 250, p)
}

// shownOf says how many steps are drawn.
func shownOf(drawn, all int) string {
	if drawn < all {
		return fmt.Sprintf("%d of %d steps, evenly chosen", drawn, all)
	}
	if all == 1 {
		return "The only step"
	}
	return fmt.Sprintf("All %d steps", all)
}

func otherWords(all []curves) string {
	if len(all) > 1 {
		return " and that of the other foot dotted"
	}
	return ""
}

// words describes the median curve.
func (c curves) words(name string) string {
	peak, when := math.Inf(-1), 0.0
	for i, v := range c.median {
		if c.ms[i] >= 0 && v > peak {
			peak, when = v, c.ms[i]
		}
	}
	text := fmt.Sprintf("The %s foot, %d steps: the middle curve is highest with %.0f degrees a second %.0f ms after initial contact", name, c.n, peak, when)
	if math.IsNaN(c.flat) {
		return text + ". "
	}
	return text + fmt.Sprintf("; the foot is flat after %.0f ms. ", c.flat)
}

// at interpolates the line at x; NaN outside.
func at(xs, ys []float64, x float64) float64 {
	for i := 1; i < len(xs); i++ {
		if xs[i-1] <= x && x <= xs[i] {
			f := (x - xs[i-1]) / (xs[i] - xs[i-1])
			return ys[i-1] + f*(ys[i]-ys[i-1])
		}
	}
	return math.NaN()
}
