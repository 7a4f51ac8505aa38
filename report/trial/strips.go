package trial

import (
	"fmt"
	"html"
	"html/template"
	"math"
	"slices"
	"strconv"
	"strings"

	"setdown/gait/step"
)

// The size of a strip, in px of its own coordinates.
const (
	stripWidth  = 640
	stripMargin = 16
	stripRow    = 46 // height of one side's row
	stripTop    = 14
	stripAxis   = 24 // height of the axis below the rows
	// stripColumns is how finely values are binned: points in one bin are
	// stacked, and beyond stripStack of them drawn as one longer bar, so that the
	// page does not grow with the trial.
	stripColumns = 152
	stripStack   = 9
)

// point is the middle of one side of one recording.
type point struct {
	row, side int
	value     float64
	far       bool
}

// strip is the distribution of one metric over the trial.
type strip struct {
	metric step.Metric
	points []point
	median float64
}

// stripView is what the template shows of a strip.
type stripView struct {
	Title, Unit, Middle string
	SVG                 template.HTML
	Far                 []farView
	MoreFar             int
}

type farView struct{ ID, Page, Words string }

// shownFar is how many far recordings are named under a strip.
const shownFar = 12

// view draws the strip.
func (s *strip) view(rows []seen) stripView {
	v := stripView{Title: s.metric.Label, Unit: unitOf(s.metric), Middle: s.text(s.median)}
	v.SVG = template.HTML(s.svg(rows))
	var far []point
	for _, p := range s.points {
		if p.far {
			far = append(far, p)
		}
	}
	slices.SortStableFunc(far, func(a, b point) int {
		switch da, db := math.Abs(a.value-s.median), math.Abs(b.value-s.median); {
		case da > db:
			return -1
		case da < db:
			return 1
		}
		return 0
	})
	v.MoreFar = max(0, len(far)-shownFar)
	for _, p := range far[:len(far)-v.MoreFar] {
		id := rows[p.row].id
		v.Far = append(v.Far, farView{id, pageOf(id), fmt.Sprintf("%s %s%s", sideNames[p.side], s.text(p.value), v.Unit)})
	}
	return v
}

// text prints a value with the metric's digits.
func (s *strip) text(v float64) string {
	digits := s.metric.Digits
	if s.metric.Share {
		digits += 2
	}
	return strconv.FormatFloat(v, 'f', digits, 64)
}

// svg draws both sides: left circles above, right triangles below; far points
// are hollow and link to their recordings.
func (s *strip) svg(rows []seen) string {
	low, high := s.points[0].value, s.points[0].value
	for _, p := range s.points {
		low, high = math.Min(low, p.value), math.Max(high, p.value)
	}
	if low == high {
		low, high = low-0.5, high+0.5
	}
	x := func(v float64) float64 {
		return stripMargin + (v-low)/(high-low)*(stripWidth-2*stripMargin)
	}
	var b strings.Builder
	height := stripTop + 2*stripRow + stripAxis
	fmt.Fprintf(&b, `<svg viewBox="0 0 %d %d" role="img" aria-label="%s">`, stripWidth, height, html.EscapeString(s.alt(low, high)))
	fmt.Fprintf(&b, `<line class="mid" x1="%.1f" x2="%.1f" y1="%d" y2="%d"/>`, x(s.median), x(s.median), stripTop-6, stripTop+2*stripRow)
	for side := range sideNames {
		s.drawSide(&b, side, x, rows)
	}
	s.drawAxis(&b, low, high, x)
	b.WriteString("</svg>")
	return b.String()
}

// alt says in words what the picture shows.
func (s *strip) alt(low, high float64) string {
	far := 0
	for _, p := range s.points {
		if p.far {
			far++
		}
	}
	return fmt.Sprintf("%s: %d sides from %s to %s%s, middle %s; %d far from the others",
		s.metric.Label, len(s.points), s.text(low), s.text(high), unitOf(s.metric), s.text(s.median), far)
}

// drawSide stacks the points of one side upwards from its base line.
func (s *strip) drawSide(b *strings.Builder, side int, x func(float64) float64, rows []seen) {
	base := float64(stripTop + (side+1)*stripRow - 5)
	stacks := make([]int, stripColumns+1)
	fmt.Fprintf(b, `<g class="%s">`, sideNames[side])
	for _, p := range s.points {
		if p.side != side {
			continue
		}
		if p.far {
			link := html.EscapeString(pageOf(rows[p.row].id))
			fmt.Fprintf(b, `<a href="%s"><title>%s: %s</title>%s</a>`, link, html.EscapeString(rows[p.row].id), s.text(p.value), shape(side, x(p.value), base, "far"))
			continue
		}
		bin := int((x(p.value) - stripMargin) / (stripWidth - 2*stripMargin) * stripColumns)
		stacks[bin]++
	}
	most := slices.Max(stacks)
	for bin, n := range stacks {
		at := stripMargin + (float64(bin)+0.5)/stripColumns*(stripWidth-2*stripMargin)
		if most > stripStack {
			if n > 0 {
				h := 2 + float64(n)/float64(most)*(stripRow-12)
				fmt.Fprintf(b, `<rect x="%.1f" y="%.1f" width="3" height="%.1f"/>`, at-1.5, base-h+3, h)
			}
			continue
		}
		for i := range n {
			b.WriteString(shape(side, at, base-4*float64(i), "dot"))
		}
	}
	b.WriteString("</g>")
}

// shape is a circle for the left and a triangle for the right side.
func shape(side int, x, y float64, class string) string {
	r := 2.1
	if class == "far" {
		r = 4.5
	}
	if side == 0 {
		return fmt.Sprintf(`<circle class="%s" cx="%.1f" cy="%.1f" r="%.1f"/>`, class, x, y, r)
	}
	return fmt.Sprintf(`<path class="%s" d="M%.1f %.1fl%.1f %.1fh%.1fz"/>`, class, x, y-r*1.2, r*1.1, r*2.2, -r*2.2)
}

// drawAxis writes the ends and the middle below the rows.
func (s *strip) drawAxis(b *strings.Builder, low, high float64, x func(float64) float64) {
	y := stripTop + 2*stripRow
	fmt.Fprintf(b, `<line class="axis" x1="%d" x2="%d" y1="%d" y2="%d"/>`, stripMargin, stripWidth-stripMargin, y, y)
	for i, v := range []float64{low, high} {
		anchor := []string{"start", "end"}[i]
		fmt.Fprintf(b, `<text x="%.1f" y="%d" text-anchor="%s">%s</text>`, x(v), y+16, anchor, s.text(v))
	}
	if at := x(s.median); at > 90 && at < stripWidth-90 {
		fmt.Fprintf(b, `<text x="%.1f" y="%d" text-anchor="middle">%s</text>`, at, y+16, s.text(s.median))
	}
}
