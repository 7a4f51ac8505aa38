package gait

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/simulate"
	"setdown/signal/filter"
	"setdown/signal/recording"
	"setdown/signal/remark"
)

// asLabsSmooth returns the track as it is after a zero-phase Butterworth low-pass of
// the fourth order in all, span by span.
func asLabsSmooth(t *testing.T, track *recording.Track, cutoff float64) *recording.Track {
	sos, err := filter.ZeroPhaseLowPass(2, cutoff, track.Rate)
	require.NoError(t, err)
	return recording.NewTrack(*track, func(rs *remark.List, yield func(*recording.Block) error) (recording.Summary, error) {
		var blocks []recording.Block
		sum, err := track.Read(rs, func(b *recording.Block) error {
			blocks = append(blocks, *cloneBlock(b))
			return nil
		})
		for from := 0; from < len(blocks); {
			to := from + 1
			for to < len(blocks) && blocks[to].Span == blocks[from].Span {
				to++
			}
			for k := range 3 {
				smooth(t, sos, blocks[from:to], func(b *recording.Block) []float64 { return b.Acc[k] })
				smooth(t, sos, blocks[from:to], func(b *recording.Block) []float64 { return b.Gyr[k] })
			}
			from = to
		}
		for i := range blocks {
			if err == nil {
				err = yield(&blocks[i])
			}
		}
		return sum, err
	})
}

// smooth filters one channel of the blocks of a span.
func smooth(t *testing.T, sos filter.SOS, blocks []recording.Block, channel func(*recording.Block) []float64) {
	var all []float64
	for i := range blocks {
		all = append(all, channel(&blocks[i])...)
	}
	out, err := filter.ZeroPhaseSpan(nil, sos, all)
	require.NoError(t, err)
	for i := range blocks {
		n := copy(channel(&blocks[i]), out[0])
		out[0] = out[0][n:]
	}
}

// smoothed tells whether the reader is told that a recording was smoothed.
func smoothed(res *Result) bool {
	return slices.ContainsFunc(res.Remarks, func(r remark.Remark) bool { return r.Code == Smoothing })
}

// What labs do to the motion of markers (zero-phase Butterworth of the fourth order,
// 6 to 20 Hz: Winter 2009, Biomechanics and Motor Control of Human Movement, ch. 3, from
// memory) takes the drop out of a dropped foot. The open walks and runs are as their
// sensors gave them: none is told to be smoothed, all are once they are, no lowering is
// left of them, and no contact time once that has changed too.
func TestASmoothedRecordingIsNoticed(t *testing.T) {
	for name, track := range footRecordings(t) {
		require.False(t, smoothed(analyzeSet(t, track)), name)
		for _, cutoff := range []float64{6, 8, 10, 12, 15, 20} {
			res := analyzeSet(t, asLabsSmooth(t, track, cutoff))
			require.True(t, smoothed(res), "%s, %g Hz", name, cutoff)
			require.Empty(t, lowered(res), "%s, %g Hz", name, cutoff)
			for i := range res.Steps {
				require.True(t, cutoff > 10 || math.IsNaN(res.Steps[i].ContactTime), "%s, %g Hz", name, cutoff)
			}
		}
	}
}

// The same for simulated people of all kinds, whose sensors have their own low-pass.
func TestSimulatedPeopleAreSmoothOnlyOnceSmoothed(t *testing.T) {
	type told struct{ asMade, smoothed bool }
	for i, got := range parallel(effort(400, 24, 6), func(i int) told {
		s := simulate.Draw(uint64(drawnSeed + i))
		s.Duration = 40
		set := simulate.Run(s.CleanClocks()).Set()
		res, err := Analyze(t.Context(), set, Settings{Seed: 1})
		if err != nil {
			return told{false, true}
		}
		for k := range set.Tracks {
			set.Tracks[k] = asLabsSmooth(t, set.Tracks[k], []float64{6, 10, 15, 20}[i%4])
		}
		again, err := Analyze(t.Context(), set, Settings{Seed: 1})
		return told{smoothed(res), err != nil || smoothed(again) && len(lowered(again)) == 0}
	}) {
		require.False(t, got.asMade, "seed %d", drawnSeed+i)
		require.True(t, got.smoothed, "seed %d", drawnSeed+i)
	}
}
