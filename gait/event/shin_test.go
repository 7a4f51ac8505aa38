package event

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// shank is a window of a shin at 200 Hz: the forward turn of swing ends at
// sample 30.5, the toe-down peak of the landing is at 40, the turn of push-off
// runs from 120 to 160.5 and the next swing is at next.
func shank(next int) *Window {
	w := resting(next+25, 200)
	w.Swing, w.UpEnd, w.DownEnd, w.NextSwing = 10, 30, 160, next
	for i := range w.Len() {
		x := float64(i)
		switch {
		case i <= 30:
			w.Gyr[1][i] = -5 * math.Cos(math.Pi/2*(x-10)/20.5)
		case i <= 60:
			w.Gyr[1][i] = 1 + 2*math.Exp(-(x-40)*(x-40)/20)
		case i < 120:
			w.Gyr[1][i] = 1
		case i <= 160:
			w.Gyr[1][i] = 1 + 4*math.Sin(math.Pi*(x-120)/40.5) - (x-120)/40.5
		default:
			w.Gyr[1][i] = -0.5
		}
	}
	return w
}

func TestAWalkingShinLandsAtItsToeDownPeak(t *testing.T) {
	w := shank(215)
	c := FindShin(w)
	require.InDelta(t, 40, c.IC, 0.1)
	require.True(t, math.IsNaN(c.FF), "a shin does not see foot-flat")
	require.True(t, math.IsNaN(PitchAt(&c, 50)))
	// Its rate falls to 0 at 160.5, its fastest moment is near 139: four fifths
	// of the way.
	require.InDelta(t, 139+0.8*(160.5-139), c.TO, 1.5)
	w.DownEnd, w.NextSwing = -1, -1
	require.True(t, math.IsNaN(FindShin(w).TO))
}

func TestARunningShinLandsWithItsImpact(t *testing.T) {
	w := shank(150)
	w.DownEnd = 100
	for i := 60; i <= 101; i++ {
		w.Gyr[1][i] = 1 + 4*math.Sin(math.Pi*float64(i-60)/41.5)
	}
	for i := 102; i < w.Len(); i++ {
		w.Gyr[1][i] = -1
	}
	ramp(w, 2, 33.4, 9, 3)
	c := FindShin(w)
	require.Equal(t, Running, shinGait(w))
	require.InDelta(t, 33.4, c.IC, 1e-9)
	require.InDelta(t, 80.75-shinRunningLead*200, c.TO, 0.5)
}

func TestAShinThatNeverTurnsBackHasNoContact(t *testing.T) {
	w := shank(215)
	for i := range w.Len() {
		w.Gyr[1][i] = -1
	}
	c := FindShin(w)
	require.True(t, math.IsNaN(c.IC))
	require.True(t, math.IsNaN(c.TO))
}
