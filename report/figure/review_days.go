package figure

import (
	"fmt"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// painPlot draws pain during or after (the higher) as a stem with a disc, and the
// next morning as an open square.
func (r Review) painPlot(x span) *plot.Plot {
	p := newPlot("", "pain, 0 to 10", x, span{0, 10.4})
	p.X.Tick.Marker = dateTicks{}
	if !math.IsNaN(r.Limit) {
		p.Add(polyline(ink.line(0.9, 1, 5, 3), []float64{x.lo, x.hi}, []float64{r.Limit, r.Limit}))
		p.Add(layer(func(c draw.Canvas, p *plot.Plot) {
			_, trY := p.Transforms(&c)
			c.FillText(write(ink, text.XRight, text.YBottom), vg.Point{X: c.Max.X - 2, Y: trY(r.Limit) + 2}, fmt.Sprintf("pain limit %.0f", r.Limit))
		}))
	}
	p.Add(layer(func(c draw.Canvas, p *plot.Plot) {
		for _, d := range r.Days {
			at, most := dayOf(d.Date), maxKnown(d.During, d.After)
			if !math.IsNaN(most) {
				polyline(ink.line(1.2, 0.55), []float64{at, at}, []float64{0, most})(c, p)
				marks(draw.GlyphStyle{Color: ink.color(1), Radius: 2.4, Shape: draw.CircleGlyph{}}, []float64{at}, []float64{most})(c, p)
			}
			marks(draw.GlyphStyle{Color: ink.color(1), Radius: 3, Shape: draw.SquareGlyph{}}, []float64{at + 0.45}, []float64{d.Morning})(c, p)
		}
	}))
	return p
}

func maxKnown(a, b float64) float64 {
	if math.IsNaN(a) || b > a {
		return b
	}
	return a
}

// runPlot draws the running of each day as a bar, and of each week as a step.
func (r Review) runPlot(x span) *plot.Plot {
	most := 0.0
	for _, d := range r.Days {
		most = math.Max(most, d.Run)
	}
	p := newPlot("", "run ("+r.RunUnit+")", x, span{0, math.Max(1, most) * 1.12})
	p.X.Tick.Marker = dateTicks{}
	p.Add(layer(func(c draw.Canvas, p *plot.Plot) {
		for _, d := range r.Days {
			if d.Run > 0 {
				at := dayOf(d.Date)
				polyline(quiet.line(3.5, 0.8), []float64{at, at}, []float64{0, d.Run})(c, p)
			}
		}
	}))
	return p
}
