package gait

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/asymmetry"
	"setdown/gait/estimate"
	"setdown/gait/event"
	"setdown/gait/simulate"
	"setdown/gait/step"
	"setdown/signal/recording"
)

// landing sets a person with both legs alike who lands at an angle, in degrees.
func landingAt(g event.Gait, angle float64) simulate.Settings {
	s := simulate.Defaults(g)
	s.Left.StrikeAngle, s.Right.StrikeAngle = angle*math.Pi/180, angle*math.Pi/180
	return s
}

// doseChapter: more control, slower lowering, through the whole pipeline.
func doseChapter(t testing.TB, c *chapter) {
	c.title = "Dose and response"
	gains := []float64{0, 0.2, 0.4, 0.6, 0.8, 1, 1.2}
	type person struct {
		gait        event.Gait
		angle, rate float64
	}
	people := []person{{event.Running, 14, 200}, {event.Running, 8, 200}, {event.Walking, 23, 200}, {event.Running, 14, 100}, {event.Running, 20, 500}, {event.Walking, 18, 100}}
	people = people[:effort(6, 3, 1)]
	c.printf("The control gain of both feet rises while the landing stays (seed %d, 40 s). Medians over all used steps, measured / true.\n\n", doseSeed)
	c.printf("| | gain | time to foot-flat, ms | peak lowering rate, deg/s | deceleration fraction |\n|---|---:|---:|---:|---:|\n")
	keys := []string{"time_to_foot_flat_ms", step.Primary, "deceleration_fraction"}
	type outcome struct{ got, want [3]float64 }
	rows := parallel(len(people)*len(gains), func(i int) outcome {
		p := people[i/len(gains)]
		s := landingAt(p.gait, p.angle)
		s.Duration, s.Seed, s.Left.Foot.Rate, s.Right.Foot.Rate = 40, doseSeed, p.rate, p.rate
		s.Left.Gain, s.Right.Gain = gains[i%len(gains)], gains[i%len(gains)]
		res, truth, err := analyzeMemory(s, Settings{Seed: 1})
		require.NoError(t, err)
		var o outcome
		for k, key := range keys {
			m := step.Find(key)
			o.got[k] = estimate.Median(append(used(res.Steps, recording.Left, m), used(res.Steps, recording.Right, m)...))
			o.want[k] = estimate.Median(append(truthOf(truth, recording.Left, m), truthOf(truth, recording.Right, m)...))
		}
		return o
	})
	const deg = 180 / math.Pi
	for i, o := range rows {
		p := people[i/len(gains)]
		c.printf("| %s, %.0f°, %.0f Hz | %.1f | %.0f / %.0f | %.0f / %.0f | %.2f / %.2f |\n", p.gait, p.angle, p.rate, gains[i%len(gains)],
			1e3*o.got[0], 1e3*o.want[0], deg*o.got[1], deg*o.want[1], o.got[2], o.want[2])
	}
	c.printf("\n")
	for i, p := range people {
		for k, key := range keys {
			sign := []float64{1, -1, 1}[k]
			broken := 0
			for j := 1; j < len(gains); j++ {
				a, b := rows[i*len(gains)+j-1].got[k], rows[i*len(gains)+j].got[k]
				if !(sign*(b-a) > 0) {
					broken++
				}
			}
			c.goal(step.Find(key).Label+" follows the gain, "+p.gait.String()+", "+whole(p.angle)+"°"+", "+whole(p.rate)+" Hz", "monotone from gain 0 to 1.2", broken == 0, "%d of %d steps of the gain go the wrong way", broken, len(gains)-1)
		}
	}
}

// explained is the part of the difference of the peak lowering rate that is
// laid to the landing, as a share.
type explained struct {
	found bool
	// rest is what is left of the difference, a share.
	rest float64
	why  string
}

func explain(t testing.TB, s simulate.Settings) explained {
	res, _, err := analyzeMemory(s, Settings{Seed: 1, Injured: asymmetry.InjuredLeft})
	require.NoError(t, err)
	d, ok := res.Asymmetry.Get(step.Primary)
	require.True(t, ok)
	if !d.ByLanding.HasInterval() {
		return explained{why: d.ByLandingBecause}
	}
	return explained{found: true, rest: 1 - d.ByLanding.Center/d.Difference.Center}
}

// landingChapter: is a difference laid to the landing where it belongs there,
// and only there?
func landingChapter(t testing.TB, c *chapter) {
	c.title = "The part explained by landing"
	n := effort(20, 2, 1)
	const shift = 5
	c.printf("The difference of the feet in peak lowering rate, and what is left of it when \"the part explained by landing\" is taken\n"+
		"off; %d sessions each (seeds from %d, 200 Hz, about 100 steps a side). The part is withheld where the sides' strike angles\n"+
		"overlap by less than half, which they do if they scatter by 1.5° about means 5° apart; so they scatter by 3° here.\n\n", n, shiftSeed)
	c.printf("| | given | left of the difference, median | lowest | highest |\n|---|---:|---:|---:|---:|\n")
	for _, k := range []struct {
		name  string
		gait  event.Gait
		angle float64
		apply func(*simulate.SideSettings)
		pure  bool
	}{
		{"running, left lands 5° flatter, control alike", event.Running, 15, func(l *simulate.SideSettings) { l.StrikeAngle -= shift * math.Pi / 180 }, false},
		{"walking, left lands 5° flatter, control alike", event.Walking, 24, func(l *simulate.SideSettings) { l.StrikeAngle -= shift * math.Pi / 180 }, false},
		{"running, left has gain 0.4, landing alike", event.Running, 15, func(l *simulate.SideSettings) { l.Gain = 0.4 }, true},
		{"walking, left has gain 0.4, landing alike", event.Walking, 24, func(l *simulate.SideSettings) { l.Gain = 0.4 }, true},
	} {
		rows := parallel(n, func(i int) explained {
			s := landingAt(k.gait, k.angle)
			s.Seed, s.Duration = uint64(shiftSeed+i), 85
			s.Left.StrikeAngleSD, s.Right.StrikeAngleSD = 3*math.Pi/180, 3*math.Pi/180
			k.apply(&s.Left)
			return explain(t, s)
		})
		var rest []float64
		why := ""
		for _, r := range rows {
			if r.found {
				rest = append(rest, 100*r.rest)
			} else {
				why = r.why
			}
		}
		if len(rest) == 0 {
			c.printf("| %s | 0 of %d: %s | | | |\n", k.name, n, why)
			c.goal("the part explained by landing is given: "+k.name, "at all", false, "0 of %d", n)
			continue
		}
		c.printf("| %s | %d of %d | %.0f %% | %.0f %% | %.0f %% |\n", k.name, len(rest), n, estimate.Median(rest), estimate.Quantile(rest, 0), estimate.Quantile(rest, 1))
		m := estimate.Median(rest)
		if k.pure {
			c.goal("a pure change of gain is not explained away: "+k.name, "≥ 80 % left", m >= 80, "%.0f %%", m)
		} else {
			c.goal("a pure shift of the landing is explained: "+k.name, "≤ 25 % left, by size", math.Abs(m) <= 25, "%.0f %%", m)
		}
	}
	c.printf("\n")
}
