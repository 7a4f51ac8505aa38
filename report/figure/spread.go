package figure

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"setdown/gait/estimate"
	"setdown/gait/step"
	"setdown/signal/recording"
	"setdown/signal/unit"
)

// dots is how many dots stand for the steps of a side: each is one in fifty.
const dots = 50

// bins is how many places along the axis the dots are stacked at.
const bins = 42

// values returns a metric of the used steps of a side in display units, in
// time order, and the minutes since the first step of the session.
func (s study) values(m step.Metric, side recording.Side) (minutes, values []float64) {
	begin := s.begin()
	for _, st := range s.used(side) {
		if v := m.Value(st); !math.IsNaN(v) {
			minutes = append(minutes, unit.Minute.FromBase(st.InitialContact-begin))
			values = append(values, m.Unit.FromBase(v))
		}
	}
	return minutes, values
}

// begin returns the first initial contact of the session in s.
func (s study) begin() float64 {
	t := math.Inf(1)
	for i := range s.res.Steps {
		t = math.Min(t, s.res.Steps[i].InitialContact)
	}
	return t
}

// shownMetrics returns the two metrics that pictures show: those of lowering
// where it was measured, else the landing and the contact.
func (s study) shownMetrics() []step.Metric {
	var out []step.Metric
	for _, key := range []string{step.Primary, timeToFlat, "strike_angle_deg", "contact_time_s"} {
		m := step.Find(key)
		for _, side := range s.sides() {
			if _, v := s.values(m, side); len(v) > 1 && !slices.ContainsFunc(out, func(o step.Metric) bool { return o.Key == key }) {
				out = append(out, m)
			}
		}
	}
	return out[:min(2, len(out))]
}

// row is the distribution of one side.
type row struct {
	side   recording.Side
	values []float64 // sorted
	median float64
}

// spreads draws the distribution of each shown metric: a row of stacked dots a
// side, each dot the same share of the steps.
func (s study) spreads() []Figure {
	var out []Figure
	for _, m := range s.shownMetrics() {
		var rows []row
		for _, side := range s.sides() {
			if _, v := s.values(m, side); len(v) > 0 {
				slices.Sort(v)
				rows = append(rows, row{side, v, estimate.Median(v)})
			}
		}
		out = append(out, s.spread(m, rows))
	}
	return out
}

func (s study) spread(m step.Metric, rows []row) Figure {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, r := range rows {
		lo = math.Min(lo, estimate.Quantile(r.values, 0.005))
		hi = math.Max(hi, estimate.Quantile(r.values, 0.995))
	}
	x := around(lo, hi, 0.04)
	p := newPlot(axisLabel(m), "", x, span{0, float64(len(rows))})
	p.Y.Tick.Marker = plot.ConstantTicks(nil)
	p.Y.LineStyle.Width = 0
	f := Figure{Key: "spread-" + short(m), Group: Spread, Title: m.Label + " of all steps", Caption: dotWords(rows)}
	for i, r := range rows {
		base := float64(len(rows) - 1 - i)
		p.Add(stacked(r, x, base), s.rowMedian(m, r, base))
		f.Alt += fmt.Sprintf("The %s foot, %d steps: half lie between %s and %s, the middle one is %s. ", s.name(r.side), len(r.values),
			number(m, estimate.Quantile(r.values, 0.25)), number(m, estimate.Quantile(r.values, 0.75)), withUnit(m, r.median))
	}
	return f.svg(s.prefix, vg.Length(40+95*len(rows)), p)
}

// dotWords says what a dot stands for.
func dotWords(rows []row) string {
	single := 0
	for _, r := range rows {
		if len(r.values) <= dots {
			single++
		}
	}
	mark := fmt.Sprintf("Each mark stands for one step in %d", dots)
	switch single {
	case 0:
	case len(rows):
		mark = "Each mark is one step"
	default:
		mark += ", or is one step where a foot has fewer"
	}
	return mark + "; the tall line is the middle step of that foot."
}

// stacked draws quantile dots: the quantiles (i+½)/dots, stacked in bins.
func stacked(r row, x span, base float64) layer {
	return func(c draw.Canvas, p *plot.Plot) {
		trX, trY := p.Transforms(&c)
		pitch := (c.Max.X - c.Min.X) / bins
		counts := make([]int, bins)
		n := min(dots, len(r.values))
		for i := range n {
			v := estimate.Quantile(r.values, (float64(i)+0.5)/float64(n))
			if b := int((v - x.lo) / (x.hi - x.lo) * bins); b >= 0 && b < bins {
				counts[b]++
			}
		}
		room := (c.Max.Y - c.Min.Y) / vg.Length(math.Max(p.Y.Max, 1)) * 0.74
		rise := min(pitch, room/vg.Length(slices.Max(counts)))
		style := sideMark(r.side, min(pitch, rise)*0.42, 0.75)
		y := trY(base)
		c.StrokeLine2(faint.line(0.8, 1), c.Min.X, y, c.Max.X, y)
		for b, k := range counts {
			for j := range k {
				left := trX(x.lo) + pitch*(vg.Length(b)+0.5)
				c.DrawGlyph(style, snap(vg.Point{X: left, Y: y + rise*(vg.Length(j)+0.6)}))
			}
		}
	}
}

// rowMedian draws the median of a side as a line over its row with the number.
func (s study) rowMedian(m step.Metric, r row, base float64) layer {
	return func(c draw.Canvas, p *plot.Plot) {
		trX, trY := p.Transforms(&c)
		at, lo, hi := tenth(trX(r.median)), trY(base), trY(base+0.86)
		c.StrokeLine2(sideTone(r.side).line(2, 1, sideDashes(r.side)...), at, lo, at, hi)
		style, gap := write(ink, text.XLeft, text.YCenter), vg.Length(4)
		if at > (c.Min.X+c.Max.X)/2 {
			style.XAlign, gap = text.XRight, -4
		}
		c.FillText(style, vg.Point{X: at + gap, Y: hi - 2}, s.name(r.side)+" "+withUnit(m, r.median))
	}
}

// axisLabel is the metric's label with its unit.
func axisLabel(m step.Metric) string {
	if m.Unit.Symbol == "" {
		return m.Label
	}
	return m.Label + " (" + symbol(m.Unit) + ")"
}

// symbol is the unit as people write it.
func symbol(u unit.Unit) string {
	if u == unit.MetrePerSecond2 {
		return "m/s²"
	}
	return u.Symbol
}

func number(m step.Metric, v float64) string { return strconv.FormatFloat(v, 'f', m.Digits, 64) }

func withUnit(m step.Metric, v float64) string {
	return strings.TrimSpace(number(m, v) + " " + symbol(m.Unit))
}

// short makes an id part of a metric's key.
func short(m step.Metric) string { return strings.ReplaceAll(m.Key, "_", "-") }
