package figure

import (
	"fmt"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"setdown/gait/asymmetry"
	"setdown/gait/estimate"
	"setdown/gait/step"
	"setdown/signal/recording"
)

const (
	// maxPoints is how many steps a side are drawn as single marks, and
	// maxLine how many points the running median has.
	maxPoints = 300
	maxLine   = 200
	// The running median spans a twentieth of the steps, within these limits:
	// fewer follow single steps, more hide the course.
	minSpan, maxSpan = 11, 101
	// margin of the axis below and above the middle 98 % of steps.
	courseMargin = 0.08
)

// course is one metric of one side along the session.
type course struct {
	side            recording.Side
	minutes, values []float64
}

// courses draws the shown metrics along the session.
func (s study) courses() []Figure {
	var out []Figure
	for _, m := range s.shownMetrics() {
		var all []course
		for _, side := range s.sides() {
			if t, v := s.values(m, side); len(v) > 1 {
				all = append(all, course{side, t, v})
			}
		}
		if len(all) > 0 {
			out = append(out, s.along(m, all))
		}
	}
	return out
}

func (s study) along(m step.Metric, all []course) Figure {
	x, y := courseWindow(all)
	p := newPlot("minutes since the first step", axisLabel(m), x, y)
	f := Figure{Key: "along-" + short(m), Group: Along, Title: m.Label + " along the session",
		Caption: "Single steps as marks, their running middle as a line; the first and the last third are shaded."}
	p.Add(thirds(x))
	var sides []recording.Side
	for _, c := range all {
		sides = append(sides, c.side)
		p.Add(marks(sideMark(c.side, 1.6, 0.35), thin(c.minutes, maxPoints), thin(c.values, maxPoints)))
	}
	for _, c := range all {
		t, v := running(c.minutes, c.values)
		p.Add(polyline(sideTone(c.side).line(2.2, 1, sideDashes(c.side)...), t, v))
		f.Alt += s.courseWords(m, c, x)
	}
	for _, ch := range s.changes(m) {
		p.Add(s.turn(ch))
		f.Caption = fmt.Sprintf("%s From about minute %.0f on the %s foot differs.", f.Caption, ch.Minute, ch.Side)
		f.Alt += fmt.Sprintf("The %s foot began to change at about minute %.1f (95 %% interval %.1f to %.1f). ", ch.Side, ch.Minute, ch.Low, ch.High)
	}
	p.Add(s.legend(sides))
	return f.svg(s.prefix, 250, p)
}

// courseWindow spans all minutes and the middle 98 % of the values, with room
// for the names of the sides.
func courseWindow(all []course) (x, y span) {
	x = span{0, 0}
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, c := range all {
		x.hi = math.Max(x.hi, c.minutes[len(c.minutes)-1])
		lo = math.Min(lo, estimate.Quantile(c.values, 0.01))
		hi = math.Max(hi, estimate.Quantile(c.values, 0.99))
	}
	if x.hi <= 0 {
		x.hi = 1
	}
	y = around(lo, hi, courseMargin)
	y.hi += 0.2 * (y.hi - y.lo)
	return x, y
}

// running returns the running median over a window of neighbouring steps, at
// most maxLine points.
func running(minutes, values []float64) (t, v []float64) {
	half := min(max(len(values)/20, minSpan), maxSpan) / 2
	index := make([]int, len(values))
	for i := range index {
		index[i] = i
	}
	for _, i := range thin(index, maxLine) {
		lo, hi := max(0, i-half), min(len(values), i+half+1)
		t = append(t, minutes[i])
		v = append(v, estimate.Median(values[lo:hi]))
	}
	return t, v
}

// thirds shades the first and the last third of the session.
func thirds(x span) layer {
	return func(c draw.Canvas, p *plot.Plot) {
		trX, _ := p.Transforms(&c)
		third := (x.hi - x.lo) / 3
		for _, t := range []struct {
			lo, hi float64
			name   string
		}{{x.lo, x.lo + third, "first third"}, {x.hi - third, x.hi, "last third"}} {
			lo, hi := tenth(trX(t.lo)), tenth(trX(t.hi))
			c.FillPolygon(faint.color(0.4), []vg.Point{{X: lo, Y: c.Min.Y}, {X: hi, Y: c.Min.Y}, {X: hi, Y: c.Max.Y}, {X: lo, Y: c.Max.Y}})
			c.FillText(write(quiet, text.XCenter, text.YBottom), vg.Point{X: (lo + hi) / 2, Y: c.Min.Y + 2}, t.name)
		}
	}
}

// changes returns the changes that were found in a metric.
func (s study) changes(m step.Metric) []asymmetry.Change {
	var out []asymmetry.Change
	if s.res.Asymmetry != nil {
		for _, c := range s.res.Asymmetry.Changes {
			if c.Key == m.Key && c.Found {
				out = append(out, c)
			}
		}
	}
	return out
}

// turn marks the minute of a change and its interval.
func (s study) turn(ch asymmetry.Change) layer {
	return func(c draw.Canvas, p *plot.Plot) {
		trX, _ := p.Transforms(&c)
		at, y := tenth(trX(ch.Minute)), c.Min.Y+(c.Max.Y-c.Min.Y)*0.78
		c.StrokeLine2(sideTone(ch.Side).line(1.2, 1, sideDashes(ch.Side)...), at, c.Min.Y+14, at, y)
		if lo, hi := trX(ch.Low), trX(ch.High); !math.IsNaN(ch.Low + ch.High) {
			c.StrokeLine2(sideTone(ch.Side).line(1.2, 1), max(lo, c.Min.X), y, min(hi, c.Max.X), y)
		}
		style := write(ink, text.XCenter, text.YBottom)
		note := fmt.Sprintf("%s from min %.0f", ch.Side, ch.Minute)
		half := style.Width(note) / 2
		x := min(max(at, c.Min.X+half), c.Max.X-half)
		c.FillText(style, vg.Point{X: x, Y: y + 2}, note)
	}
}

// courseWords compares the first with the last third.
func (s study) courseWords(m step.Metric, c course, x span) string {
	var first, last []float64
	for i, t := range c.minutes {
		switch {
		case t <= x.lo+(x.hi-x.lo)/3:
			first = append(first, c.values[i])
		case t >= x.hi-(x.hi-x.lo)/3:
			last = append(last, c.values[i])
		}
	}
	if len(first) == 0 || len(last) == 0 {
		return fmt.Sprintf("The %s foot: %d steps. ", s.name(c.side), len(c.values))
	}
	return fmt.Sprintf("The %s foot: the middle step is %s in the first third and %s in the last. ",
		s.name(c.side), number(m, estimate.Median(first)), withUnit(m, estimate.Median(last)))
}
