package figure

import (
	"fmt"
	"math"
	"strings"
	"time"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"setdown/gait/diary"
	"setdown/signal/recording"
)

// ReviewPoint is one day of a course on the time axis of a review.
type ReviewPoint struct {
	Date diary.Date
	// Center, Low and High are in the unit of the axis; the interval may be NaN.
	Center, Low, High float64
	// Pooled tells whether the day belongs to the sessions that the word is about.
	Pooled bool
}

// ReviewCourse is one line of a review: a difference (SideUnknown) or a side.
type ReviewCourse struct {
	Side     recording.Side
	Points   []ReviewPoint
	Baseline float64 // NaN where there is none
	// Change is how far from the baseline days and fitting alone can take a single
	// session; NaN where unknown.
	Change float64
}

// ReviewDay is a day of the diary. NaN means not entered.
type ReviewDay struct {
	Date                   diary.Date
	During, After, Morning float64
	// Run is the running done in the axis' unit; 0 on a day without.
	Run float64
}

// Review is what the pictures of a case are drawn from.
type Review struct {
	Courses []ReviewCourse
	// Unit is of the courses, RunUnit of the running ("min" or "km").
	Unit, RunUnit string
	// What names the courses' quantity, for the axis.
	What string
	Days []ReviewDay
	// Limit is the pain limit in force; NaN draws none.
	Limit float64
	// Breaks are days on which conditions changed, with a few words.
	Breaks []ReviewBreak
	Today  diary.Date
}

// ReviewBreak marks a change of conditions.
type ReviewBreak struct {
	Date diary.Date
	Text string
}

// Timeline draws the courses, pain and running over one time axis; ok is false
// when there is nothing to draw.
func Timeline(r Review, prefix string) (f Figure, ok bool) {
	x, ok := r.span()
	if !ok {
		return Figure{}, false
	}
	var plots []*plot.Plot
	if len(r.Courses) > 0 {
		plots = append(plots, r.coursePlot(x))
	}
	if len(r.Days) > 0 {
		plots = append(plots, r.painPlot(x), r.runPlot(x))
	}
	f = Figure{Key: "timeline", Title: "Over the weeks", Alt: r.alt(), Caption: r.caption()}
	heights := []vg.Length{0, 190, 260, 400}
	return f.svg(prefix, heights[len(plots)], plots...), true
}

// span is the time axis in days from the first day; false when there is none.
func (r Review) span() (span, bool) {
	var lo, hi diary.Date
	meet := func(d diary.Date) {
		if lo.IsZero() || lo.After(d) {
			lo = d
		}
		if hi.IsZero() || d.After(hi) {
			hi = d
		}
	}
	for _, c := range r.Courses {
		for _, p := range c.Points {
			meet(p.Date)
		}
	}
	for _, d := range r.Days {
		meet(d.Date)
	}
	if lo.IsZero() {
		return span{}, false
	}
	begin := float64(lo.Since(epoch))
	return span{begin - 2, math.Max(float64(hi.Since(epoch)), begin+7) + 2}, true
}

// epoch is day 0 of the axis.
var epoch = diary.On(2000, time.January, 1)

func dayOf(d diary.Date) float64 { return float64(d.Since(epoch)) }

// dateTicks labels Mondays, thinned to about six.
type dateTicks struct{}

// Ticks implements plot.Ticker.
func (dateTicks) Ticks(lo, hi float64) []plot.Tick {
	every := 7 * math.Max(1, math.Ceil((hi-lo)/7/6))
	const monday = 2 // 2000-01-03 was a Monday
	var out []plot.Tick
	for i := math.Ceil((lo-monday)/every)*every + monday; i <= hi; i += every {
		d := epoch.Add(int(i))
		out = append(out, plot.Tick{Value: i, Label: fmt.Sprintf("%d %s", d.Day, d.Month.String()[:3])})
	}
	return out
}

func (r Review) coursePlot(x span) *plot.Plot {
	lo, hi := 0.0, 0.0
	for _, c := range r.Courses {
		for _, p := range c.Points {
			for _, v := range []float64{p.Center, p.Low, p.High} {
				if !math.IsNaN(v) {
					lo, hi = math.Min(lo, v), math.Max(hi, v)
				}
			}
		}
	}
	p := newPlot("", r.What+" ("+r.Unit+")", x, around(lo, hi, 0.08))
	p.X.Tick.Marker = dateTicks{}
	for _, c := range r.Courses {
		if !math.IsNaN(c.Baseline) && !math.IsNaN(c.Change) {
			xs := []float64{x.lo, x.hi}
			p.Add(band(quiet, 0.13, xs, []float64{c.Baseline - c.Change, c.Baseline - c.Change}, []float64{c.Baseline + c.Change, c.Baseline + c.Change}))
			p.Add(polyline(quiet.line(0.8, 1, 2, 2), xs, []float64{c.Baseline, c.Baseline}))
		}
	}
	for i, b := range r.Breaks {
		p.Add(upright(quiet.line(0.8, 1, 4, 2), dayOf(b.Date)-0.5, ""), breakNote(b, i%2))
	}
	p.Add(polyline(quiet.line(0.8, 1), []float64{x.lo, x.hi}, []float64{0, 0}))
	for _, c := range r.Courses {
		p.Add(c.layer())
	}
	return p
}

// breakNote writes what changed beside the upper end of its line, neighbours in
// two rows; near the right edge it stands to the left of the line.
func breakNote(b ReviewBreak, row int) layer {
	return func(c draw.Canvas, p *plot.Plot) {
		trX, _ := p.Transforms(&c)
		at, style, off := trX(dayOf(b.Date)-0.5), write(ink, text.XLeft, text.YTop), vg.Length(3)
		if at+style.Width(b.Text)+off > c.Max.X {
			style.XAlign, off = text.XRight, -3
		}
		c.FillText(style, vg.Point{X: at + off, Y: c.Max.Y - vg.Length(12*row)}, b.Text)
	}
}

// layer draws whiskers, the line through pooled days, and the markers: filled
// for pooled days, open for others.
func (c ReviewCourse) layer() layer {
	t, glyph := ink, draw.GlyphStyle{Color: ink.color(1), Radius: 3.2, Shape: draw.BoxGlyph{}}
	var dashes []vg.Length
	if c.Side != recording.SideUnknown {
		t, glyph, dashes = sideTone(c.Side), sideMark(c.Side, 3.2, 1), sideDashes(c.Side)
	}
	open := glyph
	open.Shape = draw.RingGlyph{}
	if c.Side == recording.Right {
		open.Shape = draw.TriangleGlyph{}
	} else if c.Side == recording.SideUnknown {
		open.Shape = draw.SquareGlyph{}
	}
	return func(dc draw.Canvas, p *plot.Plot) {
		var xs, ys []float64
		for _, pt := range c.Points {
			at := dayOf(pt.Date)
			polyline(t.line(1, 0.75), []float64{at, at}, []float64{pt.Low, pt.High})(dc, p)
			if pt.Pooled {
				xs, ys = append(xs, at), append(ys, pt.Center)
			} else {
				marks(open, []float64{at}, []float64{pt.Center})(dc, p)
			}
		}
		polyline(t.line(1.4, 0.8, dashes...), xs, ys)(dc, p)
		marks(glyph, xs, ys)(dc, p)
	}
}

func (r Review) alt() string {
	var parts []string
	for _, c := range r.Courses {
		name := r.What
		if c.Side != recording.SideUnknown {
			name += ", " + c.Side.String() + " foot"
		}
		if n := len(c.Points); n > 0 {
			a, b := c.Points[0], c.Points[n-1]
			parts = append(parts, fmt.Sprintf("%s: %.0f %s on %s, %.0f %s on %s, days with sessions: %d", name, a.Center, r.Unit, a.Date, b.Center, r.Unit, b.Date, n))
		}
	}
	pain, runs := 0.0, 0
	for _, d := range r.Days {
		pain = math.Max(pain, maxKnown(maxKnown(d.During, d.After), 0))
		if d.Run > 0 {
			runs++
		}
	}
	if len(r.Days) > 0 {
		parts = append(parts, fmt.Sprintf("runs in the diary: %d, highest pain during or just after %.0f of 10", runs, pain))
	}
	return strings.Join(parts, ". ") + "."
}

func (r Review) caption() string {
	var parts []string
	if len(r.Courses) > 0 {
		parts = append(parts, "Top: each session with its 95 % interval; filled marks are alike and joined, open marks were run under other conditions (broken upright lines). Grey band: how far from the baseline days and fitting alone can take a single session.")
	}
	if len(r.Days) > 0 {
		parts = append(parts, "Pain: disc, the higher of during and just after; open square, the next morning. Bottom: the running done.")
	}
	return strings.Join(parts, " ")
}
