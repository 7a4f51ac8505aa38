package gait

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/estimate"
	"setdown/gait/event"
	"setdown/gait/simulate"
)

// rateOf is the sampling rate of a recording, Hz; both feet have the same.
func rateOf(j *judged) float64 { return j.sim.Left.Foot.Rate }

func accuracyChapter(t testing.TB, c *chapter) {
	c.title = "Events and measures against simulated truth"
	n := effort(240, 6, 1)
	all := parallel(n, func(i int) judged {
		seed := uint64(drawnSeed + i)
		s := simulate.Draw(seed)
		if !long() {
			s.Duration = 40
		}
		rec := simulate.Run(s)
		res, err := analyzeFiles(rec, Settings{Seed: 1})
		return judgeRecording(seed, s, res, rec.Steps(), err)
	})
	c.printf("%d recordings drawn by `simulate.Draw` (seeds %d to %d; the ranges stand in gait/simulate/draw.go), 90 s each,\n"+
		"written as CSV files, opened, analysed, and compared with the truth step by step. Errors are detected − true over\n"+
		"matched steps that are used. \"SD, all steps\" holds the differences between people and sensors as well; the sensor's own\n"+
		"low-pass delays everything by 0.9–5 ms, which no detector without knowledge of the sensor can remove.\n\n", n, drawnSeed, drawnSeed+n-1)
	for i := range all {
		require.NoError(t, all[i].err, "seed %d", all[i].seed)
	}
	high := func(j *judged) bool { return rateOf(j) >= 200 }
	low := func(j *judged) bool { return rateOf(j) < 200 }
	c.foundTable(all)
	c.poolTable("200 Hz and more", where(all, high))
	c.poolTable("200 Hz and more, running", where(all, func(j *judged) bool { return high(j) && j.sim.Gait == event.Running }))
	c.poolTable("200 Hz and more, walking", where(all, func(j *judged) bool { return high(j) && j.sim.Gait == event.Walking }))
	c.poolTable("500 Hz and more", where(all, func(j *judged) bool { return rateOf(j) >= 500 }))
	c.poolTable("100 and 128 Hz", where(all, low))
	c.rateTable(all)
	c.groupTable(all)
	c.phaseTable(all)
	c.accuracyGoals(where(all, high), 1, "at 200 Hz and more")
	c.accuracyGoals(where(all, low), 2, "at 100 and 128 Hz")
	c.peakGoals(all)
	c.foundGoals(all)
}

func (c *chapter) poolTable(title string, all []judged) {
	c.printf("**%s** (%d recordings)\n\n%s", title, len(all), poolHead)
	for _, q := range quantities() {
		c.printf("%s", pooledOf(all, q).row(q))
	}
	c.printf("\n")
}

// foundTable counts contacts.
func (c *chapter) foundTable(all []judged) {
	c.printf("| contacts | true | found | missed | of these not next to standing | invented | F1 |\n|---|---:|---:|---:|---:|---:|---:|\n")
	for _, g := range groupsOfGait() {
		f, m, in, x, f1 := counts(where(all, g.fits))
		c.printf("| %s | %d | %d | %d | %d | %d | %.4f |\n", g.name, f+m, f, m, in, x, f1)
	}
	c.printf("\n")
}

type group struct {
	name string
	fits func(*judged) bool
}

func lossy(j *judged) bool { return j.sim.Left.Foot.Loss > 0 }

func groupsOfGait() []group {
	of := func(g event.Gait, loss bool) func(*judged) bool {
		return func(j *judged) bool { return j.sim.Gait == g && lossy(j) == loss }
	}
	return []group{
		{"walking", of(event.Walking, false)},
		{"running", of(event.Running, false)},
		{"walking, packets lost", of(event.Walking, true)},
		{"running, packets lost", of(event.Running, true)},
	}
}

// rateTable shows the main quantities by sampling rate.
func (c *chapter) rateTable(all []judged) {
	q := quantities()
	c.printf("By sampling rate, bias ± SD over all steps:\n\n| Hz | recordings | IC, ms | FF (hard), ms | FF (soft), ms | TO, ms | peak lowering rate, %% | strike angle, deg |\n|---:|---:|---:|---:|---:|---:|---:|---:|\n")
	for _, rate := range simulate.DrawRates {
		some := where(all, func(j *judged) bool { return rateOf(j) == rate })
		c.printf("| %.0f | %d |", rate, len(some))
		for _, k := range []int{qIC, qHard, qSoft, qTO, qPeak, qAngle} {
			c.printf(" %s |", brief(pooledOf(some, q[k])))
		}
		c.printf("\n")
	}
	c.printf("\nHard and soft: true rate at foot-flat at least or less than 150 deg/s.\n\n")
}

func brief(p pooled) string {
	if p.n == 0 {
		return "–"
	}
	return fmt.Sprintf("%+.1f ± %.1f", p.bias, p.sd)
}

// groupTable shows initial contact by how the foot lands and where the sensor
// sits.
func (c *chapter) groupTable(all []judged) {
	angle := func(j *judged) float64 { return 180 / math.Pi * (j.sim.Left.StrikeAngle + j.sim.Right.StrikeAngle) / 2 }
	place := func(p simulate.Vector) func(*judged) bool {
		return func(j *judged) bool {
			v := j.sim.Right.Foot.Position
			return math.Abs(v[0]-p[0]) < 0.02 && math.Abs(v[2]-p[2]) < 0.015
		}
	}
	running := func(j *judged) bool { return j.sim.Gait == event.Running }
	groups := []group{
		{"walking", func(j *judged) bool { return !running(j) }},
		{"running, heel (≥ 8°)", func(j *judged) bool { return running(j) && angle(j) >= 8 }},
		{"running, heel to midfoot (−1.6 to 8°)", func(j *judged) bool { return running(j) && angle(j) < 8 && angle(j) >= -1.6 }},
		{"running, forefoot (< −1.6°)", func(j *judged) bool { return running(j) && angle(j) < -1.6 }},
		{"sensor on the instep", place(simulate.Instep)},
		{"sensor on the heel counter", place(simulate.HeelCounter)},
		{"sensor on the outer side", place(simulate.LateralShoe)},
		{"stamps jitter", func(j *judged) bool { return j.sim.Left.Foot.StampJitter > 0 }},
		{"packets lost", lossy},
	}
	q := quantities()
	c.printf("By landing, place and clock, all rates, bias ± SD:\n\n| | recordings | IC, ms | TO, ms | time to foot-flat, ms | peak lowering rate, %% |\n|---|---:|---:|---:|---:|---:|\n")
	for _, g := range groups {
		some := where(all, g.fits)
		c.printf("| %s | %d | %s | %s | %s | %s |\n", g.name, len(some), brief(pooledOf(some, q[qIC])), brief(pooledOf(some, q[qTO])), brief(pooledOf(some, q[qTTFF])), brief(pooledOf(some, q[qPeak])))
	}
	c.printf("\n")
}

// phaseBins is into how many parts a sampling interval is cut.
const phaseBins = 10

// phaseTable shows whether the error of initial contact steps with the sampling
// grid: where true contact lies between two samples against the mean error.
func (c *chapter) phaseTable(all []judged) {
	c.printf("**Below the sample.** Mean error of initial contact, in sampling intervals and less its recording's mean, by where the true\n" +
		"contact lies between two samples; clocks without jitter and loss. Taking the nearest sample would make a saw-tooth with an\n" +
		"SD of 0.289 (1/√12).\n\n| Hz | steps |")
	for k := range phaseBins {
		c.printf(" %.1f– |", float64(k)/phaseBins)
	}
	c.printf(" SD of these |\n|---|---:|")
	for range phaseBins + 1 {
		c.printf("---:|")
	}
	c.printf("\n")
	for _, g := range []struct {
		name     string
		from, to float64
	}{{"100, 128", 100, 128}, {"200, 256", 200, 256}, {"500", 500, 500}} {
		some := where(all, func(j *judged) bool {
			return rateOf(j) >= g.from && rateOf(j) <= g.to && !lossy(j) && j.sim.Left.Foot.StampJitter == 0
		})
		bins, n := phases(some)
		c.printf("| %s | %d |", g.name, n)
		for _, v := range bins {
			c.printf(" %+.2f |", v)
		}
		sd := estimate.SD(bins)
		c.printf(" %.3f |\n", sd)
		if n >= 50*phaseBins {
			c.goal("initial contact does not step with the grid, "+g.name+" Hz", "SD over the sampling interval ≤ half of the nearest sample's 0.289", sd <= 0.1445, "%.3f", sd)
		}
	}
	c.printf("\n")
}

// phases returns the mean error by bin.
func phases(all []judged) (bins []float64, n int) {
	var sum, count [phaseBins]float64
	q := quantities()[qIC]
	for i := range all {
		j := &all[i]
		mean := estimate.Mean(j.errors(q))
		for k := range j.pairs {
			p := &j.pairs[k]
			if !p.detected.Used {
				continue
			}
			at := p.truth.InitialContact * rateOf(j)
			b := int(phaseBins * (at - math.Floor(at)))
			sum[b] += (q.err(&p.detected, &p.truth.Step) - mean) / 1e3 * rateOf(j)
			count[b]++
			n++
		}
	}
	for b := range sum {
		bins = append(bins, sum[b]/math.Max(1, count[b]))
	}
	return bins, n
}

// accuracyGoals compares with the limits; factor widens them for low rates.
func (c *chapter) accuracyGoals(all []judged, factor float64, at string) {
	if len(all) == 0 {
		return
	}
	q := quantities()
	for _, g := range []struct {
		q        int
		bias, sd float64
		must     float64
	}{
		{qIC, 3, 2, 8}, {qHard, 4, 3, 8}, {qSoft, 8, 8, 8}, {qTO, 5, 4, 12}, {qTTFF, 4, 0, 8}, {qFlatRate, 30, 0, 60}, {qAngle, 1, 1.5, 3},
	} {
		p := pooledOf(all, q[g.q])
		if p.n == 0 {
			continue
		}
		name := q[g.q].name + " " + at
		c.at(name+", size of the bias", math.Abs(p.bias), factor*g.bias, "%.1f", q[g.q].unit)
		if g.sd > 0 {
			c.at(name+", SD", p.sd, factor*g.sd, "%.1f", q[g.q].unit)
		}
		if p.recordings < 3 {
			continue
		}
		c.must(name+", size of the bias in any sample", fmt.Sprintf("≤ %.0f %s", factor*g.must, q[g.q].unit), math.Abs(p.bias) <= factor*g.must, "%.1f %s", math.Abs(p.bias), q[g.q].unit)
	}
}

func (c *chapter) peakGoals(all []judged) {
	q := quantities()[qPeak]
	for _, g := range []struct {
		name     string
		from, to float64
		most     float64
	}{{"100 and 128 Hz", 100, 128, 12}, {"200 and 256 Hz", 200, 256, 6}, {"500 Hz and more", 500, 1000, 3}} {
		p := pooledOf(where(all, func(j *judged) bool { return rateOf(j) >= g.from && rateOf(j) <= g.to }), q)
		if p.n > 0 {
			c.at("peak lowering rate at "+g.name+", size of the bias", math.Abs(p.bias), g.most, "%.1f", "%")
		}
	}
}

func (c *chapter) foundGoals(all []judged) {
	for _, g := range []event.Gait{event.Walking, event.Running} {
		some := where(all, func(j *judged) bool { return j.sim.Gait == g && rateOf(j) >= 200 })
		if len(some) == 0 {
			continue
		}
		f, m, _, x, f1 := counts(some)
		c.goal("F1 of contacts at 200 Hz and more, "+g.String(), "≥ 0.998", f1 >= 0.998, "%.4f (%d missed, %d invented of %d)", f1, m, x, f+m)
		c.must("contacts found at 200 Hz and more, "+g.String(), "≥ 98 % in any sample", float64(f) >= 0.98*float64(f+m), "%.1f %%", 100*float64(f)/float64(f+m))
	}
}
