package simulate

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/event"
	"setdown/gait/step"
	"setdown/signal/recording"
)

// short returns settings of a short recording.
func short(g event.Gait, seed uint64) Settings {
	s := Defaults(g)
	s.Duration, s.Seed, s.StandBefore, s.StandAfter = 20, seed, 1, 1
	return s
}

// The truth is what its definitions say about the motion.
func TestTruthFollowsItsDefinitions(t *testing.T) {
	for _, g := range []event.Gait{event.Running, event.Walking} {
		s := short(g, 3)
		s.Right.Gain = 0.3
		for _, side := range []recording.Side{recording.Left, recording.Right} {
			m := newFootMotion(&s, side, nil)
			for _, x := range Truth(s) {
				if x.Side != side {
					continue
				}
				const e = 1e-4
				before := m.at(x.FootFlat - e)
				require.Greater(t, math.Abs(before.pitch.v), flatWithin, "not flat just before")
				flat := m.at(x.FootFlat)
				require.InDelta(t, flatWithin, math.Abs(flat.pitch.v), 1e-6)
				require.InDelta(t, -flat.pitch.d, x.FootFlatRate, 1e-6)
				require.InDelta(t, 1-x.FootFlatRate/x.PeakLoweringRate, x.DecelerationFraction, 1e-9)
				require.InDelta(t, x.FootFlat-x.InitialContact, x.TimeToFootFlat, 1e-9)
				require.GreaterOrEqual(t, x.PeakLoweringRate, x.FootFlatRate)
				if !math.IsNaN(x.ToeOff) {
					require.InDelta(t, x.ToeOff-x.InitialContact, x.ContactTime, 1e-9)
				}
				middle := m.at(x.InitialContact + 0.4*s.side(side).ContactTime)
				require.InDelta(t, 0, middle.pitch.v, 0.6*degree, "mid-stance is the zero")
			}
		}
	}
}

// The heel touches the ground at initial contact and not before; at toe-off the
// ball leaves it and not before.
func TestEventsAreWhereTheFootMeetsAndLeavesTheGround(t *testing.T) {
	for _, g := range []event.Gait{event.Running, event.Walking} {
		s := short(g, 5)
		m := newFootMotion(&s, recording.Left, nil)
		lowest := func(p pose) float64 {
			ball := p.z.v - ballRadius
			return math.Min(ball, p.z.v-ballRadius*math.Cos(p.pitch.v)-ballForward*math.Sin(p.pitch.v))
		}
		for _, x := range Truth(s) {
			if x.Side != recording.Left || x.Edge {
				continue
			}
			require.Greater(t, lowest(m.at(x.InitialContact-0.010)), 0.0, "10 ms before contact")
			require.InDelta(t, 0, lowest(m.at(x.InitialContact)), 1e-9)
			require.Less(t, lowest(m.at(x.InitialContact+0.002)), 0.0, "2 ms after contact")
			require.InDelta(t, 0, m.at(x.ToeOff-0.001).z.d, 1e-9, "the ball rests until toe-off")
			require.Greater(t, m.at(x.ToeOff+0.02).z.d, 0.0, "and rises after it")
		}
	}
}

func TestStepsAlternateAndAreNumbered(t *testing.T) {
	for _, g := range []event.Gait{event.Running, event.Walking} {
		steps := Truth(short(g, 1))
		counts := map[recording.Side]int{}
		for i, x := range steps {
			counts[x.Side]++
			require.Equal(t, counts[x.Side], x.Number)
			require.Equal(t, g, x.Gait)
			if i > 0 {
				require.Equal(t, steps[i-1].Side.Other(), x.Side)
			}
		}
		require.True(t, steps[0].Edge)
		require.True(t, steps[len(steps)-1].Edge)
		require.True(t, math.IsNaN(steps[len(steps)-1].ToeOff), "the last foot stays on the ground")
	}
}

func TestNoStepsWhileStanding(t *testing.T) {
	s := short(event.Running, 1)
	s.Duration, s.Pauses = 60, []Pause{{10, 20}}
	steps := Truth(s)
	stops := 0
	for i := range steps {
		x := steps[i]
		require.True(t, x.InitialContact > s.StandBefore && x.InitialContact < s.Duration-s.StandAfter)
		if i > 0 && x.InitialContact-steps[i-1].InitialContact > 2 {
			stops++
			require.InDelta(t, 20, x.InitialContact-steps[i-1].InitialContact, 2)
			require.True(t, x.Edge && steps[i-1].Edge)
			require.True(t, math.IsNaN(steps[i-1].StrideTime), "a pause is no stride")
		}
	}
	require.Equal(t, 1, stops)
}

func TestGainCourseIsFollowed(t *testing.T) {
	s := short(event.Running, 1)
	s.Duration, s.Right.GainSD = 120, 0
	s.Right.GainCourse = []GainPoint{{40, 1}, {80, 0.3}}
	for _, x := range Truth(s) {
		if x.Side == recording.Right {
			want := 1.0
			if x.InitialContact > 40 {
				want = math.Max(0.3, 1-0.7*(x.InitialContact-40)/40)
			}
			require.InDelta(t, want, x.Gain, 1e-9)
		}
	}
}

func TestTruthSurvivesItsFile(t *testing.T) {
	s := short(event.Running, 2)
	s.Left.StrikeAngle = 0
	r := Run(s)
	var file bytes.Buffer
	require.NoError(t, r.WriteTruth(&file))
	back, err := ReadTruth(bytes.NewReader(file.Bytes()), "truth.csv")
	require.NoError(t, err)
	require.Len(t, back, len(r.Steps()))
	for i, want := range r.Steps() {
		got := back[i]
		require.Equal(t, want.Side, got.Side)
		require.Equal(t, want.Number, got.Number)
		require.Equal(t, want.HeelFirst, got.HeelFirst)
		require.Equal(t, want.Strike, got.Strike)
		require.Equal(t, want.Edge, got.Edge)
		for name, pair := range map[string][2]float64{
			"initial contact": {want.InitialContact, got.InitialContact}, "foot-flat": {want.FootFlat, got.FootFlat},
			"toe-off": {want.ToeOff, got.ToeOff}, "peak": {want.PeakLoweringRate, got.PeakLoweringRate},
			"time": {want.TimeToFootFlat, got.TimeToFootFlat}, "gain": {want.Gain, got.Gain}, "strike": {want.StrikeAngle, got.StrikeAngle},
		} {
			require.Equal(t, math.IsNaN(pair[0]), math.IsNaN(pair[1]), name)
			if !math.IsNaN(pair[0]) {
				require.InDelta(t, pair[0], pair[1], 1e-6, name)
			}
		}
	}
	var again bytes.Buffer
	require.NoError(t, WriteTruth(&again, back))
	require.Equal(t, file.String(), again.String())
}

func TestReadTruthNamesTheCell(t *testing.T) {
	tests := []struct{ file, want string }{
		{"", "t.csv:1: no heading"},
		{"side,step\n", `t.csv:1: no column "initial_contact_s"`},
		{"side,initial_contact_s\nleft,x\n", `t.csv:2: column "initial_contact_s": "x" is not a number`},
		{"side,initial_contact_s\nleft,1\nleft,\n", `t.csv:3: column "initial_contact_s": "" is not a number`},
		{"side,initial_contact_s\nup,1\n", `t.csv:2: column "side": "up" is not left or right`},
		{"side,initial_contact_s\nleft,1,2\n", "t.csv: record on line 2"},
	}
	for _, test := range tests {
		_, err := ReadTruth(strings.NewReader(test.file), "t.csv")
		require.ErrorContains(t, err, test.want)
	}
	steps, err := ReadTruth(strings.NewReader("initial_contact_s,side\n1.5,left\n"), "t.csv")
	require.NoError(t, err)
	require.Equal(t, 1.5, steps[0].InitialContact)
	require.True(t, math.IsNaN(steps[0].ToeOff))
	require.Equal(t, step.Unknown, steps[0].HeelFirst)
}

func FuzzReadTruth(f *testing.F) {
	f.Add("side,initial_contact_s\nleft,1\n")
	f.Add("side,step,gait,initial_contact_s,heel_first,edge\nright,2,running,1e3,true,false\n")
	f.Fuzz(func(t *testing.T, file string) {
		steps, err := ReadTruth(strings.NewReader(file), "t.csv")
		if err != nil {
			return
		}
		var out bytes.Buffer
		require.NoError(t, WriteTruth(&out, steps))
		back, err := ReadTruth(&out, "t.csv")
		require.NoError(t, err)
		require.Len(t, back, len(steps))
	})
}
