package gait

import (
	"context"
	"errors"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/event"
	"setdown/gait/step"
	"setdown/signal/recording"
	"setdown/signal/remark"
)

// piece is one recording of one foot.
type piece struct {
	side       recording.Side
	begin, end float64 // s
	clock      string
	stride     float64 // s; 0 has no step
}

func toTracks(pieces []piece) ([]*recording.Track, []*trackResult) {
	var tracks []*recording.Track
	var results []*trackResult
	for _, p := range pieces {
		r := &trackResult{summary: recording.Summary{Begin: p.begin, End: p.end}}
		if p.stride > 0 {
			for range 5 {
				r.steps = append(r.steps, step.Step{Side: p.side, Used: true, StrideTime: p.stride})
			}
			// Neither a stride that was not measured nor one that is not used counts.
			r.steps = append(r.steps, step.Step{Used: true, StrideTime: math.NaN()})
			for range 20 {
				r.steps = append(r.steps, step.Step{StrideTime: 9 + p.begin})
			}
		}
		tracks, results = append(tracks, &recording.Track{Side: p.side, Clock: p.clock}), append(results, r)
	}
	return tracks, results
}

func TestOneFootRecordedTwiceAtOnceIsDoubted(t *testing.T) {
	const left, right = recording.Left, recording.Right
	for name, c := range map[string]struct {
		pieces []piece
		doubts int
	}{
		"both feet":                      {[]piece{{left, 0, 60, "a", 0}, {right, 0, 60, "a", 0}}, 0},
		"two of the left foot":           {[]piece{{left, 0, 60, "a", 0}, {left, 0.5, 61, "a", 0}}, 1},
		"two pieces of the left foot":    {[]piece{{left, 0, 60, "a", 0}, {left, 60, 120, "a", 0}}, 0},
		"sides that are not known":       {[]piece{{recording.SideUnknown, 0, 60, "a", 0}, {recording.SideUnknown, 0, 60, "a", 0}}, 0},
		"clocks that have nothing to do": {[]piece{{left, 0, 60, "", 0}, {left, 0, 60, "", 0}}, 0},
	} {
		tracks, results := toTracks(c.pieces)
		var remarks remark.List
		doubtTwice(tracks, results, &remarks)
		got := remarks.Sorted()
		require.Len(t, got, c.doubts, name)
		for _, r := range got {
			require.Equal(t, remark.Doubt, r.Level)
			require.Contains(t, r.Text, "taken as the left foot")
			require.Contains(t, r.Text, "the same 60 s")
		}
	}
}

func TestWhetherSidesMayBeCompared(t *testing.T) {
	const left, right = recording.Left, recording.Right
	one := func(sides ...recording.Side) []piece { // one after the other on one clock
		var out []piece
		for i, s := range sides {
			out = append(out, piece{s, float64(200 * i), float64(200*i + 100), "a", 0.7})
		}
		return out
	}
	unjoined := func(sides ...recording.Side) []piece {
		out := one(sides...)
		for i := range out {
			out[i].begin, out[i].end, out[i].clock = 0, 100, ""
		}
		return out
	}
	slower := func(p []piece, i int, by float64) []piece { p[i].stride *= 1 + by; return p }
	for _, c := range []struct {
		name                     string
		pieces                   []piece
		oneSensor                bool
		comparable, simultaneous bool
		because                  string
	}{
		{"both at once", []piece{{left, 0, 600, "a", 0.7}, {right, 1, 601, "a", 0.7}}, false, true, true, ""},
		{"half of the shorter in common", []piece{{left, 0, 600, "a", 0.7}, {right, 550, 650, "a", 0.7}}, false, true, true, ""},
		{"less than half in common", []piece{{left, 0, 600, "a", 0.7}, {right, 560, 660, "a", 0.7}}, false, false, false, "one after the other"},
		{"one after the other on one clock", one(left, right), false, false, false, "one after the other"},
		{"one foot alone", one(left), false, true, true, ""},
		{"two recordings of one foot", one(left, left), false, true, true, ""},
		{"clocks that are not joined", []piece{{left, 0, 600, "", 0.7}, {right, 0, 600, "", 0.9}}, false, true, false, ""},
		{"clocks of two devices", []piece{{left, 0, 600, "a", 0.7}, {right, 900, 1500, "b", 0.7}}, false, true, false, ""},
		{"both at once in two pieces", []piece{{left, 0, 100, "a", 0.7}, {right, 0, 100, "a", 0.7}, {left, 300, 400, "a", 0.7}, {right, 310, 410, "a", 0.7}}, false, true, true, ""},
		{"a piece of one foot without the other", []piece{{left, 0, 100, "a", 0.7}, {right, 0, 100, "a", 0.7}, {right, 300, 400, "a", 0.7}}, false, false, false, "one after the other"},
		{"left, right, left by the clock, given in another order", []piece{{right, 200, 300, "a", 0.7}, {left, 400, 500, "a", 0.7}, {left, 0, 100, "a", 0.7}}, false, true, false, ""},
		{"left, left, right by the clock, given as left, right, left", []piece{{left, 0, 100, "a", 0.7}, {right, 400, 500, "a", 0.7}, {left, 200, 300, "a", 0.7}}, false, false, false, "one after the other"},

		{"one sensor: left, right", unjoined(left, right), true, false, false, "one after the other"},
		{"one sensor: left, right, left", unjoined(left, right, left), true, true, false, ""},
		{"one sensor: right, left, right", unjoined(right, left, right), true, true, false, ""},
		{"one sensor: left, right, right, left", unjoined(left, right, right, left), true, true, false, ""},
		{"one sensor: left, right, left, right drifts", unjoined(left, right, left, right), true, false, false, "one after the other"},
		{"one sensor: left, left, right", unjoined(left, left, right), true, false, false, "one after the other"},
		{"one sensor at cadences 2.9 % apart", slower(unjoined(left, right, left), 1, 0.029), true, true, false, ""},
		{"one sensor at cadences 3.1 % apart", slower(unjoined(left, right, left), 1, 0.031), true, false, false, "differ by 3 %"},
		{"one sensor that slows down", slower(unjoined(left, right, left), 2, 0.08), true, false, false, "differ by 8 %"},
	} {
		t.Run(c.name, func(t *testing.T) {
			tracks, results := toTracks(c.pieces)
			comparable, simultaneous, because := together(tracks, results, c.oneSensor)
			require.Equal(t, c.comparable, comparable)
			require.Equal(t, c.simultaneous, simultaneous)
			require.Equal(t, c.because == "", because == "", because)
			require.Contains(t, because, c.because)
		})
	}
}

func TestARecordingWithoutStridesHasNoCadenceToCompare(t *testing.T) {
	const left, right = recording.Left, recording.Right
	tracks, results := toTracks([]piece{{left, 0, 100, "", 0.7}, {right, 0, 100, "", 0}, {left, 0, 100, "", 0.7}})
	comparable, _, because := together(tracks, results, true)
	require.False(t, comparable)
	require.NotEmpty(t, because)
}

// The order in which the feet come must not decide, and all must get the answer
// that DecideLandings gives for them together.
func TestTheCouncilWaitsForEveryFoot(t *testing.T) {
	for _, order := range [][]int{{0, 1, 2}, {2, 0, 1}} {
		c := newCouncil(3)
		answers := make(chan error, 3)
		for _, seat := range order[:2] {
			go func() {
				_, err := c.decide(context.Background(), seat, &event.LandingStudy{})
				answers <- err
			}()
		}
		got, err := c.decide(context.Background(), order[2], &event.LandingStudy{})
		require.NoError(t, err)
		require.Equal(t, event.DefaultLandings(), got)
		require.NoError(t, <-answers)
		require.NoError(t, <-answers)
	}
}

func TestTheCouncilDoesNotWaitForAFootThatFailed(t *testing.T) {
	ctx, cancel := context.WithCancelCause(context.Background())
	cancel(errors.New("the other foot cannot be read"))
	_, err := newCouncil(2).decide(ctx, 0, &event.LandingStudy{})
	require.ErrorIs(t, err, context.Canceled)
}
