package figure

import (
	"math"
	"strconv"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Sizes of text in picture units.
const (
	labelSize = 11
	noteSize  = 10
)

// span is a range of values.
type span struct{ lo, hi float64 }

// newPlot makes an empty plot with axes in the house style.
func newPlot(xLabel, yLabel string, x, y span) *plot.Plot {
	p := plot.New()
	p.BackgroundColor = nil
	p.X.Label.Text, p.Y.Label.Text = xLabel, yLabel
	p.X.Min, p.X.Max, p.Y.Min, p.Y.Max = x.lo, x.hi, y.lo, y.hi
	for _, a := range []*plot.Axis{&p.X, &p.Y} {
		a.Color = quiet.color(1)
		a.LineStyle.Width = 0.6
		a.Tick.LineStyle = quiet.line(0.6, 1)
		a.Tick.Length = 3
		a.Tick.Label.Font, a.Tick.Label.Color = sans(labelSize), ink.color(1)
		a.Label.TextStyle.Font, a.Label.TextStyle.Color = sans(labelSize), ink.color(1)
		a.Tick.Marker = ticks{}
		a.Padding = 0
	}
	p.X.Label.Padding, p.Y.Label.Padding = 2, 2
	grid := plotter.NewGrid()
	grid.Vertical.Color = nil
	grid.Horizontal = faint.line(0.6, 1)
	p.Add(grid)
	return p
}

func sans(size font.Length) font.Font {
	return font.Font{Typeface: "Liberation", Variant: "Sans", Size: size}
}

// write returns a style for notes inside a plot.
func write(t tone, x text.XAlignment, y text.YAlignment) draw.TextStyle {
	return draw.TextStyle{Color: t.color(1), Font: sans(noteSize), XAlign: x, YAlign: y, Handler: plot.DefaultTextHandler}
}

// ticks puts about five labelled marks at round values.
type ticks struct{}

// Ticks implements plot.Ticker.
func (ticks) Ticks(lo, hi float64) []plot.Tick {
	stepSize, digits := roundStep((hi - lo) / 5)
	var out []plot.Tick
	for i := math.Ceil(lo/stepSize - 1e-9); i*stepSize <= hi+1e-9*stepSize; i++ {
		label := strconv.FormatFloat(i*stepSize+0, 'f', digits, 64)
		if i == 0 {
			label = "0"
		}
		out = append(out, plot.Tick{Value: i * stepSize, Label: label})
	}
	return out
}

// roundStep returns the smallest of 1, 2, 5 × 10^k that is at least want, and
// the decimals that its multiples need.
func roundStep(want float64) (size float64, digits int) {
	if !(want > 0) || math.IsInf(want, 0) {
		return 1, 0
	}
	k := math.Floor(math.Log10(want))
	for _, f := range []float64{1, 2, 5, 10} {
		size = f * math.Pow(10, k)
		if size >= want*(1-1e-9) {
			if f == 10 {
				k++
			}
			break
		}
	}
	return size, max(0, -int(k))
}

// around returns a range that holds lo and hi with a margin, and never an
// empty one.
func around(lo, hi, margin float64) span {
	if math.IsNaN(lo) || math.IsNaN(hi) || math.IsInf(lo, 0) || math.IsInf(hi, 0) {
		return span{0, 1}
	}
	d := hi - lo
	if d <= 0 {
		d = math.Max(math.Abs(lo)*0.1, 1e-3)
	}
	return span{lo - margin*d, hi + margin*d}
}

// layer is a drawing function as a plotter.
type layer func(c draw.Canvas, p *plot.Plot)

// Plot implements plot.Plotter.
func (l layer) Plot(c draw.Canvas, p *plot.Plot) { l(c, p) }

// polyline draws a line through the points, broken at NaN.
func polyline(style draw.LineStyle, xs, ys []float64) layer {
	return func(c draw.Canvas, p *plot.Plot) {
		trX, trY := p.Transforms(&c)
		var part []vg.Point
		flush := func() {
			for _, l := range c.ClipLinesXY(part) {
				for i := range l {
					l[i] = snap(l[i])
				}
				c.StrokeLines(style, l)
			}
			part = nil
		}
		for i, x := range xs {
			if math.IsNaN(x) || math.IsNaN(ys[i]) {
				flush()
				continue
			}
			part = append(part, vg.Point{X: trX(x), Y: trY(ys[i])})
		}
		flush()
	}
}

// snap rounds to a tenth of a unit: half the bytes, and nothing that shows.
func snap(p vg.Point) vg.Point {
	return vg.Point{X: tenth(p.X), Y: tenth(p.Y)}
}

func tenth(l vg.Length) vg.Length { return vg.Length(math.Round(float64(l)*10) / 10) }

// band fills between two lines.
func band(t tone, opacity float64, xs, lo, hi []float64) layer {
	return func(c draw.Canvas, p *plot.Plot) {
		trX, trY := p.Transforms(&c)
		var pts []vg.Point
		for i, x := range xs {
			pts = append(pts, snap(vg.Point{X: trX(x), Y: trY(hi[i])}))
		}
		for i := len(xs) - 1; i >= 0; i-- {
			pts = append(pts, snap(vg.Point{X: trX(xs[i]), Y: trY(lo[i])}))
		}
		c.FillPolygon(t.color(opacity), c.ClipPolygonXY(pts))
	}
}

// upright draws a vertical line at x over the whole height, with a note beside its
// lower end.
func upright(style draw.LineStyle, x float64, note string) layer {
	return func(c draw.Canvas, p *plot.Plot) {
		trX, _ := p.Transforms(&c)
		at := tenth(trX(x))
		c.StrokeLine2(style, at, c.Min.Y, at, c.Max.Y)
		if note != "" {
			c.FillText(write(quiet, text.XLeft, text.YBottom), vg.Point{X: at + 3, Y: c.Min.Y + 2}, note)
		}
	}
}

// marks draws a marker at each point inside the plot.
func marks(style draw.GlyphStyle, xs, ys []float64) layer {
	return func(c draw.Canvas, p *plot.Plot) {
		trX, trY := p.Transforms(&c)
		for i, x := range xs {
			pt := snap(vg.Point{X: trX(x), Y: trY(ys[i])})
			if !math.IsNaN(x+ys[i]) && c.Contains(pt) {
				c.DrawGlyph(style, pt)
			}
		}
	}
}
