package gait

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"setdown/gait/asymmetry"
	"setdown/gait/estimate"
	"setdown/gait/event"
	"setdown/gait/session"
	"setdown/signal/recording"
)

// course is a run in which the left side's gain falls.
type course struct {
	minutes        float64
	from, over, to float64 // min, min, gain at the end; over 0: steady
	w              wander
}

func (k course) gain(minute float64) float64 {
	if k.over == 0 {
		return 1
	}
	return 1 + (k.to-1)*math.Min(1, math.Max(0, (minute-k.from)/k.over))
}

func (k course) String() string {
	if k.over == 0 {
		return fmt.Sprintf("%.0f min, steady", k.minutes)
	}
	return fmt.Sprintf("%.0f min, gain 1 to %.2f within %.0f min", k.minutes, k.to, k.over)
}

// sightings is what the search said of one kind of run.
type sightings struct{ runs, found, near, held, side int }

func (k course) search(l *lander, runs int, stream uint64) sightings {
	all := parallel(runs, func(i int) sightings {
		r := rand.New(rand.NewPCG(stepSeed+uint64(i), stream))
		n := int(60 * k.minutes / l.period)
		minute := func(i int) float64 { return float64(i) * l.period / 60 }
		a := l.walk(recording.Left, n, func(i int) float64 { return k.gain(minute(i)) }, k.w, r)
		b := l.walk(recording.Right, n, constant(1), k.w, r)
		steps := bothFeet(a, b)
		cfg := estimate.Config{Seed: uint64(i)}
		set := asymmetry.Settings{Estimate: cfg, SameRecording: true}
		res := asymmetry.Compare(session.Summarise(steps, cfg), steps, set)
		asymmetry.Within(res, steps, set)
		c := res.Changes[0]
		s := sightings{runs: 1, found: b2i(c.Found)}
		if c.Found {
			s.near, s.held = b2i(math.Abs(c.Minute-k.from) <= 1), b2i(c.Low <= k.from && k.from <= c.High)
			s.side = b2i(c.Side == recording.Left)
		}
		return s
	})
	var sum sightings
	for _, s := range all {
		sum = sightings{sum.runs + s.runs, sum.found + s.found, sum.near + s.near, sum.held + s.held, sum.side + s.side}
	}
	return sum
}

func (s sightings) percent(n int) float64 { return 100 * float64(n) / float64(s.runs) }

func changeChapter(_ testing.TB, c *chapter) {
	c.title = "The minute at which one side began to change"
	runs := effort(300, 6, 1)
	c.printf("%d runs a row of true step values; running at 14°, left gain falling from minute 10 or not at all. The legs wander each by\n"+
		"themselves: slow drift with the share of the variance given and a time constant of 150 steps (1.8 min).\n\n", runs)
	c.printf("| | slow drift | found | within ± 1 min | its interval holds the minute | the right side named |\n|---|---:|---:|---:|---:|---:|\n")
	l := usualLander(event.Running)
	little := wander{0.3, 0.1, 150}
	stream := uint64(500)
	for _, w := range []wander{noWander, little, usualWander} {
		for _, k := range []course{
			{minutes: 15}, {minutes: 30},
			{minutes: 20, from: 10, over: 10, to: 0.25}, {minutes: 30, from: 10, over: 10, to: 0.25},
			{minutes: 20, from: 10, over: 4, to: 0.25}, {minutes: 20, from: 10, over: 1, to: 0.4},
		} {
			stream++
			k.w = w
			s := k.search(l, runs, stream)
			c.printf("| %s | %.0f %% | %.1f %% |", k, 100*w.slowShare, s.percent(s.found))
			if k.over == 0 {
				c.printf(" | | |\n")
				c.at(fmt.Sprintf("a change found in steady runs, %s, %.0f %% slow drift", k, 100*w.slowShare), s.percent(s.found), 5, "%.1f", "%")
				continue
			}
			c.printf(" %.1f %% | %.1f %% | %.1f %% |\n", s.percent(s.near), s.percent(s.held), s.percent(s.side))
			c.goal(fmt.Sprintf("the minute of change, %s, %.0f %% slow drift", k, 100*w.slowShare), "within ± 1 min in ≥ 80 % of runs", s.percent(s.near) >= 80, "%.1f %%", s.percent(s.near))
		}
	}
	c.printf("\n")
}
