package gait

import (
	"math"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/estimate"
	"setdown/gait/event"
	"setdown/gait/simulate"
	"setdown/gait/step"
	"setdown/signal/filter"
	"setdown/signal/recording"
	"setdown/signal/remark"
)

// heelStriker is a drawn person who lands on the heel, with both legs alike and
// a sensor at the given rate.
func heelStriker(seed uint64, g event.Gait, rate float64) simulate.Settings {
	s := simulate.DrawGait(seed, g)
	if s.Left.StrikeAngle < 8*math.Pi/180 {
		s.Left.StrikeAngle = (8 + float64(seed%10)) * math.Pi / 180
	}
	even(&s)
	for _, c := range []*simulate.SensorSettings{&s.Left.Foot, &s.Right.Foot} {
		c.Bandwidth = math.Max(45, c.Bandwidth/c.Rate*rate)
		c.Rate = rate
	}
	return s
}

// even gives the right leg the left leg's ways; sensors stay as they are.
func even(s *simulate.Settings) {
	foot := s.Right.Foot
	s.Right = s.Left
	s.Right.Foot = foot
}

// weakGain is a side with little control left.
const weakGain = 0.25

// sidesChapter: is a dropped foot measured as well as a healthy one?
func sidesChapter(t testing.TB, c *chapter) {
	c.title = "Errors do not favour a side"
	n := effort(24, 2, 1)
	c.printf("The same %d people (seeds from %d, half walking, all landing on the heel), once with control gain 1 and once with %.2f in\n"+
		"both feet; what differs is the control alone. The bias at the low gain less that at gain 1 is what a side difference\n"+
		"would be off by.\n\n", n, favourSeed, weakGain)
	c.printf("| Hz | | bias at gain 1 | bias at gain %.2f | difference, mean of people | largest (seed) |\n|---:|---|---:|---:|---:|---:|\n", weakGain)
	for _, rate := range []float64{100, 200, 500} {
		type twin struct{ strong, weak judged }
		twins := parallel(n, func(i int) twin {
			seed := uint64(favourSeed + i)
			s := heelStriker(seed, event.Walking+event.Gait(i%2), rate)
			s.Duration = 50
			return twin{atGain(seed, s, 1), atGain(seed, s, weakGain)}
		})
		q := quantities()
		either := quantity{"foot-flat", "ms", func(d, r *step.Step) float64 { return 1e3 * (d.FootFlat - r.FootFlat) }}
		for _, x := range []struct {
			q    quantity
			most float64
		}{{q[qIC], 0}, {either, 3}, {q[qTTFF], 0}, {q[qPeak], 4}, {q[qFlatRate], 0}, {q[qDec], 0}} {
			var strong, weak, off []float64
			worst, worstSeed := 0.0, uint64(0)
			for _, w := range twins {
				require.NoError(t, w.strong.err)
				require.NoError(t, w.weak.err)
				a, b := estimate.Mean(w.strong.errors(x.q)), estimate.Mean(w.weak.errors(x.q))
				if math.IsNaN(a + b) {
					continue
				}
				strong, weak, off = append(strong, a), append(weak, b), append(off, b-a)
				if math.Abs(b-a) > math.Abs(worst) {
					worst, worstSeed = b-a, w.weak.seed
				}
			}
			d := 1
			if x.q.unit == "" {
				d = 3
			}
			mean := estimate.Mean(off)
			c.printf("| %.0f | %s | %+.*f | %+.*f | %+.*f | %+.*f (%d) |\n", rate, x.q.title(), d, estimate.Mean(strong), d, estimate.Mean(weak), d, mean, d, worst, worstSeed)
			if x.most > 0 && rate >= 200 {
				c.at(x.q.name+" at "+whole(rate)+" Hz: bias at low gain less bias at gain 1", math.Abs(mean), x.most, "%.1f", x.q.unit)
			}
		}
	}
	c.printf("\n")
}

// whole prints a number without decimals.
func whole(v float64) string { return strconv.FormatFloat(v, 'f', 0, 64) }

// atGain judges a person with the gain in both feet.
func atGain(seed uint64, s simulate.Settings, gain float64) judged {
	s.Left.Gain, s.Right.Gain = gain, gain
	res, truth, err := analyzeMemory(s, Settings{Seed: 1})
	return judgeRecording(seed, s, res, truth, err)
}

// cutoffChapter shows what a low-pass would do to the side difference.
func cutoffChapter(t testing.TB, c *chapter) {
	c.title = "What a low-pass does to the side difference"
	n := effort(16, 2, 1)
	cuts := []float64{0, 80, 50, 30, 20}
	type outcome struct{ peak, weak, flat, dec [5]float64 }
	rows := parallel(n, func(i int) outcome {
		s := heelStriker(uint64(favourSeed+100+i), event.Walking+event.Gait(i%2), 500)
		s.Duration, s.Left.Gain, s.Right.Gain = 50, weakGain, 1
		s = s.CleanClocks()
		rec := simulate.Run(s)
		var o outcome
		for k, cut := range cuts {
			res, err := Analyze(t.Context(), lowPassed(rec.Set(), cut), Settings{Seed: 1, smoothedToo: true})
			require.NoError(t, err)
			o.peak[k] = sideRatio(res.Steps, step.Primary) / trueRatio(rec.Steps(), step.Primary)
			o.weak[k] = estimate.Median(used(res.Steps, recording.Left, step.Find(step.Primary))) / estimate.Median(truthOf(rec.Steps(), recording.Left, step.Find(step.Primary)))
			o.flat[k] = sideDifference(res.Steps, "time_to_foot_flat_ms") - trueDifference(rec.Steps(), "time_to_foot_flat_ms")
			o.dec[k] = sideDifference(res.Steps, "deceleration_fraction") - trueDifference(rec.Steps(), "deceleration_fraction")
		}
		return o
	})
	c.printf("%d people (seeds from %d) with gain %.2f on the left and 1 on the right, 500 Hz; the angular rates pass a zero-phase\n"+
		"Butterworth low-pass of second order before the analysis, which withholds nothing here. Medians over people; 1.00 and 0 mean that nothing is lost.\n\n", n, favourSeed+100, weakGain)
	c.printf("| cut-off, Hz | peak lowering rate of the weak side, measured over true | left/right ratio of the peak lowering rate, measured over true | difference of time to foot-flat, measured less true, ms | difference of the deceleration fraction, measured less true |\n|---:|---:|---:|---:|---:|\n")
	for k, cut := range cuts {
		var p, w, f, d []float64
		for _, r := range rows {
			p, w, f, d = append(p, r.peak[k]), append(w, r.weak[k]), append(f, 1e3*r.flat[k]), append(d, r.dec[k])
		}
		name := "none (as setdown does)"
		if cut > 0 {
			name = whole(cut)
		}
		c.printf("| %s | %.3f | %.3f | %+.1f | %+.3f |\n", name, estimate.Median(w), estimate.Median(p), estimate.Median(f), estimate.Median(d))
		if cut == 0 {
			c.goal("left/right ratio of the peak lowering rate, measured over true, without a low-pass", "within 4 % of 1", math.Abs(estimate.Median(p)-1) <= 0.04, "%.3f", estimate.Median(p))
		}
	}
	c.printf("\n")
}

func sideRatio(steps []step.Step, key string) float64 {
	m := step.Find(key)
	return estimate.Median(used(steps, recording.Left, m)) / estimate.Median(used(steps, recording.Right, m))
}

func sideDifference(steps []step.Step, key string) float64 {
	m := step.Find(key)
	return estimate.Median(used(steps, recording.Left, m)) - estimate.Median(used(steps, recording.Right, m))
}

func trueRatio(steps []simulate.Step, key string) float64 {
	m := step.Find(key)
	return estimate.Median(truthOf(steps, recording.Left, m)) / estimate.Median(truthOf(steps, recording.Right, m))
}

func trueDifference(steps []simulate.Step, key string) float64 {
	m := step.Find(key)
	return estimate.Median(truthOf(steps, recording.Left, m)) - estimate.Median(truthOf(steps, recording.Right, m))
}

// lowPassed returns the set with every angular rate filtered; 0 leaves it.
func lowPassed(set *recording.Set, cutHz float64) *recording.Set {
	if cutHz == 0 {
		return set
	}
	out := &recording.Set{}
	for _, t := range set.Tracks {
		out.Tracks = append(out.Tracks, lowPassedTrack(t, cutHz))
	}
	return out
}

// lowPassedTrack filters a track of one span.
func lowPassedTrack(t *recording.Track, cutHz float64) *recording.Track {
	return recording.NewTrack(*t, func(rs *remark.List, yield func(*recording.Block) error) (recording.Summary, error) {
		var whole *recording.Block
		sum, err := t.Read(rs, func(b *recording.Block) error {
			if whole == nil {
				whole = &recording.Block{Span: b.Span, Start: b.Start, Last: true}
			}
			for k := range 3 {
				whole.Acc[k], whole.Gyr[k] = append(whole.Acc[k], b.Acc[k]...), append(whole.Gyr[k], b.Gyr[k]...)
			}
			whole.Void = append(whole.Void, b.Void...)
			return nil
		})
		if err != nil {
			return sum, err
		}
		sos, err := filter.ZeroPhaseLowPass(2, cutHz, t.Rate)
		if err != nil {
			return sum, err
		}
		for k := range 3 {
			if whole.Gyr[k], err = filter.ZeroPhase(nil, sos, whole.Gyr[k]); err != nil {
				return sum, err
			}
		}
		return sum, yield(whole)
	})
}
