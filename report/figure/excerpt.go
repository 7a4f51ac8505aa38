package figure

import (
	"fmt"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"setdown/gait"
	"setdown/gait/step"
	"setdown/signal/unit"
)

// maxSamples is how many samples of a raw signal are drawn: two (the lowest and
// the highest) for each half unit of width.
const maxSamples = 4 * width

// headroom is left above the lines of events for their key.
const headroom = 14

// excerpts draws a few seconds of each foot's signal with the events marked.
func (s study) excerpts() []Figure {
	var out []Figure
	for _, e := range s.res.Excerpts {
		if len(e.Time) < 2 {
			continue
		}
		out = append(out, s.excerpt(e))
	}
	return out
}

func (s study) excerpt(e gait.Excerpt) Figure {
	name := s.name(e.Side)
	f := Figure{Key: "raw-" + e.Side.String(), Group: Raw, Title: "A few seconds of signal, " + name,
		Caption: "Toe-down rate and size of the acceleration as recorded, with the events that were found."}
	x := span{e.Time[0], e.Time[len(e.Time)-1]}
	steps := s.within(e, x)
	f.Alt = fmt.Sprintf("Toe-down rate and size of the acceleration of the foot (%s) from %.1f to %.1f s, with the events of %d steps marked.", name, x.lo, x.hi, len(steps))
	rate := s.strip(e, x, e.PitchRate, unit.DegreePerSecond, "toe-down rate (deg/s)", steps, true)
	plots := []*plot.Plot{rate}
	if len(e.Acc) == len(e.Time) {
		plots = append(plots, s.strip(e, x, e.Acc, unit.MetrePerSecond2, "accel. (m/s²)", steps, false))
	}
	plots[len(plots)-1].X.Label.Text = "time in the recording (s)"
	return f.svg(s.prefix, vg.Length(80+130*len(plots)), plots...)
}

// within returns the steps of the excerpt's side that touch it.
func (s study) within(e gait.Excerpt, x span) []*step.Step {
	var out []*step.Step
	for i := range s.res.Steps {
		st := &s.res.Steps[i]
		if st.Side == e.Side && st.InitialContact <= x.hi && !(st.ToeOff < x.lo) && st.InitialContact >= x.lo-1 {
			out = append(out, st)
		}
	}
	return out
}

// strip draws one signal of an excerpt with the events.
func (s study) strip(e gait.Excerpt, x span, values []float64, u unit.Unit, label string, steps []*step.Step, first bool) *plot.Plot {
	t, v := extremes(e.Time, values, maxSamples)
	lo, hi := math.Inf(1), math.Inf(-1)
	for i := range v {
		v[i] = u.FromBase(v[i])
		if !math.IsNaN(v[i]) {
			lo, hi = math.Min(lo, v[i]), math.Max(hi, v[i])
		}
	}
	y := around(lo, hi, 0.05)
	if first {
		y.hi += 0.14 * (y.hi - y.lo)
	}
	p := newPlot("", label, x, y)
	for _, l := range eventLines() {
		for _, st := range steps {
			p.Add(event(l.at(st), x, l.style))
		}
	}
	if first {
		p.Add(layer(eventKey))
	}
	p.Add(polyline(sideTone(e.Side).line(1.1, 1), t, v))
	return p
}

// event marks one moment when it lies inside the picture.
func event(t float64, x span, style draw.LineStyle) layer {
	return func(c draw.Canvas, p *plot.Plot) {
		if t >= x.lo && t <= x.hi {
			trX, _ := p.Transforms(&c)
			at := tenth(trX(t))
			c.StrokeLine2(style, at, c.Min.Y, at, c.Max.Y-headroom)
		}
	}
}

// eventKey names the lines of the events above them.
func eventKey(c draw.Canvas, _ *plot.Plot) {
	x, y := c.Min.X+2, c.Max.Y-6
	style := write(ink, text.XLeft, text.YCenter)
	for _, e := range eventLines() {
		c.StrokeLine2(e.style, x, y-5, x, y+5)
		c.FillText(style, vg.Point{X: x + 4, Y: y}, e.name)
		x += style.Width(e.name) + 20
	}
}

// eventLine is how one kind of event is drawn.
type eventLine struct {
	name  string
	at    func(*step.Step) float64
	style draw.LineStyle
}

func eventLines() []eventLine {
	return []eventLine{
		{"initial contact", func(s *step.Step) float64 { return s.InitialContact }, quiet.line(1, 1)},
		{"foot-flat", func(s *step.Step) float64 { return s.FootFlat }, quiet.line(1, 1, 4, 2.5)},
		{"toe-off", func(s *step.Step) float64 { return s.ToeOff }, quiet.line(1, 1, 1, 2)},
	}
}

// extremes thins a signal to at most n samples: each stretch of equal length
// keeps its lowest and highest sample in time order, so that peaks survive.
func extremes(t, v []float64, n int) (tt, vv []float64) {
	if len(t) <= n {
		return append(tt, t...), append(vv, v...)
	}
	for k := range n / 2 {
		lo, hi := k*len(t)/(n/2), (k+1)*len(t)/(n/2)
		least, most := lo, lo
		for i := lo; i < hi; i++ {
			if v[i] < v[least] {
				least = i
			}
			if v[i] > v[most] {
				most = i
			}
		}
		for _, i := range []int{min(least, most), max(least, most)} {
			tt, vv = append(tt, t[i]), append(vv, v[i])
		}
	}
	return tt, vv
}
