package gait

import (
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/signal/recording"
)

// Where a gyroscope is missing and columns were not understood, the error says how to
// name them; where there are none, only what can be done without.
func TestAMissingSensorIsLookedForAmongColumnsNotUnderstood(t *testing.T) {
	table := func(heads string) error {
		rows := "time_s,ax,ay,az," + heads + "\n"
		for i := range 400 {
			rows += strconv.FormatFloat(float64(i)/200, 'f', 3, 64) + ",0.1,0.2,9.8,0.01,0.02,0.03\n"
		}
		set, err := recording.Open(t.Context(), []recording.Source{recording.Bytes("left_foot.csv", []byte(rows), recording.Left)}, recording.Options{})
		require.NoError(t, err)
		_, err = Analyze(t.Context(), set, Settings{Seed: 1})
		return err
	}
	var e *recording.Error
	require.ErrorAs(t, table("u,v,s3"), &e)
	require.Equal(t, `if the gyroscope is among the columns that were not understood ("u", "v", "s3"), name it with --columns: setdown inspect left_foot.csv --save columns.txt writes a file to edit; for the step rate alone use: setdown cadence left_foot.csv`, e.Hint)
	require.ErrorAs(t, table("mag_x,mag_y,mag_z"), &e)
	require.Equal(t, "for the step rate alone use: setdown cadence left_foot.csv", e.Hint)
}
