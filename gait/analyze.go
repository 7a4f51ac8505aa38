package gait

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"runtime"
	"slices"
	"strconv"
	"strings"

	"github.com/sourcegraph/conc/pool"

	"setdown/gait/asymmetry"
	"setdown/gait/estimate"
	"setdown/gait/session"
	"setdown/gait/step"
	"setdown/signal/orient"
	"setdown/signal/recording"
	"setdown/signal/remark"
)

// Analyze turns the tracks of a set into one result. Foot tracks give
// everything; it is an error if there is none that can be used, or if two
// tracks of one foot certainly cover the same time. Where their clocks are only
// taken to be one, the two are pooled with a doubt: they may have been recorded
// one after the other.
//
// The result depends on the set and the settings only: not on the number of
// workers, the clock or the machine's load.
func Analyze(ctx context.Context, set *recording.Set, s Settings) (*Result, error) {
	tracks, err := footTracks(set)
	if err != nil {
		return nil, err
	}
	results := make([]*trackResult, len(tracks))
	group := pool.New().WithContext(ctx).WithCancelOnError().WithFirstError()
	council := newCouncil(len(tracks))
	for i, t := range tracks {
		group.Go(func(ctx context.Context) error {
			r, err := readTrack(ctx, t, s, council, i)
			results[i] = r
			return err
		})
	}
	if err := group.Wait(); err != nil {
		return nil, err
	}
	if err := oneAFoot(tracks, results); err != nil {
		return nil, err
	}
	return assemble(set, tracks, results, s), nil
}

// footTracks are the tracks that steps can be measured on.
func footTracks(set *recording.Set) ([]*recording.Track, error) {
	var out []*recording.Track
	for _, t := range set.Tracks {
		if (t.Site == recording.Foot || t.Site == recording.SiteUnknown) && t.HasAcc && t.HasGyr {
			out = append(out, t)
		}
	}
	if len(out) == 0 {
		out = shinTracks(set)
	}
	if len(out) > 0 {
		return out, nil
	}
	if len(set.Tracks) > 0 {
		t := set.Tracks[0]
		return nil, &recording.Error{File: t.Label, Msg: fmt.Sprintf("no foot or shin sensor with accelerometer and gyroscope among the inputs (this one: %s)", t.Site),
			Hint: unreadHint(t) + "for the step rate alone use: setdown cadence " + t.Label}
	}
	if len(set.Cadences) > 0 {
		c := set.Cadences[0]
		return nil, &recording.Error{File: c.Label, Msg: "a watch export holds the step rate but no motion of the foot",
			Hint: "for the step rate use: setdown cadence " + c.Label}
	}
	return nil, &recording.Error{Msg: "no recording given", Hint: "type: setdown analyze --left LEFT.csv --right RIGHT.csv --out DIR"}
}

// unreadHint says how to name the columns that tell nothing, where they are enough for
// the sensor that a track lacks; "" where it lacks none.
func unreadHint(t *recording.Track) string {
	if t.HasAcc == t.HasGyr || len(t.Unread) < 3 || len(t.Inputs) == 0 {
		return ""
	}
	sensor := map[bool]string{true: "gyroscope", false: "accelerometer"}[t.HasAcc]
	names := make([]string, 0, 6)
	for _, n := range t.Unread[:min(len(t.Unread), cap(names))] {
		names = append(names, strconv.Quote(n))
	}
	return fmt.Sprintf("if the %s is among the columns that were not understood (%s), name it with --columns: setdown inspect %s --save columns.txt writes a file to edit; ",
		sensor, strings.Join(names, ", "), t.Inputs[0].Name)
}

// assemble puts the tracks together.
func assemble(set *recording.Set, tracks []*recording.Track, results []*trackResult, s Settings) *Result {
	r := &Result{Version: s.Version, Method: Method, Seed: s.Seed, Start: set.Start, Injured: s.Injured, Unused: unused(set, tracks)}
	var remarks remark.List
	remarks.Join(&set.Remarks)
	for i, t := range tracks {
		res := results[i]
		r.Inputs = append(r.Inputs, Input{Files: t.Inputs, Label: t.Label, Side: t.Side, Site: t.Site, RateHz: t.Rate,
			Mapping: t.Mapping, Samples: res.summary.Samples, DurationS: res.summary.Duration()})
		if res.excerpt != nil {
			r.Excerpts = append(r.Excerpts, *res.excerpt)
		}
		remarks.Join(&res.remarks)
	}
	remarkSideless(tracks, results, &remarks)
	remarkUnused(set, tracks, &remarks)
	if !s.OneSensor {
		doubtTwice(tracks, results, &remarks)
	}
	compare := asymmetry.Settings{Injured: s.Injured, Floors: s.Floors}
	compare.SameRecording, compare.Simultaneous, compare.OtherwiseBecause = together(tracks, results, s.OneSensor)
	if compare.Simultaneous {
		remarkSilent(tracks, results, &remarks)
	}
	r.Steps = inTime(results)
	number(r.Steps)
	cfg := estimate.Config{Seed: s.Seed}
	r.Session = session.Summarise(r.Steps, cfg)
	compare.Estimate = cfg
	r.Together = Together{compare.SameRecording, compare.OtherwiseBecause, compare.Simultaneous}
	r.Asymmetry = asymmetry.Compare(r.Session, r.Steps, compare)
	if compare.Simultaneous {
		asymmetry.Within(r.Asymmetry, r.Steps, compare)
	}
	r.Withheld = withheld(r, tracks, results)
	r.Choices = choices(tracks, results, s)
	r.Remarks = remarks.Sorted()
	return r
}

// inTime puts the steps of all tracks, each in time order, into one order of
// time, and lets go of those of the tracks.
func inTime(results []*trackResult) []step.Step {
	n := 0
	for _, res := range results {
		n += len(res.steps)
	}
	out := make([]step.Step, 0, n)
	next := make([]int, len(results))
	for range n {
		first := -1
		for i, res := range results {
			if next[i] < len(res.steps) && (first < 0 || earlier(&res.steps[next[i]], &results[first].steps[next[first]]) < 0) {
				first = i
			}
		}
		out = append(out, results[first].steps[next[first]])
		next[first]++
	}
	for _, res := range results {
		res.steps = nil
	}
	if n > manySteps {
		runtime.GC()
	}
	return out
}

// manySteps is how many steps are held twice, the tracks' and the joined ones, for
// long enough to matter: what the tracks held is let go of before more is needed,
// or the heap would be let grow by half of both.
const manySteps = 20_000

// earlier compares two steps by time, then by side.
func earlier(a, b *step.Step) int {
	return cmp.Or(cmp.Compare(a.InitialContact, b.InitialContact), cmp.Compare(a.Side, b.Side))
}

// number makes sure of the order of time, which the initial contacts of two
// windows that overlap may break, and counts the steps anew per side.
func number(steps []step.Step) {
	for i := 1; i < len(steps); i++ {
		if earlier(&steps[i-1], &steps[i]) > 0 {
			slices.SortStableFunc(steps, func(a, b step.Step) int { return earlier(&a, &b) })
			break
		}
	}
	count := [3]int{}
	for i := range steps {
		count[steps[i].Side]++
		steps[i].Number = count[steps[i].Side]
	}
}

// withheld lists the measures that nobody will find a number for.
func withheld(r *Result, tracks []*recording.Track, results []*trackResult) []Withheld {
	var out []Withheld
	for _, side := range []*session.Side{r.Session.Left, r.Session.Right} {
		if side == nil {
			continue
		}
		for _, m := range step.Catalogue() {
			if side.Get(m.Key).N == 0 {
				out = append(out, Withheld{fmt.Sprintf("%s, %s foot", m.Label, side.Side), whyNone(side, m, tracks, results)})
			}
		}
	}
	return out
}

func whyNone(side *session.Side, m step.Metric, tracks []*recording.Track, results []*trackResult) string {
	for i, t := range tracks {
		if why := results[i].limits.Withholds(m); t.Side == side.Side && why != "" {
			return why
		}
	}
	switch {
	case side.Used == 0:
		return "no usable step on this side"
	case m.FromPeak() && side.Selected(m):
		return fmt.Sprintf("%d of %d steps hit harder than the accelerometer's range can show, and the others are the softer ones; set a wider range than it had, 16 g at least, or fasten the sensor where it is hit less hard, over the laces (docs/recording.md, Range)", side.Hard, side.Used)
	case side.Selected(m):
		return fmt.Sprintf("%d of %d steps turned faster than the gyroscope's range can show, and the others are the slower ones; set a wider range, 1000 deg/s at least, better 2000 (docs/recording.md, Range)", side.Fast, side.Used)
	case m.Lowering && side.Get(step.HeelFirstKey).Center == 0:
		return "no step on this side lands heel first"
	}
	return "not measurable in any used step; see the reasons in steps.csv"
}

// choices lists what was decided, in words.
func choices(tracks []*recording.Track, results []*trackResult, s Settings) []Choice {
	var out []Choice
	for i, t := range tracks {
		a := results[i].alignment
		out = append(out,
			Choice{t.Label + ": sampling rate", fmt.Sprintf("%.4g Hz", t.Rate)},
			Choice{t.Label + ": alignment", alignmentWords(t, a)})
	}
	for i, t := range tracks {
		for _, how := range results[i].landings.From {
			if how != "" {
				out = append(out, Choice{t.Label + ": initial contact", how})
			}
		}
	}
	return append(out, Choice{"resampling", fmt.Sprintf("%d block resamples, seed %d", estimate.DefaultResamples, s.Seed)})
}

// alignmentWords says how the mounting of a track was found.
func alignmentWords(t *recording.Track, a orient.Alignment) string {
	if t.Site == recording.Shin {
		return fmt.Sprintf("from %d swings; %.0f %% of the turning is about the left-right axis, an impact follows the forward turn in %s of them", a.Strides, a.AxisShare*100, share(a.ForwardVotes))
	}
	return fmt.Sprintf("from %d stance phases; up differs by %.1f deg between stances (median), %.0f %% of the turning is about the left-right axis, forward agrees with the travel of %s of the strides and with the push-off of %s",
		a.Strides, a.UpSpread*180/math.Pi, a.AxisShare*100, share(a.ForwardVotes), share(a.PushOffVotes))
}

func share(v float64) string {
	if math.IsNaN(v) {
		return "none"
	}
	return fmt.Sprintf("%.0f %%", v*100)
}
