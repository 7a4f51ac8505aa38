package recording_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/signal/recording"
	"setdown/signal/recording/dialects"
	"setdown/signal/unit"
)

// Whole sensors are sold with 2048 and 512 counts a g: neither may pass for mg, where
// 1 g is 1000, nor a stated g for one of half or twice its size. The foot of
// Swinging rests for 2 s, where an accelerometer reads 1 g by what it is.
func TestASensorAtRestReadsOneG(t *testing.T) {
	s := dialects.Swinging(200, 20, 0)
	open := func(counts float64, stated string) error {
		d := dialects.Dialect{AccUnit: unit.Unit{Symbol: "count", Factor: unit.StandardGravity / counts, Kind: unit.Acceleration}, AccHead: func(a string) string { return "acc_" + a + stated }}
		_, err := recording.Open(t.Context(), d.Sources(s, s)[:1], recording.Options{})
		return err
	}
	for _, c := range []struct {
		counts float64
		stated string
		want   string
	}{
		{1000, "", ""}, {1150, "", ""}, {870, "", ""}, {1, " (g)", ""}, {1.15, " (g)", ""},
		{2048, "", "the acceleration reads 2049 when stillest, which is 1 g in none of m/s2, g and mg"},
		{512, "", "the acceleration reads 512.3 when stillest, which is 1 g in none of m/s2, g and mg"},
		{2, " (g)", "states g, but reads 2.001 g when stillest where gravity alone is 1 g"},
		{0.5, " (g)", "states g, but reads 0.5003 g when stillest where gravity alone is 1 g"},
	} {
		err := open(c.counts, c.stated)
		if c.want == "" {
			require.NoError(t, err, "%v %s", c.counts, c.stated)
			continue
		}
		require.Error(t, err, "%v %s", c.counts, c.stated)
		require.True(t, strings.HasSuffix(err.Error(), c.want), err)
	}
}
