package gait

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/event"
	"setdown/gait/simulate"
	"setdown/gait/step"
	"setdown/signal/recording"
)

// Samples that were lost round a contact hide when it happened, and round toe-off
// when it ended: no step is used, and no time is told, by what was filled in there.
// The truth is the simulator's.
func TestNoTimeIsToldByWhatWasFilledIn(t *testing.T) {
	for _, gait := range []event.Gait{event.Walking, event.Running} {
		s := simulate.Defaults(gait)
		s.Duration, s.Seed = 90, 4712
		rec := simulate.Run(s.CleanClocks())
		var left, right bytes.Buffer
		require.NoError(t, rec.WriteCSV(&left, recording.Left, recording.Foot, simulate.Everyday))
		require.NoError(t, rec.WriteCSV(&right, recording.Right, recording.Foot, simulate.Everyday))
		lines := strings.Split(strings.TrimSpace(left.String()), "\n")
		first, _, _ := strings.Cut(lines[1], ",")
		line := func(at float64) int { return 1 + int((at-secondsIn(t, first))*s.Left.Foot.Rate) }
		var truth []step.Step
		var lost []lostRows
		for _, x := range rec.Steps() {
			if x.Side != recording.Left {
				continue
			}
			truth = append(truth, x.Step)
			// The hole lies unevenly about the event, so that filling in is wrong.
			switch len(truth) % 8 {
			case 0:
				lost = append(lost, lostRows{line(x.InitialContact - 0.02), line(x.InitialContact + 0.11)})
			case 4:
				lost = append(lost, lostRows{line(x.ToeOff - 0.11), line(x.ToeOff + 0.02)})
			}
		}
		used := 0
		for _, x := range stepsOfLeft(t, writtenAs(lines, lost, "gap"), right.Bytes()) {
			want := nearestStep(truth, x.InitialContact)
			if x.Used {
				used++
				require.InDelta(t, want.InitialContact, x.InitialContact, 0.010, "%s step %d", gait, x.Number)
			}
			if x.Used && !math.IsNaN(x.ContactTime) {
				require.InDelta(t, want.ContactTime, x.ContactTime, 0.020, "%s step %d", gait, x.Number)
			}
			if !math.IsNaN(x.StrideTime) {
				require.InDelta(t, want.StrideTime, x.StrideTime, 0.015, "%s step %d", gait, x.Number)
			}
		}
		require.Greater(t, 4*used, 3*len(truth), "%s: the steps without a hole are used", gait)
	}
}
