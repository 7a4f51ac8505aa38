package gait

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/event"
	"setdown/gait/simulate"
	"setdown/signal/recording"
)

// A defect met in one foot's track must not end a server or a trial: it reaches
// whoever called, and the other foot, which waits for it, is let go.
func TestAPanicInOneTrackReachesTheCaller(t *testing.T) {
	s := simulate.Defaults(event.Running)
	s.Duration = 12
	var left bytes.Buffer
	require.NoError(t, simulate.Run(s).WriteCSV(&left, recording.Left, recording.Foot, simulate.Everyday))
	set, err := recording.Open(t.Context(), []recording.Source{recording.Bytes("left.csv", left.Bytes(), recording.Left)}, recording.Options{})
	require.NoError(t, err)
	broken := &recording.Track{Label: "no file behind it", Side: recording.Right, Site: recording.Foot, HasAcc: true, HasGyr: true}
	set.Tracks = append(set.Tracks, broken)
	require.Panics(t, func() { _, _ = Analyze(t.Context(), set, Settings{}) })
}
