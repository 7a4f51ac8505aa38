package gait

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/event"
	"setdown/gait/simulate"
	"setdown/signal/recording"
	"setdown/signal/remark"
)

// session.json must say why a recorded foot has no numbers, and of which file.
func TestAFootThatIsNotKnownIsARemarkWithItsFile(t *testing.T) {
	s := simulate.Defaults(event.Running)
	s.Duration = 20
	run := simulate.Run(s)
	file := func(side recording.Side) []byte {
		var b bytes.Buffer
		require.NoError(t, run.WriteCSV(&b, side, recording.Foot, simulate.Everyday))
		return b.Bytes()
	}
	about := func(right recording.Side) (out []remark.Remark) {
		set, err := recording.Open(t.Context(), []recording.Source{
			recording.Bytes("one.csv", file(recording.Left), recording.Left),
			recording.Bytes("two.csv", file(recording.Right), right)}, recording.Options{})
		require.NoError(t, err)
		res, err := Analyze(t.Context(), set, Settings{Seed: 1})
		require.NoError(t, err)
		for _, r := range res.Remarks {
			if r.Code == SideUnknown {
				out = append(out, r)
			}
		}
		return out
	}
	require.Empty(t, about(recording.Right))
	got := about(recording.SideUnknown)
	require.Len(t, got, 1)
	require.Equal(t, "two.csv", got[0].Place.File)
	require.Equal(t, remark.Loss, got[0].Level)
	require.Contains(t, got[0].Text, "does not say which foot it is of")
}
