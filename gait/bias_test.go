package gait

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/estimate"
	"setdown/gait/simulate"
	"setdown/signal/recording"
	"setdown/signal/remark"
)

// biased returns the track with a bias, rad/s, on the axes of its gyroscope.
func biased(t *recording.Track, bias [3]float64) *recording.Track {
	return recording.NewTrack(*t, func(rs *remark.List, yield func(*recording.Block) error) (recording.Summary, error) {
		return t.Read(rs, func(b *recording.Block) error {
			c := cloneBlock(b)
			for k := range c.Gyr {
				for i := range c.Gyr[k] {
					c.Gyr[k][i] += bias[k]
				}
			}
			return yield(c)
		})
	})
}

// A gyroscope that reads 10 to 40 deg/s at rest gives, once that is taken off as the
// standing before the run shows it, what it gives without.
func TestALargeBiasIsTakenOff(t *testing.T) {
	for i, off := range parallel(effort(60, 12, 4), func(i int) float64 {
		s := simulate.Draw(uint64(drawnSeed + i))
		s.Duration = 60
		track := simulate.Run(s.CleanClocks()).Set().Tracks[0]
		plain := lowered(analyzeSet(t, track))
		size := []float64{10, 25, 40}[i%3] * math.Pi / 180
		res := analyzeSet(t, biased(track, [3]float64{size * 2 / 3, -size / 3, size * 2 / 3}))
		require.NotEmpty(t, coded(res, "alignment"), "the reader is told of it")
		if len(plain) == 0 { // it lands on the forefoot
			return float64(len(lowered(res)))
		}
		return estimate.Median(lowered(res))/estimate.Median(plain) - 1
	}) {
		require.InDelta(t, 0, off, 0.005, "seed %d", drawnSeed+i)
	}
}
