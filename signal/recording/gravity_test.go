package recording_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/signal/recording"
)

// parted writes a sensor at rest whose acceleration stands in two parts.
func parted(heads string) string {
	var b strings.Builder
	b.WriteString(heads)
	for i := range 800 {
		fmt.Fprintf(&b, "%.3f,%.3f,0.001,-0.002,0.1,0.2,%.3f,0.01,0.02,0.03\n", float64(i)/200, 0.001*float64(i%3), 0.974)
	}
	return b.String()
}

// Where gravity stands in columns of its own beside an acceleration without it, the
// error says what to add to what.
func TestGravityBesideAnAccelerationWithoutItIsNamed(t *testing.T) {
	for heads, hint := range map[string]string{
		"time_s,userAcceleration.x (G),userAcceleration.y (G),userAcceleration.z (G),gravity.x (G),gravity.y (G),gravity.z (G),gyroX,gyroY,gyroZ\n": `gravity was taken out of it: export raw acceleration, or add column "gravity.x (G)" and its like to it, axis by axis in one unit, and give the table with the sums`,
		"time_s,accX,accY,accZ,gravX,gravY,gravZ,gyroX,gyroY,gyroZ\n":                                                                               `gravity was taken out of it: export raw acceleration, or add column "gravX" and its like to it, axis by axis in one unit, and give the table with the sums`,
		"time_s,accX,accY,accZ,magX,magY,magZ,gyroX,gyroY,gyroZ\n":                                                                                  "for raw counts give the scale with --columns; setdown inspect left_foot.csv --save writes a file to edit",
	} {
		_, err := recording.Open(t.Context(), []recording.Source{recording.Bytes("left_foot.csv", []byte(parted(heads)), recording.Left)}, recording.Options{})
		var e *recording.Error
		require.ErrorAs(t, err, &e, heads)
		require.Regexp(t, "the acceleration reads nearly 0|reads 0.00.* when stillest", e.Msg)
		require.Equal(t, hint, e.Hint)
	}
}
