package page

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"setdown/gait"
	"setdown/gait/asymmetry"
	"setdown/gait/estimate"
	"setdown/gait/step"
	"setdown/signal/recording"
	"setdown/signal/unit"
)

// row is one measure in the table of the sides.
type row struct {
	Label, Unit string
	Main        bool
	Cells       []cell
	Difference  *cell
	Verdict     string
	// Because are sentences under the row.
	Because []string
}

// cell is a number with its interval, or what it lacks for one, and, below it, how
// many steps it comes from or the limit it is held against. Of is the head of its
// column, for where there is no room for columns.
type cell struct{ Value, Interval, Lack, Count, Of string }

// fillTable makes a row for every metric of the catalogue.
func (v *view) fillTable(res *gait.Result) {
	sides := sidesInOrder(res)
	if len(sides) == 0 {
		return
	}
	for _, s := range sides {
		v.Heads = append(v.Heads, head{capital(s.String()), injuredSide(res.Injured, s), s == recording.Right})
	}
	for _, m := range step.Catalogue() {
		r := row{Label: m.Label, Unit: symbol(m.Unit), Main: m.Key == step.Primary}
		for i, s := range sides {
			c := sideCell(m, res.Session.Of(s).Get(m.Key).Estimate)
			c.Of = v.Heads[i].words()
			r.Cells = append(r.Cells, c)
		}
		if c, ok := res.Asymmetry.Get(m.Key); ok && len(sides) == 2 {
			v.DiffHead = capital(c.First.String()) + " " + minus + " " + c.Second.String()
			r.compare(m, c)
			r.Difference.Of = v.DiffHead
		}
		v.Rows = append(v.Rows, r)
		v.Definitions = append(v.Definitions, definition(res, m))
	}
}

// definition says what a metric is, where that comes from, and what its limit
// rests on.
func definition(res *gait.Result, m step.Metric) fact {
	text := sentence(m.Definition) + " Source: " + m.Source + "."
	if c, ok := res.Asymmetry.Get(m.Key); ok && c.FloorFrom != "" && c.Verdict != asymmetry.NoVerdict {
		text += fmt.Sprintf(" Limit: %s.", c.FloorFrom)
	}
	return fact{m.Label, text}
}

// compare fills in what a row says about the sides' difference.
func (r *row) compare(m step.Metric, c asymmetry.Comparison) {
	d := cell{Value: signed(number(m, c.Difference.Center)), Interval: interval(m, c.Difference, signed)}
	if !math.IsNaN(c.Floor) && c.Verdict != asymmetry.NoVerdict {
		d.Count = "limit ±" + number(m, c.Floor)
	}
	if d.Interval == "" && c.Difference.Needed > 0 && d.Value != none {
		d.Lack = fmt.Sprintf("needs %d steps a side", c.Difference.Needed)
	}
	r.Difference = &d
	r.Verdict = verdictWord(c.Verdict)
	if c.Verdict == asymmetry.NoVerdict {
		r.Because = []string{sentence(m.NoVerdict)}
		return
	}
	if c.Because != "" {
		r.Because = append(r.Because, sentence(c.Because))
	}
	if !math.IsNaN(c.SymmetryIndexPercent) {
		r.Because = append(r.Because, fmt.Sprintf("Symmetry index %s %%.", signed(strconv.FormatFloat(c.SymmetryIndexPercent, 'f', 0, 64))))
	}
	if c.ByLanding.HasInterval() {
		r.Because = append(r.Because, fmt.Sprintf("Part explained by landing: %s (%s).",
			strings.TrimSpace(signed(number(m, c.ByLanding.Center))+" "+symbol(m.Unit)), interval(m, c.ByLanding, signed)))
	} else if c.ByLandingBecause != "" && m.Lowering {
		r.Because = append(r.Because, sentence("part explained by landing: not known, "+c.ByLandingBecause))
	}
}

// verdictWord is the verdict as people read it.
func verdictWord(v asymmetry.Verdict) string {
	switch v {
	case asymmetry.Different:
		return "Different"
	case asymmetry.Alike:
		return "Alike"
	case asymmetry.CannotTell:
		return "Cannot tell"
	}
	return "Shown only"
}

func sideCell(m step.Metric, e estimate.Estimate) cell {
	c := cell{Value: number(m, e.Center), Interval: interval(m, e, plain), Count: "n " + strconv.Itoa(e.N)}
	switch {
	case e.N == 0: // withheld or not seen: more steps would not give it
		c.Interval, c.Lack = "", "not measured"
	case e.Needed > e.N:
		c.Interval, c.Lack = "", fmt.Sprintf("needs %d steps", e.Needed)
	}
	return c
}

// interval writes "low to high", or "" where there is none.
func interval(m step.Metric, e estimate.Estimate, sign func(string) string) string {
	if !e.HasInterval() {
		return ""
	}
	return sign(number(m, e.Low)) + " to " + sign(number(m, e.High))
}

// plain only turns a hyphen into a minus sign.
func plain(number string) string { return strings.TrimPrefix(signed(number), "+") }

// none stands for a number that does not exist.
const none = "–"

// number writes a value in the metric's display unit, "–" when not measured.
func number(m step.Metric, v float64) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return none
	}
	return strconv.FormatFloat(m.Unit.FromBase(v), 'f', m.Digits, 64)
}

// symbol is the unit as people write it.
func symbol(u unit.Unit) string {
	if u == unit.MetrePerSecond2 {
		return "m/s²"
	}
	return u.Symbol
}
