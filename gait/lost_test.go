package gait

import (
	"bytes"
	"context"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/event"
	"setdown/gait/simulate"
	"setdown/gait/step"
	"setdown/signal/recording"
)

// lostRows is a stretch of rows, from a row up to another, that a logger lost.
type lostRows struct{ from, to int }

// loseRows draws stretches that do not touch each other.
func loseRows(rows, count, least, most int) []lostRows {
	rng := rand.New(rand.NewPCG(5, uint64(rows)))
	var out []lostRows
	for k := range count {
		from := 1 + rows/10 + (k*8+rng.IntN(3))*rows/(10*count)
		out = append(out, lostRows{from, from + least + rng.IntN(most-least+1)})
	}
	return out
}

// writtenAs writes what a logger makes of the lost rows: nothing, zeros, or the last
// values again. Line 0 is the heading.
func writtenAs(l []string, lost []lostRows, how string) []byte {
	var out []string
	next := 0
	for i, s := range l {
		for next < len(lost) && i >= lost[next].to {
			next++
		}
		if next < len(lost) && i >= lost[next].from {
			at, v, _ := strings.Cut(s, ",")
			switch how {
			case "gap":
				continue
			case "zeros":
				s = at + strings.Repeat(",0", strings.Count(v, ",")+1)
			case "held":
				_, v, _ = strings.Cut(l[lost[next].from-1], ",")
				s = at + "," + v
			}
		}
		out = append(out, s)
	}
	return []byte(strings.Join(out, "\n") + "\n")
}

// stepsOfLeft analyses a pair whose left foot lost rows.
func stepsOfLeft(t *testing.T, left, right []byte) []step.Step {
	set, err := recording.Open(context.Background(), []recording.Source{
		recording.Bytes("left_foot.csv", left, recording.Left), recording.Bytes("right_foot.csv", right, recording.Right)}, recording.Options{})
	require.NoError(t, err)
	res, err := Analyze(context.Background(), set, Settings{Seed: 1})
	require.NoError(t, err)
	steps, _ := sideSteps(res, "left")
	return steps
}

// requireLost holds the steps of a recording that lost rows, however they are
// written, against those of the whole recording and of one with true gaps.
func requireLost(t *testing.T, left, right []byte) {
	l := strings.Split(strings.TrimSpace(string(left)), "\n")
	whole := stepsOfLeft(t, left, right)
	times := make([]float64, len(l))
	for i := 1; i < len(l); i++ {
		cell, _, _ := strings.Cut(l[i], ",")
		times[i] = secondsIn(t, cell)
	}
	for _, size := range [][2]int{{2, 12}, {40, 120}} {
		lost := loseRows(len(l)-1, 12, size[0], size[1])
		gaps := stepsOfLeft(t, writtenAs(l, lost, "gap"), right)
		for _, how := range []string{"zeros", "held"} {
			got := stepsOfLeft(t, writtenAs(l, lost, how), right)
			require.Len(t, got, len(gaps), how)
			away := 0
			for i, s := range got {
				require.InDelta(t, gaps[i].InitialContact, s.InitialContact, 1e-3, how)
				require.Equal(t, gaps[i].Used, s.Used, "%s at %.3f s", how, s.InitialContact)
				require.Equal(t, math.IsNaN(gaps[i].PeakLoweringRate), math.IsNaN(s.PeakLoweringRate), "%s at %.3f s", how, s.InitialContact)
				near := math.Inf(1)
				for _, x := range lost {
					a, b := times[x.from], times[x.to-1]
					near = min(near, math.Max(a-s.InitialContact, s.InitialContact-b))
					if !math.IsNaN(s.PeakLoweringRate) {
						require.False(t, a < s.FootFlat && b > s.InitialContact, "%s: lowering over lost rows at %.3f s", how, s.InitialContact)
					}
				}
				if near < 1.5 {
					continue
				}
				away++
				was := nearestStep(whole, s.InitialContact)
				require.InDelta(t, was.InitialContact, s.InitialContact, 2e-3, how)
				require.InDelta(t, was.ContactTime, s.ContactTime, 4e-3, how)
			}
			require.GreaterOrEqual(t, away, 5, how)
		}
	}
}

func secondsIn(t *testing.T, cell string) float64 {
	v, err := strconv.ParseFloat(cell, 64)
	require.NoError(t, err)
	return v
}

// nearestStep is the step whose contact is nearest to a time, s.
func nearestStep(steps []step.Step, at float64) step.Step {
	best := steps[0]
	for _, s := range steps {
		if math.Abs(s.InitialContact-at) < math.Abs(best.InitialContact-at) {
			best = s
		}
	}
	return best
}

func TestLostSamplesWrittenAsZerosOrHeldCountAsGaps(t *testing.T) {
	for _, g := range []event.Gait{event.Running, event.Walking} {
		s := simulate.Defaults(g)
		s.Duration, s.Seed, s.Right.Gain = 60, 407, 0.5
		rec := simulate.Run(s)
		var files [2]bytes.Buffer
		for i, side := range []recording.Side{recording.Left, recording.Right} {
			require.NoError(t, rec.WriteCSV(&files[i], side, recording.Foot, simulate.Everyday))
		}
		requireLost(t, files[0].Bytes(), files[1].Bytes())
	}
}

func TestLostSamplesOfAnOpenRecordingCountAsGaps(t *testing.T) {
	dir := openData(t)
	for _, walk := range []string{"preferred", "slow"} {
		var files [2][]byte
		for i, name := range []string{"left_foot.csv", "right_foot.csv"} {
			data, err := os.ReadFile(filepath.Join(dir, "treadmill-walk-feet-shins", walk, name))
			require.NoError(t, err)
			files[i] = data
		}
		requireLost(t, files[0], files[1])
	}
}

// A sensor of half the rate, its values written twice, gives the contacts of the whole
// recording, no contact peaks, and says so.
func TestValuesWrittenTwiceGiveTheContactsOfTheTrueRate(t *testing.T) {
	s := simulate.Defaults(event.Running)
	s.Duration, s.Seed = 40, 408
	rec := simulate.Run(s)
	var whole, held [2][]byte
	for i, side := range []recording.Side{recording.Left, recording.Right} {
		var b bytes.Buffer
		require.NoError(t, rec.WriteCSV(&b, side, recording.Foot, simulate.Everyday))
		whole[i] = b.Bytes()
		l := strings.Split(strings.TrimSpace(b.String()), "\n")
		for k := 2; k < len(l); k += 2 {
			at, _, _ := strings.Cut(l[k], ",")
			_, v, _ := strings.Cut(l[k-1], ",")
			l[k] = at + "," + v
		}
		held[i] = []byte(strings.Join(l, "\n") + "\n")
	}
	want, got := stepsOfLeft(t, whole[0], whole[1]), stepsOfLeft(t, held[0], held[1])
	require.Len(t, got, len(want))
	for i, s := range got {
		require.InDelta(t, want[i].InitialContact, s.InitialContact, 0.5/100)
		require.True(t, math.IsNaN(s.HeelContactPeak))
		if s.Used {
			require.Contains(t, s.Reason, "contact peaks withheld")
		}
	}
}
