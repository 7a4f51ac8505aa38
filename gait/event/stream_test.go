package event

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/signal/orient"
	"setdown/signal/recording"
	"setdown/signal/unit"
)

// track is a made-up sensor in segment axes.
type track struct {
	rate     float64
	acc, gyr [3][]float64
	void     []recording.Void
}

// trackOf is a foot that turns as listed and feels gravity as it is tilted.
func trackOf(rate float64, list ...turn) *track {
	k := &track{rate: rate, gyr: [3][]float64{nil, turns(rate, list...), nil}}
	n := len(k.gyr[1])
	k.gyr[0], k.gyr[2] = make([]float64, n), make([]float64, n)
	for i := range 3 {
		k.acc[i] = make([]float64, n)
	}
	tilt := 0.0 // toe-down
	for i, r := range k.gyr[1] {
		k.acc[0][i] = -unit.StandardGravity * math.Sin(tilt)
		k.acc[2][i] = unit.StandardGravity * math.Cos(tilt)
		tilt += r / rate
	}
	k.void = make([]recording.Void, n)
	return k
}

// block is samples from…to of the track as one block of a span.
func (k *track) block(span, from, to int, start float64) *recording.Block {
	b := &recording.Block{Span: span, First: from, Start: start, Void: k.void[from:to]}
	for i := range 3 {
		b.Acc[i], b.Gyr[i] = k.acc[i][from:to], k.gyr[i][from:to]
	}
	return b
}

// upright is a sensor that sits along the segment's axes.
func upright() orient.Alignment { return orient.Alignment{ToSegment: orient.IdentityMatrix()} }

// copied is a window that outlives its callback.
func copied(w *Window) Window {
	c := *w
	for k := range 3 {
		c.Acc[k], c.Gyr[k] = append([]float64(nil), w.Acc[k]...), append([]float64(nil), w.Gyr[k]...)
	}
	c.Void = append([]recording.Void(nil), w.Void...)
	return c
}

// detect pushes the track in blocks of the given size and flushes.
func detect(k *track, block int, start float64) []Window {
	var out []Window
	d := NewDetector(upright(), k.rate, Swings{}, func(w *Window) { out = append(out, copied(w)) })
	for from := 0; from < len(k.void); from += block {
		d.Push(k.block(0, from, min(from+block, len(k.void)), start))
	}
	d.Flush()
	return out
}

func steps(n int) []turn {
	var out []turn
	for range n {
		out = append(out, oneStep...)
	}
	return out
}

func TestAWindowReachesFromSwingToSwing(t *testing.T) {
	const rate, start = 200.0, 17.5
	list := append([]turn{stand(1)}, steps(6)...)
	w := detect(trackOf(rate, append(list, stand(1.5))...), 512, start)
	require.Len(t, w, 6, "a contact after each swing")
	for i, w := range w {
		begin := start + 1 + float64(i)
		require.Equal(t, rate, w.Rate)
		require.InDelta(t, begin+0.475, w.Time(float64(w.Swing)), 0.006)
		require.InDelta(t, begin+0.639, w.Time(float64(w.UpEnd)), 0.006)
		require.InDelta(t, begin+0.475-0.1, w.Time(0), 0.006, "a tenth of a second before the swing's fastest moment")
		require.False(t, w.Cut)
		require.False(t, w.Irregular)
		require.Len(t, w.Acc[0], w.Len())
		require.Len(t, w.Gyr[2], w.Len())
		if i == 5 {
			require.Equal(t, -1, w.DownEnd, "no swing follows")
			require.Equal(t, -1, w.NextSwing)
			require.InDelta(t, begin+0.639+1, w.Time(float64(w.Len())), 0.006, "a second after landing is kept")
			continue
		}
		require.InDelta(t, begin+1.3, w.Time(float64(w.DownEnd)), 0.006)
		require.InDelta(t, begin+1.475, w.Time(float64(w.NextSwing)), 0.006)
		require.InDelta(t, begin+1.475+0.1, w.Time(float64(w.Len())), 0.006)
	}
}

func TestWindowsDoNotDependOnTheBlocks(t *testing.T) {
	list := append([]turn{stand(1)}, steps(5)...)
	list = append(append(list, stand(6)), steps(3)...)
	k := trackOf(128, list...)
	whole := detect(k, len(k.void), 0)
	require.Len(t, whole, 8)
	for _, block := range []int{1, 7, 100, 4096} {
		require.Equal(t, whole, detect(k, block, 0), "blocks of %d", block)
	}
}

func TestSamplesAreTurnedIntoSegmentAxesAndTheBiasIsTakenOff(t *testing.T) {
	k := trackOf(200, steps(3)...)
	// The sensor's X lies along the segment's −Y, its Y along the segment's X.
	to := orient.Matrix{{0, 1, 0}, {-1, 0, 0}, {0, 0, 1}}
	bias := [3]float64{0.3, -0.2, 0.1}
	turned := trackOf(200, steps(3)...)
	to.Transposed().ApplyAll(turned.acc, k.acc)
	to.Transposed().ApplyAll(turned.gyr, k.gyr)
	for i := range 3 {
		for j := range turned.gyr[i] {
			turned.gyr[i][j] += bias[i]
		}
	}
	var got []Window
	d := NewDetector(orient.Alignment{ToSegment: to, Bias: bias}, 200, Swings{}, func(w *Window) { got = append(got, copied(w)) })
	d.Push(turned.block(0, 0, len(turned.void), 0))
	d.Flush()
	want := detect(k, len(k.void), 0)
	require.Len(t, got, len(want))
	for i := range want {
		require.Equal(t, want[i].UpEnd, got[i].UpEnd)
		for a := range 3 {
			require.InDeltaSlice(t, want[i].Gyr[a], got[i].Gyr[a], 1e-12)
			require.InDeltaSlice(t, want[i].Acc[a], got[i].Acc[a], 1e-12)
		}
	}
}

func TestBlocksThatWereTurnedBeforeGiveTheSame(t *testing.T) {
	k := trackOf(200, steps(3)...)
	align := orient.Alignment{ToSegment: orient.Matrix{{0, 1, 0}, {-1, 0, 0}, {0, 0, 1}}, Bias: [3]float64{0.3, -0.2, 0.1}}
	// The sensor that align is of, felt by the foot of k.
	for i, m := range [][3][]float64{k.acc, k.gyr} {
		align.ToSegment.Transposed().ApplyAll(m, m)
		for a := range 3 {
			for j := range m[a] {
				m[a][j] += float64(i) * align.Bias[a]
			}
		}
	}
	read := func(push func(*Detector, *recording.Block)) []Window {
		var out []Window
		d := NewDetector(align, 200, Swings{}, func(w *Window) { out = append(out, copied(w)) })
		push(d, k.block(0, 0, 300, 0))
		d.Push(k.block(0, 300, len(k.void), 0))
		d.Flush()
		return out
	}
	want := read((*Detector).Push)
	require.Len(t, want, 3)
	require.Equal(t, want, read(func(d *Detector, b *recording.Block) {
		turned := *b
		for i := range 3 {
			turned.Acc[i], turned.Gyr[i] = slices.Clone(b.Acc[i]), slices.Clone(b.Gyr[i])
		}
		align.Turn(turned.Acc, turned.Gyr, turned.Acc, turned.Gyr)
		d.PushTurned(&turned)
	}))
}

// What a look ahead shows at a place is what there would be if the recording
// ended there, and what comes later is as if nobody had looked.
func TestALookAheadChangesNothing(t *testing.T) {
	list := append([]turn{stand(1)}, steps(6)...)
	k := trackOf(128, append(list, stand(1.5))...)
	whole := detect(k, 100, 0)
	for at := 0; at <= len(k.void); at += 37 {
		var got, ahead []Window
		d := NewDetector(upright(), k.rate, Swings{}, func(w *Window) { got = append(got, copied(w)) })
		if at > 0 {
			d.Push(k.block(0, 0, at, 0))
		}
		d.Peek(func(w *Window) { ahead = append(ahead, copied(w)) })
		short := &track{rate: k.rate, acc: k.acc, gyr: k.gyr, void: k.void[:at]}
		ended := detect(short, max(at, 1), 0)
		require.Equal(t, ended, append(slices.Clone(got), ahead...), "at %d", at)
		if at < len(k.void) {
			d.Push(k.block(0, at, len(k.void), 0))
		}
		d.Flush()
		require.Equal(t, whole, got, "looked ahead at %d", at)
	}
}

func TestNoWindowReachesAcrossABreak(t *testing.T) {
	k := trackOf(200, steps(3)...)
	n := len(k.void)
	var got []Window
	d := NewDetector(upright(), 200, Swings{}, func(w *Window) { got = append(got, copied(w)) })
	d.Push(k.block(0, 0, n, 10))
	d.Push(k.block(1, 0, n, 100))
	d.Flush()
	d.Flush()
	require.Len(t, got, 6, "the last landing of the first span is given once, with what there is")
	for i, w := range got {
		last := i%3 == 2
		require.Equal(t, last, w.Cut, "window %d", i)
		require.Equal(t, last, w.NextSwing < 0, "window %d", i)
		begin := []float64{10, 100}[i/3]
		require.GreaterOrEqual(t, w.Time(0), begin)
		require.LessOrEqual(t, w.Time(float64(w.Len())), begin+3+1e-9)
	}
}

func TestCutMarksARecordingThatEndsSoonAfterALanding(t *testing.T) {
	for _, c := range []struct {
		after float64 // s of standing behind the last lowering
		cut   bool
	}{{0, true}, {0.5, true}, {0.7, false}, {2, false}} {
		k := trackOf(200, append(steps(2), stand(c.after))...)
		w := detect(k, 100, 0)
		require.Len(t, w, 2)
		require.Equal(t, c.cut, w[1].Cut, "%g s", c.after)
		require.False(t, w[0].Cut)
	}
}

// From the end of a swing to that of the next push-off a step lasts 0.661 s and
// the pause.
func TestStandingEndsAStep(t *testing.T) {
	for _, c := range []struct {
		pause   float64
		standsA bool
	}{{0, false}, {1.5, false}, {1.7, false}, {2.0, true}, {4, true}, {60, true}} {
		list := append(append(steps(2), stand(c.pause)), steps(2)...)
		w := detect(trackOf(200, list...), 256, 0)
		require.Len(t, w, 4, "%g s", c.pause)
		require.Equal(t, c.standsA, w[1].DownEnd < 0, "%g s", c.pause)
		require.False(t, w[1].Cut)
		require.Positive(t, w[0].DownEnd)
		require.Positive(t, w[2].DownEnd)
	}
}

func TestLongStandingAndLongRunsDoNotGrowTheBuffers(t *testing.T) {
	const rate = 100
	for name, list := range map[string][]turn{
		"standing from the start":  {stand(600)},
		"standing after some step": append(steps(3), stand(600)),
		"a run":                    steps(600),
	} {
		k := trackOf(rate, list...)
		d := NewDetector(upright(), rate, Swings{}, func(*Window) {})
		most := 0
		for from := 0; from < len(k.void); from += 256 {
			d.Push(k.block(0, from, min(from+256, len(k.void)), 0))
			most = max(most, len(d.void))
			require.Len(t, d.acc[2], len(d.void))
			require.Len(t, d.gyr[1], len(d.void))
			require.Equal(t, d.finder.i, d.base+len(d.void))
		}
		// It is trimmed in pieces of 4096; a block and 10 s may lie on top.
		require.Less(t, most, 4096+256+10*rate, name)
		require.Greater(t, d.base, 50000, name)
	}
}

// moveOn is a foot that is carried on over a distance, m, in half a second while
// it turns about the vertical at rate yaw, rad/s, between two rests.
func moveOn(distance, yaw, shake float64) *track {
	const rate, seconds = 200.0, 0.5
	k := trackOf(rate, stand(1), stand(seconds), stand(1))
	for i := range int(seconds * rate) {
		x := (float64(i) + 0.5) / (seconds * rate)
		j := int(rate) + i
		// The position x − sin(2πx)/2π starts and ends at rest.
		k.acc[0][j] = distance * 2 * math.Pi / (seconds * seconds) * math.Sin(2*math.Pi*x)
		k.acc[2][j] += shake * math.Sin(8*math.Pi*x)
		k.gyr[2][j] = yaw
	}
	return k
}

func TestAFootThatIsCarriedOnWithoutASwingIsAnIrregularStep(t *testing.T) {
	for _, c := range []struct {
		name                 string
		distance, yaw, shake float64
		want                 int
	}{
		{"a shuffle", 0.30, 1, 0, 1},
		{"a shuffle while turning", 0.30, 3, 0, 1},
		{"a turn on the spot", 0, 1.5, 0, 0},
		{"a fast turn on the spot", 0, 3, 0, 0},
		{"a shift of weight that shakes the foot", 0.02, 1, 6, 0},
		{"a shift of weight as fast as a shuffle", 0.05, 1, 6, 0},
		{"a little further than a shift of weight", 0.09, 1, 6, 1},
		{"the same shaking while it moves on", 0.30, 1, 6, 1},
		{"standing", 0, 0, 0, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			w := detect(moveOn(c.distance, c.yaw, c.shake), 64, 0)
			require.Len(t, w, c.want)
			if c.want == 1 {
				require.True(t, w[0].Irregular)
				require.InDelta(t, 1.5, w[0].Time(float64(w[0].UpEnd)), 0.02, "it lands where the foot comes to rest")
				require.InDelta(t, 1.25, w[0].Time(float64(w[0].Swing)), 0.12)
			}
		})
	}
}

func TestRestsCutsAMovementBetweenTwoRests(t *testing.T) {
	const g = unit.StandardGravity
	for _, c := range []struct {
		name        string
		turn, force float64 // during the movement, samples 100 to 199
		ended       bool
	}{
		{"turning and pushed", 2, g + 3, true},
		{"turning slowly on the spot", 2, g, false},
		{"turning on the spot faster than a pivot", 2.5, g, true},
		{"pushed without turning", 0.5, g + 3, false},
	} {
		m := rests{rate: 200}
		var got [][2]int
		for i := range 400 {
			turn, force := 0.1, g
			if i >= 100 && i < 200 {
				turn, force = c.turn, c.force
			}
			if from, to, ended := m.push(i, turn, force); ended {
				got = append(got, [2]int{from, to})
			}
		}
		if c.ended {
			require.Equal(t, [][2]int{{100, 200}}, got, c.name)
		} else {
			require.Empty(t, got, c.name)
		}
	}
}

func TestAPivotThatLastsIsARest(t *testing.T) {
	const g = unit.StandardGravity
	m := rests{rate: 200}
	for i := range 400 {
		turn, force := 2.0, g // turns on the spot after the movement
		switch {
		case i < 100:
			turn = 0
		case i < 200:
			force = g + 3
		}
		from, to, ended := m.push(i, turn, force)
		require.Equal(t, i == 229, ended, "a pivot rests after 0.15 s")
		if ended {
			require.Equal(t, [2]int{100, 200}, [2]int{from, to})
		}
	}
}
