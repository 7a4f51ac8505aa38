package figure

import (
	"image/color"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"setdown/signal/recording"
)

// tone is a colour of the palette. Drawing uses a stand-in of its own, which
// the finished SVG replaces by the page's CSS variable.
type tone uint8

// The palette.
const (
	ink   tone = iota // text and axes
	faint             // grid and shading
	left              // left foot
	right             // right foot
	quiet             // marks that are not data
)

// paint says how a tone is written: a CSS variable that the page sets for
// light, dark and print, and a fallback for a picture that stands alone. Plum
// and ochre stay apart for both kinds of red-green colour blindness, which a
// test checks with a simulation.
var paint = [...]string{
	ink:   "var(--ink,#26222b)",
	faint: "var(--rule,#d9d4cb)",
	left:  "var(--left,#6b3a8c)",
	right: "var(--right,#b06a00)",
	quiet: "var(--quiet,#6a6470)",
}

// spacing keeps the stand-ins far enough apart to be told from one another
// after vgsvg's rounding of colours with opacity.
const spacing = 0x20

// color returns the stand-in with an opacity from 0 to 1.
func (t tone) color(opacity float64) color.NRGBA {
	v := uint8(t)*spacing + spacing/2
	return color.NRGBA{v, v, v, uint8(opacity*255 + 0.5)}
}

// line returns a line style of the tone.
func (t tone) line(width vg.Length, opacity float64, dashes ...vg.Length) draw.LineStyle {
	return draw.LineStyle{Color: t.color(opacity), Width: width, Dashes: dashes}
}

// sideTone returns the colour of a side.
func sideTone(side recording.Side) tone {
	if side == recording.Right {
		return right
	}
	return left
}

// sideDashes returns the dashes of a side's summary lines; left is solid.
func sideDashes(side recording.Side) []vg.Length {
	if side == recording.Right {
		return []vg.Length{6, 3}
	}
	return nil
}

// sideMark returns the marker of a side: circle left, triangle right.
func sideMark(side recording.Side, radius vg.Length, opacity float64) draw.GlyphStyle {
	g := draw.GlyphStyle{Color: sideTone(side).color(opacity), Radius: radius, Shape: draw.CircleGlyph{}}
	if side == recording.Right {
		g.Shape, g.Radius = draw.PyramidGlyph{}, radius*1.2
	}
	return g
}
