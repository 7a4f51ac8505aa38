package step

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// The columns of steps.csv that hold a measure, as the file's contract names
// them, besides the events' own times.
var contract = []string{"heel_first", "peak_lowering_rate_deg_s", "time_to_foot_flat_ms", "foot_flat_rate_deg_s", "deceleration_fraction",
	"strike_angle_deg", "contact_time_s", "stride_time_s", "heel_contact_peak_m_s2", "foot_flat_peak_m_s2"}

func TestTheCatalogueHoldsTheMeasuresOfTheContractOnce(t *testing.T) {
	var keys []string
	for _, m := range Catalogue() {
		keys = append(keys, m.Key)
	}
	require.ElementsMatch(t, contract, keys)
	require.Equal(t, "peak_lowering_rate_deg_s", Primary)
}

func TestEveryMetricSaysWhatItIs(t *testing.T) {
	suffix := map[string]string{"_deg_s": "deg/s", "_ms": "ms", "_deg": "deg", "_m_s2": "m/s2", "_s": "s"}
	for _, m := range Catalogue() {
		t.Run(m.Key, func(t *testing.T) {
			require.NotEmpty(t, m.Label)
			require.NotEmpty(t, m.Definition)
			require.NotEmpty(t, m.Source)
			require.NotNil(t, m.Value)
			require.GreaterOrEqual(t, m.Digits, 0)
			if m.Verdict {
				require.NotEmpty(t, m.FloorReason)
				require.Empty(t, m.NoVerdict)
				require.Positive(t, m.FloorAbsolute+m.FloorRelative)
			} else {
				require.NotEmpty(t, m.NoVerdict, "a measure without a verdict says why")
				require.Zero(t, m.FloorAbsolute+m.FloorRelative)
				require.True(t, math.IsNaN(m.Floor(1)))
			}
			for _, s := range []string{"_deg_s", "_m_s2", "_ms", "_deg", "_s"} {
				if strings.HasSuffix(m.Key, s) {
					require.Equal(t, suffix[s], m.Unit.Symbol, "the unit in the column's name is the unit shown")
					break
				}
			}
		})
	}
}

// Each field holds another number, so that no metric can read another's.
func TestEachMetricReadsItsOwnField(t *testing.T) {
	s := Step{HeelFirst: True, PeakLoweringRate: 2, TimeToFootFlat: 3, FootFlatRate: 4, DecelerationFraction: 5, StrikeAngle: 6,
		ContactTime: 7, StrideTime: 8, HeelContactPeak: 9, FootFlatPeak: 10}
	for i, key := range contract {
		require.Equal(t, float64(i+1), Find(key).Value(&s), key)
	}
	for truth, want := range map[Truth]string{Unknown: "", False: "false", True: "true"} {
		require.Equal(t, want, truth.String())
	}
	require.Zero(t, Find(HeelFirstKey).Value(&Step{HeelFirst: False}))
	require.True(t, math.IsNaN(Find(HeelFirstKey).Value(&Step{})), "unknown is not no")
	require.Panics(t, func() { Find("no_such_measure") })
}

func TestTheLargerFloorHolds(t *testing.T) {
	for _, c := range []struct {
		key        string
		mean, want float64 // base units
	}{
		{"time_to_foot_flat_ms", 0.040, 0.008},        // 15 % would be 6 ms
		{"time_to_foot_flat_ms", 0.100, 0.015},        // 15 %
		{"contact_time_s", 0.150, 0.010},              // 5 % would be 7.5 ms
		{"contact_time_s", 0.600, 0.030},              // 5 %
		{Primary, 400 * deg, 60 * deg},                // 15 %
		{Primary, -400 * deg, 60 * deg},               // the size of the mean
		{"foot_flat_rate_deg_s", 100 * deg, 60 * deg}, // 25 % would be 25 deg/s
		{"foot_flat_rate_deg_s", 400 * deg, 100 * deg},
		{"strike_angle_deg", 20 * deg, 3 * deg},
		{HeelFirstKey, 0.9, 0.30},
	} {
		require.InDelta(t, c.want, Find(c.key).Floor(c.mean), 1e-12, "%s at %g", c.key, c.mean)
	}
}
