// Package figure draws the pictures of a session as SVG that can stand inside
// a page: no font files, no scripts, no ids that could collide, colours from
// the page's CSS variables (with fallbacks), a text alternative in each.
//
// Sides are told apart by colour and by line or marker: left is a solid line
// and a circle, right a broken line and a triangle. The pictures are drawn
// small (a phone's width) and scale up. Long recordings are thinned by fixed
// rules, so that a page does not grow with the recording and the same result
// gives the same bytes.
package figure

import (
	"setdown/gait"
	"setdown/gait/asymmetry"
	"setdown/gait/step"
	"setdown/signal/recording"
)

// Group says which question a picture answers; pages show a heading a group.
type Group string

// The groups in the order in which All returns them.
const (
	Lowering Group = "lowering"
	Spread   Group = "spread"
	Along    Group = "along"
	Raw      Group = "raw"
)

// Figure is one picture.
type Figure struct {
	// Key is unique within one result, for example "lowering-left".
	Key   string
	Group Group
	// Title is a heading of a few words, Caption one sentence that says how to
	// read the picture.
	Title, Caption string
	// Alt says in words, with numbers, what the picture shows. It stands in the
	// SVG as its description.
	Alt string
	// SVG is an <svg> element.
	SVG string
}

// All draws every picture that the result has data for. Prefix makes the ids
// of the text alternatives unique when pictures of several results stand on
// one page; "" is fine for one.
func All(res *gait.Result, prefix string) []Figure {
	s := study{res: res, prefix: prefix}
	var out []Figure
	out = append(out, s.lowering()...)
	out = append(out, s.spreads()...)
	out = append(out, s.courses()...)
	return append(out, s.excerpts()...)
}

// study is what the drawing functions share.
type study struct {
	res    *gait.Result
	prefix string
}

// sides returns the recorded sides, left first.
func (s study) sides() []recording.Side {
	var out []recording.Side
	for _, side := range []recording.Side{recording.Left, recording.Right} {
		if s.res.Session != nil && s.res.Session.Of(side) != nil {
			out = append(out, side)
		}
	}
	return out
}

// name returns "left" or "right", with "(injured)" where it is.
func (s study) name(side recording.Side) string {
	switch {
	case side == recording.SideUnknown:
		return "side not known"
	case s.injured(side):
		return side.String() + " (injured)"
	}
	return side.String()
}

func (s study) injured(side recording.Side) bool {
	switch s.res.Injured {
	case asymmetry.InjuredLeft:
		return side == recording.Left
	case asymmetry.InjuredRight:
		return side == recording.Right
	}
	return s.res.Injured == asymmetry.InjuredBoth
}

// used returns the steps of a side that enter the summaries, in time order.
func (s study) used(side recording.Side) []*step.Step {
	var out []*step.Step
	for i := range s.res.Steps {
		if st := &s.res.Steps[i]; st.Used && st.Side == side {
			out = append(out, st)
		}
	}
	return out
}

// thin returns at most n of the items, evenly spread, the first included.
func thin[T any](items []T, n int) []T {
	if len(items) <= n {
		return items
	}
	out := make([]T, n)
	for i := range out {
		out[i] = items[i*len(items)/n]
	}
	return out
}
