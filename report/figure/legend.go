package figure

import (
	"gonum.org/v1/plot"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"setdown/signal/recording"
)

// legend names the sides in the upper right corner, each with its line and
// marker.
func (s study) legend(sides []recording.Side) layer {
	return func(c draw.Canvas, _ *plot.Plot) {
		x := c.Max.X
		style := write(ink, text.XRight, text.YCenter)
		for i := len(sides) - 1; i >= 0; i-- {
			side, y := sides[i], c.Max.Y-7
			label := s.name(side)
			c.FillText(style, vg.Point{X: x, Y: y}, label)
			x -= style.Width(label) + 4
			c.StrokeLine2(sideTone(side).line(2, 1, sideDashes(side)...), x-26, y, x, y)
			c.DrawGlyph(sideMark(side, 3, 1), vg.Point{X: x - 13, Y: y})
			x -= 38
		}
	}
}
