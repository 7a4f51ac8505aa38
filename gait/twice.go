package gait

import (
	"fmt"
	"math"
	"slices"

	"setdown/signal/recording"
	"setdown/signal/remark"
)

// oneAFoot refuses two tracks of one foot that share a clock and at least half of
// the shorter one's time: every step would be counted twice, and a filtered copy
// of a signal would pass for as many steps again. Files whose clocks are not known
// to be one may be parts of a session that were recorded one after the other.
func oneAFoot(tracks []*recording.Track, results []*trackResult) error {
	for i, t := range tracks {
		for j, u := range tracks[:i] {
			if t.Side != recording.SideUnknown && t.Side == u.Side && sameClock(t, u) && inCommon(results[i], results[j]) {
				return &recording.Error{File: u.Label, Msg: fmt.Sprintf("holds the %s foot at the same time as %s: its steps would be counted twice", t.Side, t.Label),
					Hint: "give one sensor a foot: leave a file out, or choose the columns with --columns"}
			}
		}
	}
	return nil
}

// sameClock tells whether two tracks were certainly stamped on one time axis:
// they stand in one file, or their times are points in time.
func sameClock(t, u *recording.Track) bool {
	return t.Clock == u.Clock && (t.Clock == recording.ClockAbsolute || t.Clock != "" && len(t.Inputs) > 0 && slices.Equal(t.Inputs, u.Inputs))
}

// inCommon tells whether two tracks share at least togetherShare of the shorter
// one's time.
func inCommon(a, b *trackResult) bool {
	common := math.Min(a.summary.End, b.summary.End) - math.Max(a.summary.Begin, b.summary.Begin)
	return common >= togetherShare*math.Min(a.summary.Duration(), b.summary.Duration())
}

// twiceSeconds is how long two recordings of one foot must have in common, s, to
// be doubted: a cut between files may overlap a little.
const twiceSeconds = 2

// doubtTwice says which foot has two recordings over the same time of one clock:
// a foot given for the other would else be pooled with it in silence.
func doubtTwice(tracks []*recording.Track, results []*trackResult, remarks *remark.List) {
	for i, t := range tracks {
		for j, u := range tracks[:i] {
			a, b := results[i].summary, results[j].summary
			common := math.Min(a.End, b.End) - math.Max(a.Begin, b.Begin)
			if t.Side != recording.SideUnknown && t.Side == u.Side && t.Clock == u.Clock && t.Clock != "" && common > twiceSeconds {
				remarks.Add(remark.Doubt, "side-twice", remark.In(t.Label),
					"was taken as the %s foot, as %s was, and both cover the same %.0f s; one foot cannot be recorded twice at once: if one is of the other foot, give its side; if they were recorded one after the other, nothing is wrong",
					t.Side, u.Label, common)
			}
		}
	}
}
