package gait

import (
	"bytes"
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/event"
	"setdown/gait/simulate"
	"setdown/signal/recording"
)

// A recording may end at any moment of a stride. A contact is then named only
// where the foot has come down: never in the air.
func TestARecordingThatEndsInTheAirNamesNoContactThere(t *testing.T) {
	for _, g := range []event.Gait{event.Running, event.Walking} {
		s := simulate.Defaults(g)
		s.Duration = 20
		rec := simulate.Run(s)
		var file bytes.Buffer
		require.NoError(t, rec.WriteCSV(&file, recording.Left, recording.Foot, simulate.Everyday))
		lines := bytes.SplitAfter(file.Bytes(), []byte("\n"))
		var truth []float64
		for _, x := range rec.Steps() {
			if x.Side == recording.Left {
				truth = append(truth, x.InitialContact)
			}
		}
		wrong, cuts := 0, 0
		for end := int(12 * s.Left.Foot.Rate); end < int(14*s.Left.Foot.Rate); end += 2 {
			cuts++
			for _, c := range landingsOf(t, bytes.Join(lines[:end], nil)) {
				if math.Abs(c-truth[nearest(truth, c)]) > 0.05 {
					wrong++
					t.Logf("%v: a contact at %.3f s in a recording that ends at %.3f s", g, c, float64(end)/s.Left.Foot.Rate)
				}
			}
		}
		t.Logf("%v: %d invented in %d cuts", g, wrong, cuts)
		require.Zero(t, wrong, g)
	}
}

func landingsOf(t *testing.T, file []byte) []float64 {
	set, err := recording.Open(context.Background(), []recording.Source{recording.Bytes("left.csv", file, recording.Left)}, recording.Options{})
	require.NoError(t, err)
	res, err := Analyze(context.Background(), set, Settings{Seed: 1})
	require.NoError(t, err)
	_, contacts := sideSteps(res, "left")
	return contacts
}
