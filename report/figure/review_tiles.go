package figure

import (
	"bytes"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgsvg"

	"setdown/signal/recording"
)

// tiles draws the small pictures row by row and finishes the figure.
func (f Figure) tiles(prefix string, all []ReviewOverlay, rows int, x, y span, startMS, stepMS float64) Figure {
	height := vg.Length(rows * overlayHeight)
	canvas := vgsvg.New(width, height)
	dc := draw.Crop(draw.New(canvas), 0, -10, 0, -4)
	grid := make([][]*plot.Plot, rows)
	for i := range grid {
		grid[i] = make([]*plot.Plot, overlayColumns)
		for j := range grid[i] {
			if k := i*overlayColumns + j; k < len(all) {
				grid[i][j] = overlay(all[k], x, y, startMS, stepMS)
			}
		}
	}
	tiles := draw.Tiles{Rows: rows, Cols: overlayColumns, PadX: 6, PadY: 6}
	for i, row := range plot.Align(grid, tiles, dc) {
		for j, c := range row {
			if grid[i][j] != nil {
				grid[i][j].Draw(c)
			}
		}
	}
	var b bytes.Buffer
	if _, err := canvas.WriteTo(&b); err != nil {
		panic("figure: " + err.Error()) // a bytes.Buffer does not fail
	}
	f.SVG = f.finish(b.String(), prefix, height)
	return f
}

// overlay is one small picture.
func overlay(o ReviewOverlay, x, y span, startMS, stepMS float64) *plot.Plot {
	p := newPlot("", "", x, y)
	p.X.Tick.Marker = plot.ConstantTicks([]plot.Tick{{Value: 0, Label: "0"}, {Value: 100, Label: "100 ms"}})
	p.Add(upright(quiet.line(0.6, 1, 2, 2), 0, ""))
	for _, s := range []struct {
		side recording.Side
		ys   []float64
	}{{recording.Left, o.Left}, {recording.Right, o.Right}} {
		xs := make([]float64, len(s.ys))
		for i := range xs {
			xs[i] = startMS + stepMS*float64(i)
		}
		p.Add(polyline(sideTone(s.side).line(1.5, 1, sideDashes(s.side)...), xs, s.ys))
	}
	p.Add(layer(func(c draw.Canvas, _ *plot.Plot) {
		c.FillText(write(ink, text.XRight, text.YTop), vg.Point{X: c.Max.X, Y: c.Max.Y}, o.Label)
	}))
	return p
}
