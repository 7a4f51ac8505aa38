package gait

import (
	"context"
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/signal/recording"
)

type ref struct {
	foot   string
	t      map[string]float64
	part   string
	steady bool
}

func refs(t testing.TB, path string) []ref {
	f, err := os.Open(path)
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	var out []ref
	for _, r := range rows[1:] {
		x := ref{t: map[string]float64{}}
		for k, h := range rows[0] {
			switch h {
			case "foot":
				x.foot = r[k]
			case "part":
				x.part = r[k]
			default:
				v, err := strconv.ParseFloat(r[k], 64)
				if err != nil {
					v = math.NaN()
				}
				x.t[h] = v
			}
		}
		x.steady = x.t["steady"] == 1
		out = append(out, x)
	}
	return out
}

func stats(v []float64) (mean, sd float64) {
	for _, x := range v {
		mean += x
	}
	mean /= float64(len(v))
	for _, x := range v {
		sd += (x - mean) * (x - mean)
	}
	return mean, math.Sqrt(sd / float64(len(v)))
}

func TestQuick(t *testing.T) {
	dir := openData(t)
	for _, tr := range []string{"preferred", "slow"} {
		d := filepath.Join(dir, "treadmill-walk-feet-shins", tr)
		set := &recording.Set{Tracks: []*recording.Track{
			quickTrack(t, filepath.Join(d, "left_foot.csv"), recording.Left, recording.Foot),
			quickTrack(t, filepath.Join(d, "right_foot.csv"), recording.Right, recording.Foot)}}
		res, err := Analyze(context.Background(), set, Settings{})
		require.NoError(t, err)
		for _, c := range res.Choices[4:] {
			fmt.Println(c)
		}
		fmt.Println("cadence", 60*res.Session.Cadence.Center)
		for _, side := range []string{"left", "right"} {
			var ic, to, ct, ff []float64
			miss, extra := 0, 0
			used := map[int]bool{}
			R := refs(t, filepath.Join(d, "truth.csv"))
			lo, hi := math.Inf(1), 0.0
			for _, r := range R {
				if r.foot != side || !r.steady {
					continue
				}
				lo, hi = math.Min(lo, r.t["ic_s"]), math.Max(hi, r.t["ic_s"])
				found := false
				for i, s := range res.Steps {
					if s.Side.String() == side && math.Abs(s.InitialContact-r.t["ic_s"]) < 0.2 {
						found = true
						used[i] = true
						ic = append(ic, 1e3*(s.InitialContact-r.t["ic_force_s"]))
						to = append(to, 1e3*(s.ToeOff-r.t["to_s"]))
						ct = append(ct, 1e3*(s.ContactTime-(r.t["to_force_s"]-r.t["ic_force_s"])))
						if !math.IsNaN(s.FootFlat) {
							ff = append(ff, 1e3*(s.FootFlat-r.t["ff_s"]))
						}
					}
				}
				if !found {
					miss++
					fmt.Println("  missed", r.t["ic_s"])
				}
			}
			for i, s := range res.Steps {
				if s.Side.String() == side && !used[i] && s.InitialContact > lo && s.InitialContact < hi {
					extra++
				}
			}
			m := func(v []float64) string { a, b := stats(v); return fmt.Sprintf("%.1f±%.1f", a, b) }
			fmt.Println(tr, side, len(ic), "miss", miss, "extra", extra, "IC", m(ic), "TO", m(to), "CT", m(ct), "FF", len(ff), m(ff))
		}
	}
	for _, tr := range []string{"1-1", "10-2", "15-1", "17-2", "2-1", "7-2"} {
		d := filepath.Join(dir, "corridor-walk-feet-back", tr)
		set := &recording.Set{Tracks: []*recording.Track{
			quickTrack(t, filepath.Join(d, "left_foot.csv"), recording.Left, recording.Foot),
			quickTrack(t, filepath.Join(d, "right_foot.csv"), recording.Right, recording.Foot)}}
		res, err := Analyze(context.Background(), set, Settings{})
		if err != nil {
			fmt.Println(tr, err)
			continue
		}
		fmt.Println(res.Choices[4:])
		for _, part := range []string{"straight", "turn"} {
			n, found := 0, 0
			var ic, to []float64
			for _, r := range refs(t, filepath.Join(d, "truth.csv")) {
				if r.part != part || math.IsNaN(r.t["ic_s"]) {
					continue
				}
				n++
				ok := false
				for _, s := range res.Steps {
					if s.Side.String() == r.foot && math.Abs(s.InitialContact-r.t["ic_s"]) < 0.05 {
						found++
						ok = true
						ic = append(ic, 1e3*(s.InitialContact-r.t["ic_s"]))
						if !math.IsNaN(s.ToeOff) && !math.IsNaN(r.t["to_s"]) {
							to = append(to, 1e3*(s.ToeOff-r.t["to_s"]))
						}
						break
					}
				}
				if !ok {
					best := math.Inf(1)
					for _, s := range res.Steps {
						if s.Side.String() == r.foot && math.Abs(s.InitialContact-r.t["ic_s"]) < math.Abs(best) {
							best = s.InitialContact - r.t["ic_s"]
						}
					}
					fmt.Printf("   miss %s %s %.2f nearest %.3f\n", part, r.foot, r.t["ic_s"], best)
				}
			}
			m := func(v []float64) string { a, b := stats(v); return fmt.Sprintf("%.1f±%.1f", a, b) }
			fmt.Println(tr, part, n, found, "steps", len(res.Steps), "IC", m(ic), "TO", m(to))
		}
	}
	for _, tr := range []string{"a", "b"} {
		d := filepath.Join(dir, "run-one-foot", tr)
		set := &recording.Set{Tracks: []*recording.Track{quickTrack(t, filepath.Join(d, "foot.csv"), recording.Right, recording.Foot)}}
		res, err := Analyze(context.Background(), set, Settings{})
		require.NoError(t, err)
		fmt.Println(res.Choices[2:])
		n, found := 0, 0
		var ic []float64
		for _, r := range refs(t, filepath.Join(d, "truth.csv")) {
			if r.t["quality"] != 1 {
				continue
			}
			n++
			ok := false
			for _, s := range res.Steps {
				if dd := r.t["down_s"] - s.InitialContact; dd > -0.05 && dd < 0.12 {
					found++
					ok = true
					ic = append(ic, 1e3*dd)
					break
				}
			}
			if !ok {
				fmt.Println("  miss", r.t["down_s"])
			}
		}
		a, b := stats(ic)
		fmt.Printf("run-one-foot %s: %d clean, %d found, %d steps; down-IC %.0f±%.0f gaits", tr, n, found, len(res.Steps), a, b)
		for _, s := range res.Steps {
			fmt.Printf(" %s/%.2f/%.0f", s.Gait.String()[:1], s.ContactTime, s.StrikeAngle*57.3)
		}
		fmt.Println()
	}
}
