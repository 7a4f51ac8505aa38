package gait

import (
	"context"
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/estimate"
	"setdown/gait/event"
	"setdown/gait/simulate"
	"setdown/gait/step"
	"setdown/signal/orient"
	"setdown/signal/recording"
	"setdown/signal/remark"
)

// plateContacts reads the contacts of one foot from truth.csv: all of them, and
// which are steady.
func plateContacts(t *testing.T, dir, foot, column string) (all []float64, steady []bool) {
	f, err := os.Open(filepath.Join(dir, "truth.csv"))
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	at, last := slices.Index(rows[0], column), slices.Index(rows[0], "steady")
	for _, r := range rows[1:] {
		if v, err := strconv.ParseFloat(r[at], 64); err == nil && r[0] == foot {
			all, steady = append(all, v), append(steady, r[last] == "1")
		}
	}
	require.NotEmpty(t, all)
	return all, steady
}

// constantOf is the offset of the detected times that matches most reference
// times: each sensor file has its own clock.
func constantOf(ref, det []float64) float64 {
	best, at := 0, 0.0
	for c := -0.3; c <= 0.3; c += 0.005 {
		if n := len(event.Match(ref, shifted(det, c), 0.03).Pairs); n > best {
			best, at = n, c
		}
	}
	return at
}

func shifted(x []float64, by float64) []float64 {
	out := make([]float64, len(x))
	for i, v := range x {
		out[i] = v - by
	}
	return out
}

func openOne(t *testing.T, path string, side recording.Side) *recording.Set {
	set, err := recording.Open(context.Background(), []recording.Source{recording.File(path, side)}, recording.Options{})
	require.NoError(t, err)
	return set
}

// Trautmann et al. 2021 (doi 10.3390/data6090095): both shins on a treadmill
// with a pressure plate. The sensors were aligned by waveform, so one constant
// per file is removed and spread and counts are judged.
func TestShinContactsAgainstThePressurePlate(t *testing.T) {
	root := filepath.Join(openData(t), "treadmill-walk-feet-shins")
	for _, walk := range []string{"preferred", "slow"} {
		for _, side := range []recording.Side{recording.Left, recording.Right} {
			t.Run(walk+" "+side.String(), func(t *testing.T) {
				dir := filepath.Join(root, walk)
				set := openOne(t, filepath.Join(dir, side.String()+"_shank.csv"), side)
				res, err := Analyze(context.Background(), set, Settings{})
				require.NoError(t, err)
				ref, steady := plateContacts(t, dir, side.String(), "ic_force_s")
				judgeShin(t, res.Steps, ref, steady)
			})
		}
	}
}

func judgeShin(t *testing.T, steps []step.Step, ref []float64, steady []bool) {
	var ic []float64
	for _, s := range steps {
		ic = append(ic, s.InitialContact)
		require.True(t, math.IsNaN(s.PeakLoweringRate) && math.IsNaN(s.FootFlat) && s.HeelFirst == step.Unknown)
		require.Contains(t, s.Reason, "shin sensor does not see the foot")
	}
	det := shifted(ic, constantOf(ref, ic))
	m := event.Match(ref, det, 0.06)
	var off []float64
	for _, p := range m.Pairs {
		if steady[p[0]] {
			off = append(off, det[p[1]]-ref[p[0]])
		}
	}
	for _, r := range m.Missed {
		require.False(t, steady[r], "steady contact at %.3f s missed", ref[r])
	}
	for _, d := range m.Extra {
		// Beyond the first and the last reference contact nothing is known.
		require.False(t, det[d] > ref[0]+0.1 && det[d] < ref[len(ref)-1]-0.1, "extra contact at %.3f s", det[d])
	}
	require.LessOrEqual(t, estimate.SD(off), 0.008)
	t.Logf("%d steady contacts, none extra, SD %.1f ms", len(off), 1e3*estimate.SD(off))
}

// The simulator's shins are another model's idea than the detector's; seeds
// 300–305 were not used while the search was set.
func TestShinStepsOfSimulatedShins(t *testing.T) {
	for _, g := range []event.Gait{event.Walking, event.Running} {
		for seed := uint64(300); seed < 303; seed++ {
			s := simulate.DrawGait(seed, g).CleanClocks()
			s.Duration = 40
			s.Left.Shin = simulate.DefaultShin()
			s.Left.Shin.Rate, s.Left.Shin.Mounting = max(200, s.Left.Foot.Rate), s.Left.Foot.Mounting
			rec := simulate.Run(s)
			set := &recording.Set{Tracks: []*recording.Track{rec.Track(recording.Left, recording.Shin)}}
			res, err := Analyze(context.Background(), set, Settings{})
			require.NoError(t, err)
			var ref, det, off []float64
			for _, x := range rec.Steps() {
				if x.Side == recording.Left {
					ref = append(ref, x.InitialContact)
				}
			}
			for _, x := range res.Steps {
				det = append(det, x.InitialContact)
				if x.Used {
					require.Equal(t, g, x.Gait)
				}
			}
			m := event.Match(ref, det, 0.05)
			require.LessOrEqual(t, len(m.Missed)+len(m.Extra), 1, "seed %d %s", seed, g)
			for _, p := range m.Pairs {
				off = append(off, det[p[1]]-ref[p[0]])
			}
			require.InDelta(t, 0, estimate.Mean(off), 0.015)
			require.LessOrEqual(t, estimate.SD(off), 0.008)
			t.Logf("seed %d %s: %d contacts, IC %.1f ± %.1f ms", seed, g, len(off), 1e3*estimate.Mean(off), 1e3*estimate.SD(off))
		}
	}
}

// A fixed rotation of the sensor's axes must change nothing.
func TestShinAlignmentTurnsWithTheSensor(t *testing.T) {
	s := simulate.DrawGait(7, event.Running).CleanClocks()
	s.Duration = 20
	s.Left.Shin = simulate.DefaultShin()
	var acc, gyr, acc2, gyr2 [3][]float64
	turn := orient.Matrix{{0, 0.6, -0.8}, {1, 0, 0}, {0, -0.8, -0.6}}
	track := simulate.Run(s).Track(recording.Left, recording.Shin)
	_, err := track.Read(&remark.List{}, func(b *recording.Block) error {
		for i := range b.Void {
			a := [3]float64{b.Acc[0][i], b.Acc[1][i], b.Acc[2][i]}
			g := [3]float64{b.Gyr[0][i], b.Gyr[1][i], b.Gyr[2][i]}
			a2, g2 := turn.Apply(a), turn.Apply(g)
			for k := range 3 {
				acc[k], gyr[k] = append(acc[k], a[k]), append(gyr[k], g[k])
				acc2[k], gyr2[k] = append(acc2[k], a2[k]), append(gyr2[k], g2[k])
			}
		}
		return nil
	})
	require.NoError(t, err)
	one, err := event.AlignShin(track.Rate, acc, gyr)
	require.NoError(t, err)
	two, err := event.AlignShin(track.Rate, acc2, gyr2)
	require.NoError(t, err)
	require.Empty(t, event.ShinDoubts(one))
	for i := 0; i < len(acc[0]); i += 97 {
		a := one.ToSegment.Apply([3]float64{acc[0][i], acc[1][i], acc[2][i]})
		b := two.ToSegment.Apply([3]float64{acc2[0][i], acc2[1][i], acc2[2][i]})
		for k := range 3 {
			require.InDelta(t, a[k], b[k], 1e-6)
		}
	}
}

func TestAShinThatNeverSwingsIsAnError(t *testing.T) {
	var still [3][]float64
	for k := range 3 {
		still[k] = make([]float64, 1000)
	}
	_, err := event.AlignShin(100, still, still)
	require.ErrorIs(t, err, event.ErrNoShinSwing)
}
