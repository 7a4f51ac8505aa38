package event

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// pushing is a window whose push-off is a half sine of 8 rad/s from sample 100
// to 160 at 200 Hz, with the swing after it; the swing before had its fastest
// moment at sample 10 and ended at upEnd.
func pushing(upEnd, nextSwing int) *Window {
	w := resting(nextSwing+30, 200)
	w.Swing, w.UpEnd, w.DownEnd, w.NextSwing = 10, upEnd, 160, nextSwing
	for i := range w.Len() {
		switch {
		case i > 100 && i <= 160:
			w.Gyr[1][i] = 8 * math.Sin(math.Pi*(float64(i)-100)/60.5)
		case i > 160:
			w.Gyr[1][i] = -8 * math.Sin(math.Pi*(float64(i)-160.5)/float64(2*(nextSwing-160)))
		}
	}
	return w
}

func TestToeOffComesAFixedTimeBeforeThePushOffTurnEnds(t *testing.T) {
	walk := pushing(20, 190) // fastest push-off 110 samples after swing in a stride of 180
	require.Equal(t, Walking, walk.Gait())
	require.InDelta(t, 160.5-walkingToeOff*200, toeOff(walk), 0.1)

	run := pushing(60, 190) // 70 of 180
	require.Equal(t, Running, run.Gait())
	require.InDelta(t, 160.5-runningToeOff*200, toeOff(run), 0.1)

	run.NextSwing = -1
	require.Equal(t, GaitUnknown, run.Gait())
}

func TestToeOffNeverComesBeforeThePushOffHasRisen(t *testing.T) {
	w := pushing(20, 190)
	for i := 101; i < 155; i++ {
		w.Gyr[1][i] = 0.1 // a late, short push-off
	}
	w.Gyr[1][155], w.Gyr[1][156], w.Gyr[1][157] = 3, 6, 8
	require.InDelta(t, 155, toeOff(w), 1e-9, "the last sample below half of the fastest rate")
}

func TestToeOffIsNaNWhereThePushOffDoesNotEnd(t *testing.T) {
	w := pushing(20, 190)
	for i := 150; i < w.Len(); i++ {
		w.Gyr[1][i] = 1
	}
	require.True(t, math.IsNaN(toeOff(w)))
}

func TestVertexIsTheTopOfTheParabola(t *testing.T) {
	for _, top := range []float64{-0.49, -0.2, 0, 0.35} {
		y := func(x float64) float64 { return 7 - 3*(x-top)*(x-top) }
		require.InDelta(t, top, vertex(y(-1), y(0), y(1)), 1e-12)
	}
	require.Zero(t, vertex(1, 1, 1), "a line has no top")
	require.Zero(t, vertex(3, 1, 2), "a trough has no top")
	require.Equal(t, 0.5, vertex(0, 1, 1.9), "the top is not looked for beyond half a sample")
}

func TestGaitWords(t *testing.T) {
	for g, want := range map[Gait]string{GaitUnknown: "unknown", Walking: "walking", Running: "running"} {
		text, err := g.MarshalText()
		require.NoError(t, err)
		require.Equal(t, want, string(text))
	}
}
