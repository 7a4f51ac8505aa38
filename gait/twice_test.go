package gait

import (
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/event"
	"setdown/gait/simulate"
	"setdown/signal/recording"
	"setdown/signal/recording/dialects"
)

// Two sensors of one foot would give every step twice: more steps than were made,
// and intervals that are too narrow.
func TestTwoSensorsOfOneFootAtOnceAreRefused(t *testing.T) {
	s := simulate.Defaults(event.Running)
	s.Duration = 20
	foot := simulated(t, simulate.Run(s), recording.Left)
	set, err := recording.Open(t.Context(), dialects.Dialect{Shape: dialects.Wide, Sides: [2]string{"left_front", "left_rear"}}.Sources(foot, foot), recording.Options{})
	require.NoError(t, err)
	require.Len(t, set.Tracks, 2)
	_, err = Analyze(t.Context(), set, Settings{Seed: 1})
	require.EqualError(t, err, "both_foot.csv [left front]: holds the left foot at the same time as both_foot.csv [left rear]: its steps would be counted twice")
}

func TestPartsOfOneFootAreNoSecondSensor(t *testing.T) {
	pieces := []piece{{recording.Left, 0, 100, recording.ClockAbsolute, 0.7}, {recording.Left, 90, 200, recording.ClockAbsolute, 0.7}, {recording.Right, 0, 100, recording.ClockAbsolute, 0.7}}
	tracks, results := toTracks(pieces)
	require.NoError(t, oneAFoot(tracks, results))
	results[1].summary.Begin = 40
	require.Error(t, oneAFoot(tracks, results))
	tracks[1].Clock, tracks[0].Clock = "file 1", "file 1" // joined only because both begin at 0
	require.NoError(t, oneAFoot(tracks, results))
}
