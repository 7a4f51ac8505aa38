package recording

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/signal/remark"
)

// stamped writes a recording whose samples were taken at 200 Hz and bear the stamps t,
// s. Its pitch rate tells when each was taken.
func stamped(t []float64) string {
	var b strings.Builder
	b.WriteString("time_s,acc_x_m_s2,acc_y_m_s2,acc_z_m_s2,gyr_x_rad_s,gyr_y_rad_s,gyr_z_rad_s\n")
	for i, at := range t {
		fmt.Fprintf(&b, "%.6f,0.1,%.3f,9.8,0.01,%.6f,0.02\n", at, 5*math.Sin(float64(i)), math.Sin(2*math.Pi*float64(i)/200))
	}
	return b.String()
}

// readStamped opens and reads it, and returns the times at which the model's pitch rate
// passes 0 upwards, which is once a second, and the codes of all remarks.
func readStamped(t *testing.T, stamps []float64) (rate float64, passes []float64, codes map[string]int) {
	set, err := Open(t.Context(), []Source{Bytes("left_foot.csv", []byte(stamped(stamps)), Left)}, Options{})
	require.NoError(t, err)
	codes = map[string]int{}
	var rs remark.List
	before := math.NaN()
	_, err = set.Tracks[0].Read(&rs, func(b *Block) error {
		for i, v := range b.Gyr[1] {
			if before < 0 && v >= 0 {
				passes = append(passes, b.Start+(float64(b.First+i)-v/(v-before))/set.Tracks[0].Rate)
			}
			before = v
		}
		return nil
	})
	require.NoError(t, err)
	for _, r := range append(set.Remarks.Sorted(), rs.Sorted()...) {
		codes[r.Code] += r.Count
	}
	return set.Tracks[0].Rate, passes, codes
}

// requireSeconds checks that the passes stand a second apart, within s.
func requireSeconds(t *testing.T, passes []float64, within float64, what string) {
	t.Helper()
	require.Greater(t, len(passes), 50, what)
	for i := 1; i < len(passes); i++ {
		require.InDelta(t, 1, passes[i]-passes[i-1], within, "%s, second %d", what, i)
	}
}

// Samples that were taken evenly and are stamped when they arrive: the stamps scatter
// and never go back. Taken at their word they would tear the signal; the rows are even.
func TestStampsOfArrivalAreNotTakenAtTheirWord(t *testing.T) {
	for _, spread := range []float64{1.2e-3, 2e-3, 3e-3, 4e-3} {
		for name, lateness := range map[string]func(*rand.Rand) float64{
			"now early, now late": func(r *rand.Rand) float64 { return spread * r.NormFloat64() },
			"late":                func(r *rand.Rand) float64 { return min(spread, 2.5e-3) * r.ExpFloat64() },
		} {
			r := rand.New(rand.NewPCG(1, uint64(spread*1e6)))
			stamps := make([]float64, 60*200)
			for i := range stamps {
				stamps[i] = 1 + float64(i)/200 + lateness(r)
			}
			slices.Sort(stamps)
			what := fmt.Sprintf("%s by %g ms", name, 1e3*spread)
			rate, passes, codes := readStamped(t, stamps)
			require.InDelta(t, 200, rate, 0.5, what)
			require.Equal(t, 1, codes["time-arrival"], "%s: %v", what, codes)
			require.Zero(t, codes["hole"]+codes["hole-long"]+codes["time-repeated"]+codes["time-back"], "%s: %v", what, codes)
			requireSeconds(t, passes, 0.004, what)
		}
	}
}

// Packets that arrive late are no holes: the next one follows soon. Those that are lost
// among packets in time are.
func TestPacketsThatComeLateAreNoHoles(t *testing.T) {
	for _, n := range []int{4, 6, 10} {
		r := rand.New(rand.NewPCG(5, uint64(n)))
		stamps, last := make([]float64, 60*200), 0.0
		for i := range stamps {
			if i%n == 0 {
				last = max(last, 1+float64(i+n)/200+float64(n)/400*r.ExpFloat64())
			}
			stamps[i] = last
		}
		_, passes, codes := readStamped(t, stamps)
		require.LessOrEqual(t, codes["hole"]+codes["hole-long"]+codes["gap"], 2, "of %d packets of %d: %v", 60*200/n, n, codes)
		requireSeconds(t, passes, 0.03, fmt.Sprint(n, " a packet"))
	}
	var lost []float64
	for i := range 60 * 200 {
		if packet := i / 6; packet%50 != 20 {
			lost = append(lost, float64(6*packet+6)/200)
		}
	}
	_, _, codes := readStamped(t, lost)
	require.Zero(t, codes["time-arrival"], "%v", codes)
	require.NotZero(t, codes["hole"]+codes["hole-long"], "%v", codes)
}

// Intervals that are uneven themselves, as of a phone that takes samples when it can,
// tell when each was taken: they are used as they stand.
func TestUnevenIntervalsAreMeant(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 6))
	at, stamps := 1.0, make([]float64, 60*200)
	for i := range stamps {
		stamps[i] = at
		at += 0.005 * (1 + 0.3*r.NormFloat64()*0.9)
		at = max(at, stamps[i]+0.0005)
	}
	_, _, codes := readStamped(t, stamps)
	require.Zero(t, codes["time-arrival"], "%v", codes)
	require.NotZero(t, codes["time-uneven"], "%v", codes)
}
