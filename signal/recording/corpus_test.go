package recording_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/signal/recording"
	"setdown/signal/recording/dialects"
)

// Limits of the corpus: what a reader may lose, stated before anything was read.
const (
	corpusTime  = 1e-3 // s
	corpusValue = 0.01 // share of the value
	corpusFloor = 0.02 // m/s² or rad/s, for rounding near 0
)

func TestEveryDialectGivesThePlainSamples(t *testing.T) {
	left, right := dialects.Swinging(200, 14, 0), dialects.Swinging(200, 14, 0.5)
	table := dialects.Table()
	require.GreaterOrEqual(t, len(table), 60)
	for i, d := range table {
		if testing.Short() && i%4 > 0 {
			continue // all of them run without -short
		}
		t.Run(d.Name, func(t *testing.T) {
			set, err := recording.Open(t.Context(), d.Sources(left, right), recording.Options{})
			require.NoError(t, err)
			require.Len(t, set.Tracks, 2)
			for _, k := range set.Tracks {
				want := left
				if k.Side == recording.Right {
					want = right
				}
				require.NotEqual(t, recording.SideUnknown, k.Side)
				require.True(t, k.HasAcc)
				require.Equal(t, !d.NoGyro, k.HasGyr)
				compare(t, k, want, d)
			}
			require.NotEqual(t, set.Tracks[0].Side, set.Tracks[1].Side)
		})
	}
}

// compare holds a track's samples against the plain ones.
func compare(t *testing.T, k *recording.Track, want dialects.Samples, d dialects.Dialect) {
	n := 0
	_, err := k.Read(nil, func(b *recording.Block) error {
		for i := range b.Void {
			at := b.Start + float64(b.First+i)/k.Rate
			x := (at - d.Start) * want.Rate
			j := int(math.Round(x))
			if math.Abs(x-float64(j)) > corpusTime*want.Rate || j < 0 || j >= want.Len() {
				require.Failf(t, "a sample off the plain times", "sample %d at %.6f s", n, at)
			}
			for c := range 3 {
				near(t, want.Acc[c][j], b.Acc[c][i], "acc", c, at)
				if !d.NoGyro {
					near(t, want.Gyr[c][j], b.Gyr[c][i], "gyr", c, at)
				}
			}
			n++
		}
		return nil
	})
	require.NoError(t, err)
	require.GreaterOrEqual(t, n, want.Len()-1)
	require.LessOrEqual(t, n, want.Len())
}

func near(t *testing.T, want, got float64, what string, c int, at float64) {
	if math.Abs(got-want) > corpusValue*math.Abs(want)+corpusFloor {
		require.InDelta(t, want, got, corpusValue*math.Abs(want)+corpusFloor, "%s %d at %.4f s", what, c, at)
	}
}

// fmtInt prints a whole number.
func fmtInt(v float64) string { return fmt.Sprint(int64(math.Round(v))) }
