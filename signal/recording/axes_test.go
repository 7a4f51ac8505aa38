package recording_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/signal/recording"
)

// The step rate needs no more than one axis of an accelerometer, and no name that
// says where it was worn.
func TestTheStepRateDoesWithoutSomeAxes(t *testing.T) {
	l := lines(t)
	join := func(cells ...int) string { return strings.Join(columns(l, cells...), "\n") + "\n" }
	for _, c := range []struct {
		name, data string
		stepRate   bool
		lost       string
		axes       int
	}{
		{"two axes and no gyroscope", join(0, 1, 3), false, "the accelerometer's acc_y is missing; only the step rate can be found", 2},
		{"one axis and no gyroscope", join(0, 3), false, "the accelerometer's acc_x and acc_y are missing; only the step rate can be found", 1},
		{"an axis of the accelerometer", join(0, 1, 3, 4, 5, 6), true, "the accelerometer's acc_y is missing; only the step rate can be found", 2},
		{"an axis of the gyroscope", join(0, 1, 2, 3, 4, 5), true, "the gyroscope's gyr_z is missing; the gyroscope is left out, and only the step rate can be found", 3},
	} {
		t.Run(c.name, func(t *testing.T) {
			set, err := recording.Open(t.Context(), []recording.Source{recording.Bytes("left_foot.csv", []byte(c.data), recording.SideUnknown)}, recording.Options{StepRate: c.stepRate})
			require.NoError(t, err)
			k := set.Tracks[0]
			require.Equal(t, c.axes, k.AccAxes)
			lost := map[string]string{}
			for _, r := range set.Remarks.Sorted() {
				lost[r.Code] = r.Text
			}
			require.Equal(t, c.lost, lost["axis-missing"])
			require.False(t, k.HasAcc && k.HasGyr, "no lowering is measured on it")
		})
	}
}

// An axis that is dead is missing too: it stops the lowering, not the step rate.
func TestTheStepRateDoesWithADeadAxis(t *testing.T) {
	l := lines(t)
	for i := 1; i < len(l); i++ {
		l = put(l, i+1, 2, "0.25")
	}
	src := []recording.Source{recording.Bytes("left_foot.csv", []byte(strings.Join(l, "\n")+"\n"), recording.SideUnknown)}
	_, err := recording.Open(t.Context(), src, recording.Options{})
	require.ErrorContains(t, err, "this axis of the accelerometer is missing")
	_, err = recording.Open(t.Context(), src, recording.Options{StepRate: true})
	require.NoError(t, err)
}
