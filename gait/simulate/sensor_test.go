package simulate

import (
	"bytes"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/event"
	"setdown/signal/recording"
	"setdown/signal/remark"
	"setdown/signal/unit"
)

// A second-order Butterworth passes 1/√2 at its cut-off, 1/√17 at twice of it,
// and delays slow signals by √2/(2π·cut-off) (from its transfer function
// 1/(1 + √2·s + s²)).
func TestBandwidthIsAButterworth(t *testing.T) {
	const cut, rate = 80.0, 4000.0
	gain := func(hz float64) (float64, float64) {
		f := newLowpass(cut, math.Sqrt2/2, rate)
		f.started = true
		var c, s float64
		const n = 40000
		for i := range 2 * n {
			w := 2 * math.Pi * hz * float64(i) / rate
			y := f.apply(0, math.Sin(w))
			if i >= n {
				c, s = c+y*math.Cos(w)*2/n, s+y*math.Sin(w)*2/n
			}
		}
		return math.Hypot(c, s), math.Atan2(-c, s) / (2 * math.Pi * hz)
	}
	g, _ := gain(cut)
	require.InDelta(t, math.Sqrt2/2, g, 1e-3)
	g, _ = gain(2 * cut)
	require.InDelta(t, 1/math.Sqrt(17), g, 5e-3, "the bilinear transform bends the upper end a little")
	_, delay := gain(5)
	require.InDelta(t, math.Sqrt2/(2*math.Pi*cut), delay, 2e-5)
}

func TestSensorAddsWhatItIsSetTo(t *testing.T) {
	s := Defaults(event.Running)
	s.Duration, s.StandBefore = 30, 20
	c := &s.Left.Foot
	c.AccBias, c.GyrBias = Vector{0.3, 0, -0.2}, Vector{0, 0.02, 0}
	c.AccStep, c.GyrStep = 0.005, 0.0005
	var az, gy []float64
	require.NoError(t, Run(s).Samples(recording.Left, recording.Foot, func(x Sample) error {
		if x.Time < 19.9 {
			az, gy = append(az, x.Acc[2]), append(gy, x.Gyr[1])
		}
		require.InDelta(t, 0, math.Remainder(x.Acc[0], c.AccStep), 1e-9, "whole steps")
		return nil
	}))
	mean, sd, _ := moments(az)
	require.InDelta(t, unit.StandardGravity-0.2, mean, 1e-3)
	require.InEpsilon(t, c.AccNoise*math.Sqrt(1.11*c.Bandwidth), sd, 0.05)
	mean, sd, _ = moments(gy)
	require.InDelta(t, 0.02, mean, 1e-4)
	require.InEpsilon(t, c.GyrNoise*math.Sqrt(1.11*c.Bandwidth), sd, 0.05)
}

// Turning the sensor turns its readings and nothing else.
func TestMountingTurnsTheAxes(t *testing.T) {
	s := short(event.Running, 1)
	s.Duration = 6
	s.Left.Foot = ideal(s.Left.Foot)
	var straight []Sample
	require.NoError(t, Run(s).Samples(recording.Left, recording.Foot, func(x Sample) error {
		straight = append(straight, x)
		return nil
	}))
	// check-values 4.8: intrinsic ZYX 90°, 45°, 30°, computed with SciPy 1.10.1
	s.Left.Foot.Mounting = Quaternion{0.701057384650, -0.092295955641, 0.430459334577, 0.560985526797}
	rows := [3]Vector{
		{0, -0.866025404, 0.5}, {0.707106781, 0.353553391, 0.612372436}, {-0.707106781, 0.353553391, 0.612372436},
	}
	i := 0
	require.NoError(t, Run(s).Samples(recording.Left, recording.Foot, func(x Sample) error {
		for k, row := range rows {
			want := row[0]*straight[i].Acc[0] + row[1]*straight[i].Acc[1] + row[2]*straight[i].Acc[2]
			require.InDelta(t, want, x.Acc[k], 1e-6)
		}
		i++
		return nil
	}))
}

func TestRangeClipsAndIsRemarked(t *testing.T) {
	s := short(event.Running, 1)
	s.Left.Foot.GyrRange, s.Left.Foot.AccRange = 6, 40
	var rs remark.List
	void := recording.Void(0)
	sum, err := Run(s).Track(recording.Left, recording.Foot).Read(&rs, func(b *recording.Block) error {
		for i, v := range b.Void {
			void |= v
			require.LessOrEqual(t, math.Abs(b.Gyr[1][i]), 6.0)
			require.LessOrEqual(t, math.Abs(b.Acc[2][i]), 40.0)
		}
		return nil
	})
	require.NoError(t, err)
	require.Equal(t, recording.VoidAcc|recording.VoidGyr|recording.VoidFast|recording.VoidHard, void)
	require.Equal(t, 1, rs.Len())
	require.Equal(t, 4001, sum.Samples)
}

func TestClockFaults(t *testing.T) {
	s := short(event.Walking, 1)
	exact := Truth(s)
	c := &s.Left.Foot
	c.ClockDrift, c.ClockOffset = 100, 12
	c.SampleJitter, c.StampJitter = 0.0003, 0.0004
	c.Loss, c.PacketSamples = 0.05, 8
	for i, x := range Truth(s) {
		if x.Side == recording.Left {
			require.InDelta(t, 12+exact[indexOf(exact, x)].InitialContact/(1+1e-4), x.InitialContact, 1e-9, i)
		}
	}
	n, gaps, last, whole := 0, 0, math.NaN(), 0
	require.NoError(t, Run(s).Samples(recording.Left, recording.Foot, func(x Sample) error {
		if n > 0 && x.Time-last > 1.9/c.Rate {
			gaps++
		}
		if math.Abs((x.Time-12)*c.Rate-math.Round((x.Time-12)*c.Rate)) < 1e-6 {
			whole++
		}
		require.False(t, x.Time <= last, "stamps rise")
		last, n = x.Time, n+1
		return nil
	}))
	require.InDelta(t, 0.95*20*c.Rate, n, 0.03*20*c.Rate)
	require.Greater(t, gaps, 10)
	require.Less(t, whole, n/10, "stamps are off the grid")
	require.Panics(t, func() { Run(s).Set() }, "faults of the clock exist only in files")
	require.NotPanics(t, func() { Run(s.CleanClocks()).Set() })
}

// indexOf finds the step of the same side and number.
func indexOf(steps []Step, like Step) int {
	for i := range steps {
		if steps[i].Side == like.Side && steps[i].Number == like.Number {
			return i
		}
	}
	return -1
}

func TestSameSettingsGiveSameBytes(t *testing.T) {
	s := short(event.Running, 1)
	s.Duration = 8
	s.Left.Shin, s.Waist, s.Wrist = DefaultShin(), DefaultWaist(), DefaultWrist()
	write := func(s Settings, p Place) string {
		var b bytes.Buffer
		require.NoError(t, Run(s).WriteCSV(&b, p.Side, p.Site, Everyday))
		return b.String()
	}
	other := s
	other.Seed = 2
	places := Run(s).Places()
	require.Len(t, places, 5)
	for _, p := range places {
		first := write(s, p)
		require.Equal(t, first, write(s, p), p)
		require.NotEqual(t, first, write(other, p), p)
		require.Greater(t, len(first), 1000)
	}
	// one foot's signal does not depend on how the other is controlled
	weak := s
	weak.Right.Gain = 0
	require.Equal(t, write(s, places[0]), write(weak, places[0]))
}

// A track holds the samples of the file, on the grid, in blocks that follow one
// another.
func TestTrackAndFileAgree(t *testing.T) {
	r := Run(short(event.Running, 1))
	var rows []Sample
	require.NoError(t, r.Samples(recording.Right, recording.Foot, func(x Sample) error {
		rows = append(rows, x)
		return nil
	}))
	var rs remark.List
	n := 0
	track := r.Set().Tracks[1]
	require.Equal(t, recording.Right, track.Side)
	_, err := track.Read(&rs, func(b *recording.Block) error {
		require.Equal(t, n, b.First)
		for i := range b.Len() {
			require.InDelta(t, rows[n].Time, b.Start+float64(b.First+i)/track.Rate, 1e-9)
			require.Equal(t, rows[n].Acc[2], b.Acc[2][i])
			require.Equal(t, rows[n].Gyr[1], b.Gyr[1][i])
			n++
		}
		return nil
	})
	require.NoError(t, err)
	require.Equal(t, len(rows), n)
}
