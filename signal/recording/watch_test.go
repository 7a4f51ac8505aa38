package recording_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/signal/recording"
)

// watchRows makes a watch export at 1 Hz with a step rate and a speed.
func watchRows(head string, rate, speed float64, n int) string {
	var b strings.Builder
	b.WriteString(head + "\n")
	for i := range n {
		fmt.Fprintf(&b, "%d,%.0f,%.2f,%d\n", i, rate+float64(i%3), speed, 140+i%5)
	}
	return b.String()
}

func TestWatchTellsStepsFromStridesBySpeed(t *testing.T) {
	for _, c := range []struct {
		name, head   string
		rate, speed  float64
		opt          recording.Options
		steps, first float64
	}{
		{"steps running", "time,cadence,speed (m/s),heart_rate", 168, 3, recording.Options{}, 168, 3},
		{"strides running", "time,cadence,speed (m/s),heart_rate", 84, 3, recording.Options{}, 168, 3},
		{"strides running in km/h", "time,cadence,speed (km/h),heart_rate", 84, 10.8, recording.Options{}, 168, 3},
		{"strides running, unit unstated", "time,cadence,speed,heart_rate", 84, 10.8, recording.Options{}, 168, 3},
		{"steps walking", "time,cadence,speed (m/s),heart_rate", 112, 1.3, recording.Options{}, 112, 1.3},
		{"strides walking", "time,cadence,speed (m/s),heart_rate", 56, 1.3, recording.Options{}, 112, 1.3},
		{"stated strides", "time,cadence (strides/min),speed (m/s),heart_rate", 84, 0, recording.Options{}, 168, 0},
		{"German steps", "Zeit,Schrittfrequenz,Geschwindigkeit (m/s),Herzfrequenz", 84, 0, recording.Options{}, 84, 0},
		{"given", "time,cadence,speed (m/s),heart_rate", 84, 0, recording.Options{CadenceCounts: recording.CountsStrides}, 168, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			data := watchRows(c.head, c.rate, c.speed, 90)
			s, err := recording.Open(t.Context(), []recording.Source{recording.Bytes("run.csv", []byte(data), recording.SideUnknown)}, c.opt)
			require.NoError(t, err)
			require.Empty(t, s.Tracks)
			require.Len(t, s.Cadences, 1)
			w := s.Cadences[0]
			require.Len(t, w.Time, 90)
			require.InDelta(t, c.steps, w.StepsPerMinute[0], 1e-9)
			require.InDelta(t, c.first, w.Speed[0], 1e-9)
			require.InDelta(t, 89, w.Time[89], 1e-9)
			require.NotEmpty(t, w.Input.SHA256)
		})
	}
}

func TestWatchStepRateIsNeverGuessed(t *testing.T) {
	data := watchRows("time,cadence,altitude,heart_rate", 84, 12, 60)
	_, err := recording.Open(t.Context(), []recording.Source{recording.Bytes("run.csv", []byte(data), recording.SideUnknown)}, recording.Options{})
	require.EqualError(t, err, `run.csv:1: column "cadence": a step rate of 85 may count the steps of both feet or the strides of one`)
	var e *recording.Error
	require.ErrorAs(t, err, &e)
	require.Equal(t, "say which with --cadence-counts steps or --cadence-counts strides", e.Hint)
}
