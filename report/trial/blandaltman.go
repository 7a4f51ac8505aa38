package trial

import (
	"bytes"
	"fmt"
	"html"
	"image/color"
	"regexp"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgsvg"

	"setdown/gait/estimate"
	"setdown/report/table"
)

// drawn is one plot of limits of agreement.
type drawn struct{ File, Title, Caption, SVG string }

// The size of a plot in points.
const (
	plotWidth  = 330
	plotHeight = 210
)

// Stand-ins that the finished SVG replaces by the page's CSS variables, so that
// a plot follows light, dark and print.
var (
	inkTone   = color.NRGBA{1, 1, 1, 255}
	quietTone = color.NRGBA{2, 2, 2, 255}
	dotTone   = color.NRGBA{4, 4, 4, 255}
)

var tones = strings.NewReplacer(
	"#010101", "var(--ink,#26222b)", "#020202", "var(--quiet,#625c68)", "#040404", "var(--left,#6b3a8c)",
	"#000000", "var(--ink,#26222b)")

// drawAll draws the limits of agreement of every measure, side and two
// occasions that have them.
func drawAll(all []Agreement) ([]drawn, error) {
	var out []drawn
	for i := range all {
		a := &all[i]
		for _, p := range a.Pairs {
			if p.Because != "" {
				continue
			}
			svg, err := drawPair(a, p)
			if err != nil {
				return nil, err
			}
			out = append(out, svg)
		}
	}
	return out, nil
}

// drawPair draws one plot of Bland & Altman (1986): differences of two
// occasions against their means, with the mean difference, the limits, and the
// interval of each as a bar.
func drawPair(a *Agreement, p Pair) (drawn, error) {
	pl := plot.New()
	unit := table.ColumnUnit(a.Metric).Symbol
	if unit != "" {
		unit = ", " + unit
	}
	pl.X.Label.Text = "mean of both" + unit
	pl.Y.Label.Text = "second − first" + unit
	style(pl)
	low, high := ends(p.Means)
	for _, e := range []estimate.Estimate{p.Lower, p.Mean, p.Upper} {
		if err := addLevel(pl, e, low, high, e == p.Mean); err != nil {
			return drawn{}, err
		}
	}
	points := make(plotter.XYs, len(p.Means))
	for i := range points {
		points[i].X, points[i].Y = p.Means[i], p.Differences[i]
	}
	dots, err := plotter.NewScatter(points)
	if err != nil {
		return drawn{}, err
	}
	dots.GlyphStyle = draw.GlyphStyle{Color: dotTone, Radius: 2.4, Shape: draw.CircleGlyph{}}
	pl.Add(dots)
	return a.finish(p, pl)
}

// ends widens the range of the means a little, so that no dot is cut.
func ends(means []float64) (low, high float64) {
	low, high = means[0], means[0]
	for _, m := range means {
		low, high = min(low, m), max(high, m)
	}
	pad := 0.06 * (high - low)
	if pad == 0 {
		pad = 0.5
	}
	return low - pad, high + pad
}

// style gives the plot the page's type and colours.
func style(pl *plot.Plot) {
	pl.BackgroundColor = nil // the page shows through; vgsvg cannot write a transparent colour
	for _, ax := range []*plot.Axis{&pl.X, &pl.Y} {
		ax.Label.TextStyle.Font = font.Font{Typeface: "Liberation", Variant: "Sans", Size: 9}
		ax.Tick.Label.Font = font.Font{Typeface: "Liberation", Variant: "Sans", Size: 8}
		ax.Label.TextStyle.Color, ax.Tick.Label.Color = inkTone, quietTone
		ax.LineStyle.Color, ax.Tick.LineStyle.Color = quietTone, quietTone
		ax.LineStyle.Width, ax.Tick.LineStyle.Width = 0.5, 0.5
	}
}

// addLevel draws a level; its interval stands at the right end for a limit, at
// the left for the mean, so that wide intervals of few people stay apart.
func addLevel(pl *plot.Plot, e estimate.Estimate, low, high float64, mean bool) error {
	line, err := plotter.NewLine(plotter.XYs{{X: low, Y: e.Center}, {X: high, Y: e.Center}})
	if err != nil {
		return err
	}
	line.LineStyle = draw.LineStyle{Color: inkTone, Width: 1}
	at := low
	if !mean {
		line.Dashes = []vg.Length{4, 3}
		at = high
	}
	pl.Add(line)
	if !e.HasInterval() {
		return nil
	}
	bar, err := plotter.NewYErrorBars(struct {
		plotter.XYs
		plotter.YErrors
	}{plotter.XYs{{X: at, Y: e.Center}}, plotter.YErrors{{Low: e.Center - e.Low, High: e.High - e.Center}}})
	if err != nil {
		return err
	}
	bar.LineStyle = draw.LineStyle{Color: inkTone, Width: 1}
	pl.Add(bar)
	return nil
}

// xmlHead is what vgsvg writes before the element.
var xmlHead = regexp.MustCompile(`(?s)^.*?<svg[^>]*>`)

// finish renders the plot with a text alternative.
func (a *Agreement) finish(p Pair, pl *plot.Plot) (drawn, error) {
	canvas := vgsvg.New(plotWidth, plotHeight)
	pl.Draw(draw.New(canvas))
	var b bytes.Buffer
	if _, err := canvas.WriteTo(&b); err != nil {
		return drawn{}, err
	}
	digits := a.digits() - 1
	title := strings.TrimSpace(fmt.Sprintf("%s, %s %s", a.Metric.Label, a.Side, a.Condition))
	caption := fmt.Sprintf("%s − %s, %d people: mean difference %s, limits of agreement %s and %s.",
		p.Second, p.First, len(p.Means), spoken(p.Mean, digits), spoken(p.Lower, digits), spoken(p.Upper, digits))
	head := fmt.Sprintf(`<svg viewBox="0 0 %d %d" role="img" aria-label="%s">`,
		plotWidth, plotHeight, html.EscapeString(title+": "+caption))
	svg := tones.Replace(xmlHead.ReplaceAllString(b.String(), head))
	svg = strings.ReplaceAll(svg, "font-family:Liberation", "font-family:system-ui,Liberation")
	name := strings.Join([]string{plainName(a.Condition), a.Metric.Key, a.Side, plainName(p.First), plainName(p.Second)}, "_")
	return drawn{strings.Trim(name, "_") + ".svg", title, caption, strings.TrimSpace(svg)}, nil
}

// standalone is the plot as a file of its own.
func (d drawn) standalone() string {
	return `<?xml version="1.0" encoding="UTF-8"?>` + "\n" + d.SVG + "\n"
}
