package recording_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/signal/recording"
	"setdown/signal/recording/dialects"
)

// Two sensors of 100 Hz whose rows take turns must not pass for one of 200 Hz:
// neither where every other row is the other's, nor where they come in packets.
func TestAnUnknownColumnTellsSensorsThatTakeTurns(t *testing.T) {
	a, b := dialects.Swinging(100, 20, 0), dialects.Swinging(100, 20, 0.4)
	line := func(s dialects.Samples, who string, i int, late float64) string {
		return fmt.Sprintf("%.4f,%s,%.4f,%.4f,%.4f,%.4f,%.4f,%.4f\n", float64(i)/100+late, who, s.Acc[0][i], s.Acc[1][i], s.Acc[2][i], s.Gyr[0][i], s.Gyr[1][i], s.Gyr[2][i])
	}
	for _, packet := range []int{1, 10} {
		var text strings.Builder
		text.WriteString("time_s,quelle,ax,ay,az,gx,gy,gz\n")
		for i := 0; i < a.Len(); i += packet {
			for k := range packet {
				text.WriteString(line(a, "alpha", i+k, 0))
			}
			for k := range packet {
				text.WriteString(line(b, "beta", i+k, 0.0043))
			}
		}
		set, err := recording.Open(t.Context(), []recording.Source{recording.Bytes("foot.csv", []byte(text.String()), recording.SideUnknown)}, recording.Options{})
		require.NoError(t, err)
		require.Len(t, set.Tracks, 2, "packets of %d", packet)
		require.Equal(t, 100.0, set.Tracks[0].Rate)
	}
}

// A word for what the person does is no sensor.
func TestAColumnOfActivitiesTellsNoSensors(t *testing.T) {
	s := dialects.Swinging(100, 20, 0)
	var text strings.Builder
	text.WriteString("time_s,what,ax,ay,az,gx,gy,gz\n")
	for i := range s.Len() {
		fmt.Fprintf(&text, "%.2f,%s,%.4f,%.4f,%.4f,%.4f,%.4f,%.4f\n", float64(i)/100, []string{"calm", "go"}[i/30%2], s.Acc[0][i], s.Acc[1][i], s.Acc[2][i], s.Gyr[0][i], s.Gyr[1][i], s.Gyr[2][i])
	}
	set, err := recording.Open(t.Context(), []recording.Source{recording.Bytes("left_foot.csv", []byte(text.String()), recording.SideUnknown)}, recording.Options{})
	require.NoError(t, err)
	require.Len(t, set.Tracks, 1)
}

// The French G (gauche) is a side only beside a D: the g of these headings is the
// unit, and the file's name tells the side.
func TestALoneGIsNoSide(t *testing.T) {
	s := dialects.Swinging(200, 10, 0)
	d := dialects.Dialect{AccHead: func(axis string) string { return "g a" + axis }, GyrHead: func(axis string) string { return "dps g" + axis }}
	for i, want := range []recording.Side{recording.Left, recording.Right} {
		set, err := recording.Open(t.Context(), d.Sources(s, s)[i:i+1], recording.Options{})
		require.NoError(t, err)
		require.Len(t, set.Tracks, 1)
		require.Equal(t, want, set.Tracks[0].Side)
	}
}
