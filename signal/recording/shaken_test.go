package recording

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/signal/remark"
)

// Stamps that scatter by half a period change places now and then. The rows
// are in order all the same: none may be lost, and the clock did not restart.
func TestStampsThatChangePlacesLoseNoRows(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	var b strings.Builder
	b.WriteString("time_s,acc_x_m_s2,acc_y_m_s2,acc_z_m_s2,gyr_x_rad_s,gyr_y_rad_s,gyr_z_rad_s\n")
	const rows = 6000
	for i := range rows {
		at := float64(i)*1e-3 + 0.45e-3*rng.NormFloat64()
		fmt.Fprintf(&b, "%.6f,0.1,0.2,%.3f,0.01,%.3f,0.02\n", at, 9.8+0.05*rng.NormFloat64(), 0.02*rng.NormFloat64())
	}
	set, err := Open(t.Context(), []Source{Bytes("left_foot.csv", []byte(b.String()), Left)}, Options{})
	require.NoError(t, err)
	require.InDelta(t, 1000, set.Tracks[0].Rate, 0.5)
	var rs remark.List
	sum, err := set.Tracks[0].Read(&rs, func(*Block) error { return nil })
	require.NoError(t, err)
	require.Equal(t, rows, sum.Samples)
	require.Equal(t, 1, sum.Spans)
	require.InDelta(t, 6, sum.Duration(), 0.01)
	for _, r := range rs.Sorted() {
		require.NotContains(t, []string{"clock-restart", "time-back"}, r.Code)
	}
}
