package gait

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/asymmetry"
	"setdown/gait/event"
	"setdown/gait/simulate"
	"setdown/gait/step"
)

// The true difference of the feet never lies outside an interval because the
// gyroscope's range hid the fast steps: either they are few or nothing is said.
func TestAGyroscopesRangeDoesNotHideHowFastAFootIsPutDown(t *testing.T) {
	const deg = math.Pi / 180
	withheld, told := 0, 0
	for _, full := range []float64{2000, 1000, 600, 550, 525, 500, 475, 450, 250} {
		s := simulate.Defaults(event.Running)
		s.Duration, s.Seed, s.Right.Gain = 90, 4711, 0.5
		s.Left.Foot.GyrRange, s.Right.Foot.GyrRange = full*deg, full*deg
		rec := simulate.Run(s)
		res, err := analyzeFiles(rec, Settings{Seed: 1})
		require.NoError(t, err)
		c, _ := res.Asymmetry.Get(step.Primary)
		if !c.HasInterval {
			withheld++
			require.Equal(t, asymmetry.CannotTell, c.Verdict, "%g deg/s", full)
			require.True(t, res.Session.Left.Selected(step.Find(step.Primary)) || res.Session.Right.Selected(step.Find(step.Primary)), "%g deg/s", full)
			continue
		}
		told++
		require.Equal(t, asymmetry.Different, c.Verdict, "%g deg/s", full)
		truth := -trueDifference(rec.Steps(), step.Primary)
		require.True(t, c.Difference.Low <= truth && truth <= c.Difference.High, "%g deg/s: %v, true %.3f", full, c.Difference, truth)
	}
	require.GreaterOrEqual(t, withheld, 3)
	require.GreaterOrEqual(t, told, 2)
}
