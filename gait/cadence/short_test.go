package cadence_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/event"
	"setdown/gait/simulate"
	"setdown/signal/recording"
)

// Five seconds hold seven strides and a part of one. People do not keep an even
// pace, so that the part counts: the trunk's cadence is that of all contacts within
// 1 step/min, as is asked for on a force treadmill.
func TestAFewSecondsGiveTheCadenceOfAllOfThem(t *testing.T) {
	const people, most = 12, 1.0
	for seed := uint64(900); seed < 900+people; seed++ {
		s := simulate.DrawGait(seed, event.Running).CleanClocks()
		s.Duration, s.StandBefore, s.StandAfter, s.Pauses = 25, 0, 0, nil
		s.Waist = simulate.DefaultWaist()
		rec := simulate.Run(s)
		const from, to = 10.0, 15.0
		got := rhythm(t, rec.Set().Tracks[len(rec.Set().Tracks)-1], recording.Waist, func(b *recording.Block) { cropped(b, s.Waist.Rate, from, to) })
		var first, last, n float64
		for _, x := range rec.Steps() {
			if x.InitialContact < from || x.InitialContact >= to {
				continue
			}
			if n == 0 {
				first = x.InitialContact
			}
			last, n = x.InitialContact, n+1
		}
		d := 60*got.Cadence.Center - 60*(n-1)/(last-first)
		t.Logf("%d: %+.2f of %.1f", seed, d, 60*got.Cadence.Center)
		require.LessOrEqual(t, math.Abs(d), most, "seed %d", seed)
	}
}

// cropped leaves of a block what lies from one time to another, s.
func cropped(b *recording.Block, rate, from, to float64) {
	lo, hi := 0, b.Len()
	for lo < hi && b.Start+float64(lo)/rate < from {
		lo++
	}
	for hi > lo && b.Start+float64(hi-1)/rate >= to {
		hi--
	}
	for k := range 3 {
		b.Acc[k] = b.Acc[k][lo:hi]
		if len(b.Gyr[k]) > 0 {
			b.Gyr[k] = b.Gyr[k][lo:hi]
		}
	}
	b.Void = b.Void[lo:hi]
	b.Start += float64(lo) / rate
	b.First += lo
}
