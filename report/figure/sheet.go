package figure

import (
	"bytes"
	"fmt"
	"html"
	"regexp"
	"strconv"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgsvg"
)

// width is the width of a picture in its own units, which are pixels on a
// phone: text drawn at 11 stays readable there.
const width = 420

// svg draws p at the given height and finishes the picture.
func (f Figure) svg(prefix string, height vg.Length, plots ...*plot.Plot) Figure {
	c := vgsvg.New(width, height)
	// The margin holds the half of the last label that stands over the axis' end.
	dc := draw.Crop(draw.New(c), 0, -10, 0, -4)
	if len(plots) == 1 {
		plots[0].Draw(dc)
	} else {
		column := make([][]*plot.Plot, len(plots))
		for i, p := range plots {
			column[i] = []*plot.Plot{p}
		}
		tiles := draw.Tiles{Rows: len(plots), Cols: 1, PadY: 6}
		for i, row := range plot.Align(column, tiles, dc) {
			plots[i].Draw(row[0])
		}
	}
	var b bytes.Buffer
	if _, err := c.WriteTo(&b); err != nil {
		panic("figure: " + err.Error()) // a bytes.Buffer does not fail
	}
	f.SVG = f.finish(b.String(), prefix, height)
	return f
}

// finish turns vgsvg's document into an element for a page: no XML prologue,
// no fixed size, text alternatives, and presentation attributes in the place
// of style attributes, which a strict content security policy forbids.
func (f Figure) finish(doc, prefix string, height vg.Length) string {
	_, body, _ := strings.Cut(doc, "<svg ")
	_, body, _ = strings.Cut(body, ">\n")
	body = styleAttr.ReplaceAllStringFunc(body, attributes)
	body = gap.ReplaceAllString(body, " ")
	id := prefix + "fig-" + f.Key
	return fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %[1]d %[2]g" role="img" aria-labelledby="%[3]s-t %[3]s-d" font-family="%[4]s">`+
		"\n<title id=\"%[3]s-t\">%[5]s</title>\n<desc id=\"%[3]s-d\">%[6]s</desc>\n",
		width, height.Points(), html.EscapeString(id), fontFamily, html.EscapeString(f.Title), html.EscapeString(f.Alt)) + body
}

// fontFamily has fonts of the same widths as those the layout is computed with.
const fontFamily = "Liberation Sans, Arial, Helvetica, sans-serif"

var (
	styleAttr = regexp.MustCompile(`style="([^"]*)"`)
	gap       = regexp.MustCompile(`\s*\n\t`)
)

// attributes rewrites one style attribute as presentation attributes.
func attributes(style string) string {
	var out []string
	for item := range strings.SplitSeq(style[len(`style="`):len(style)-1], ";") {
		name, value, _ := strings.Cut(item, ":")
		switch {
		case name == "font-family" || name == "font-variant" || name == "font-style" || value == "normal":
			continue // said once for the whole picture
		case strings.HasPrefix(value, "#"):
			value = painted(value)
		}
		out = append(out, name+`="`+value+`"`)
	}
	return strings.Join(out, " ")
}

// painted returns the CSS colour for a stand-in such as #505050.
func painted(hex string) string {
	v, err := strconv.ParseUint(hex[1:3], 16, 8)
	i := int(v) / spacing
	if err != nil || i >= len(paint) {
		panic("figure: colour " + hex + " is not in the palette")
	}
	return paint[i]
}
