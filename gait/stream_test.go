package gait

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/event"
	"setdown/gait/simulate"
	"setdown/signal/recording"
	"setdown/signal/remark"
)

// cloneBlock copies a block with its samples.
func cloneBlock(b *recording.Block) *recording.Block {
	c := *b
	for k := range 3 {
		c.Acc[k] = append([]float64(nil), b.Acc[k]...)
		c.Gyr[k] = append([]float64(nil), b.Gyr[k]...)
	}
	c.Void = append([]recording.Void(nil), b.Void...)
	return &c
}

// recut returns the track cut into blocks of size samples; 0 leaves each span
// whole. The blocks' room is used again and spoilt in between, as a reader may.
func recut(t *recording.Track, size int) *recording.Track {
	return recording.NewTrack(*t, func(rs *remark.List, yield func(*recording.Block) error) (recording.Summary, error) {
		var span *recording.Block
		sum, err := t.Read(rs, func(b *recording.Block) error {
			if span == nil {
				span = cloneBlock(b)
			} else {
				for k := range 3 {
					span.Acc[k], span.Gyr[k] = append(span.Acc[k], b.Acc[k]...), append(span.Gyr[k], b.Gyr[k]...)
				}
				span.Void = append(span.Void, b.Void...)
			}
			if !b.Last {
				return nil
			}
			whole := span
			span = nil
			return cut(whole, size, yield)
		})
		return sum, err
	})
}

// cut hands a span out in blocks of size samples.
func cut(span *recording.Block, size int, yield func(*recording.Block) error) error {
	n := span.Len()
	if size == 0 {
		size = n
	}
	for from := 0; from < n; from += size {
		to := min(n, from+size)
		b := *span
		for k := range 3 {
			b.Acc[k], b.Gyr[k] = span.Acc[k][from:to], span.Gyr[k][from:to]
		}
		b.Void, b.First, b.Last = span.Void[from:to], from, to == n
		c := cloneBlock(&b)
		if err := yield(c); err != nil {
			return err
		}
		for k := range 3 {
			for i := range c.Acc[k] {
				c.Acc[k][i], c.Gyr[k][i] = 1e9, -1e9
			}
		}
	}
	return nil
}

// streamSessions are recordings that last longer than what is decided on, with
// pauses, turns and a gap.
func streamSessions(t *testing.T) map[string][]*recording.Track {
	out := map[string][]*recording.Track{}
	for _, g := range []event.Gait{event.Running, event.Walking} {
		s := simulate.Defaults(g)
		s.Duration, s.Right.Gain, s.Seed = 240, 0.4, 5
		s.Pauses = []simulate.Pause{{At: 60, Length: 8}, {At: 150, Length: 30}}
		s.Turns = []simulate.Turn{{At: 90, Length: 3, Angle: 3}, {At: 200, Length: 3, Angle: -3}}
		out[g.String()] = simulate.Run(s).Set().Tracks
		if testing.Short() {
			break
		}
	}
	return out
}

// However the samples come in blocks, one by one or a whole span at once, every
// number is the same to the last bit.
func TestBlocksChangeNothing(t *testing.T) {
	set := Settings{Seed: 1, Curves: 40, Excerpt: 3}
	for name, tracks := range streamSessions(t) {
		want, err := Analyze(t.Context(), &recording.Set{Tracks: tracks}, set)
		require.NoError(t, err)
		require.Greater(t, len(want.Steps), 100)
		for _, size := range []int{0, 1, 37, 1000, 4096, 9000} {
			var again []*recording.Track
			for _, k := range tracks {
				again = append(again, recut(k, size))
			}
			got, err := Analyze(t.Context(), &recording.Set{Tracks: again}, set)
			require.NoError(t, err)
			// NaN is not equal to itself; its text is.
			require.Len(t, got.Steps, len(want.Steps), "%s in blocks of %d", name, size)
			for i := range want.Steps {
				require.Equal(t, fmt.Sprintf("%+v", want.Steps[i]), fmt.Sprintf("%+v", got.Steps[i]), "%s in blocks of %d", name, size)
			}
			require.Equal(t, fmt.Sprint(*want.Session.Left, *want.Session.Right), fmt.Sprint(*got.Session.Left, *got.Session.Right), "%s in blocks of %d", name, size)
			require.True(t, fmt.Sprint(want.Excerpts) == fmt.Sprint(got.Excerpts), "%s in blocks of %d", name, size)
		}
	}
}
