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
	"setdown/gait/step"
	"setdown/signal/recording"
)

// covered counts how often intervals hold the truth.
type covered struct{ held, all int }

func (c *covered) add(e estimate.Estimate, truth float64) {
	if e.HasInterval() {
		c.all++
		if e.Low <= truth && truth <= e.High {
			c.held++
		}
	}
}

func (c covered) share() float64 { return float64(c.held) / float64(c.all) }

func (c *covered) join(o covered) { c.held, c.all = c.held+o.held, c.all+o.all }

// comparedKeys are the measures whose intervals are checked.
func comparedKeys() []string {
	return []string{step.Primary, "time_to_foot_flat_ms", "foot_flat_rate_deg_s", "deceleration_fraction", "strike_angle_deg"}
}

// coverage is what one set-up of sessions gives: by measure, of a side's
// median and of the difference; own with the session's drift in the truth,
// endless without.
type coverage struct{ sideOwn, diffOwn, sideEndless, diffEndless map[string]*covered }

func newCoverage() coverage {
	c := coverage{map[string]*covered{}, map[string]*covered{}, map[string]*covered{}, map[string]*covered{}}
	for _, m := range []map[string]*covered{c.sideOwn, c.diffOwn, c.sideEndless, c.diffEndless} {
		for _, k := range comparedKeys() {
			m[k] = &covered{}
		}
	}
	return c
}

// trials is one set-up: a person, control left and right, steps, wandering.
type trials struct {
	l           *lander
	left, right float64
	n           int
	w           wander
}

// redrawn is how often each step is drawn anew for a session's own truth.
const redrawn = 30

// run makes sessions in chunks and adds up coverage.
func (k trials) run(sessions int, stream uint64) coverage {
	const chunks = 8
	r := rand.New(rand.NewPCG(stepSeed, stream))
	endlessL, endlessR := k.l.population(40000, k.left, r), k.l.population(40000, k.right, r)
	ends := map[string][2]float64{}
	for _, key := range comparedKeys() {
		ends[key] = [2]float64{medianOf(endlessL, step.Find(key)), medianOf(endlessR, step.Find(key))}
	}
	parts := parallel(chunks, func(i int) coverage {
		c := newCoverage()
		r := rand.New(rand.NewPCG(stepSeed+uint64(i)+1, stream))
		for range sessions / chunks {
			k.session(c, ends, r)
		}
		return c
	})
	all := newCoverage()
	for _, p := range parts {
		for _, key := range comparedKeys() {
			all.sideOwn[key].join(*p.sideOwn[key])
			all.diffOwn[key].join(*p.diffOwn[key])
			all.sideEndless[key].join(*p.sideEndless[key])
			all.diffEndless[key].join(*p.diffEndless[key])
		}
	}
	return all
}

// session adds one session.
func (k trials) session(c coverage, ends map[string][2]float64, r *rand.Rand) {
	a := k.l.walk(recording.Left, k.n, constant(k.left), k.w, r)
	b := k.l.walk(recording.Right, k.n, constant(k.right), k.w, r)
	var ownA, ownB []step.Step
	if k.w.slowShare > 0 {
		ownA, ownB = k.l.again(a, redrawn, k.w, r), k.l.again(b, redrawn, k.w, r)
	}
	steps := bothFeet(a, b)
	for _, key := range comparedKeys() {
		m := step.Find(key)
		va, vb := session.Values(steps, recording.Left, m), session.Values(steps, recording.Right, m)
		ea, eb := estimate.MedianInterval(va.Values, estimate.Config{}), estimate.MedianInterval(vb.Values, estimate.Config{})
		d := estimate.PairedDifferenceInterval(va, vb, estimate.Config{})
		c.sideEndless[key].add(ea, ends[key][0])
		c.sideEndless[key].add(eb, ends[key][1])
		c.diffEndless[key].add(d, ends[key][0]-ends[key][1])
		if ownA == nil {
			continue
		}
		ta, tb := medianOf(ownA, m), medianOf(ownB, m)
		c.sideOwn[key].add(ea, ta)
		c.sideOwn[key].add(eb, tb)
		c.diffOwn[key].add(d, ta-tb)
	}
}

func intervalChapter(_ testing.TB, c *chapter) {
	c.title = "Intervals that mean what they say"
	running, walking := usualLander(event.Running), usualLander(event.Walking)
	sessions := effort(2400, 24, 8)
	c.printf("%d sessions a row of true step values, without any signal: the landing of `simulate.Land` for each step, with the simulator's\n"+
		"own variation (strike angle, gain, pitch rate, load and arrival each √(1−s)·AR(1) + √s·slow drift, lag-one correlation 0.3,\n"+
		"time constant 150 steps, independent in each leg), by polynomials fitted to the model (R² running %s, walking %s for peak\n"+
		"rate, time to foot-flat, rate at foot-flat). Left gain 0.6, right gain 1.\n\n", sessions, fits(running), fits(walking))
	c.printf("Two truths. *Endless*: the median of endless steps of the process. *The session's own*: the median of the values the session's\n" +
		"steps would take if the quick part were drawn again and the slow drift stayed; this is what the interval is about (see\n" +
		"gait/estimate). Without slow drift both are the same. Share of 95 %% intervals that hold the truth, %%, lowest and highest\n" +
		"of five measures in brackets:\n\n")
	c.printf("| | steps a side | slow drift | side's median, own | difference, own | side's median, endless | difference, endless |\n|---|---:|---:|---:|---:|---:|---:|\n")
	sizes := []int{25, 50, 100, 400}
	if !long() {
		sizes = []int{25, 100}
	}
	var few, many [2]covered
	stream := uint64(0)
	for _, l := range []*lander{running, walking} {
		for _, n := range sizes {
			for _, w := range []wander{noWander, usualWander} {
				stream++
				v := trials{l, 0.6, 1, n, w}.run(sessions, stream)
				side, diff := v.sideEndless, v.diffEndless
				if w.slowShare > 0 {
					side, diff = v.sideOwn, v.diffOwn
				}
				sum := &few
				if n >= 100 {
					sum = &many
				}
				for _, key := range comparedKeys() {
					sum[0].join(*side[key])
					sum[1].join(*diff[key])
				}
				c.printf("| %s | %d | %s | %s | %s | %s | %s |\n", l.gait, n, map[bool]string{true: "30 % of the variance", false: "none"}[w.slowShare > 0],
					inWords(side), inWords(diff), inWords(v.sideEndless), inWords(v.diffEndless))
			}
		}
	}
	c.printf("\n")
	for i, name := range []string{"a side's median", "the difference"} {
		c.within("95 % intervals of "+name+" hold the session's truth, 25–99 steps a side", few[i].share(), 0.92, 0.98)
		c.within("95 % intervals of "+name+" hold the session's truth, 100 steps a side and more", many[i].share(), 0.93, 0.97)
	}
	c.powerTable()
}

func fits(l *lander) string {
	return fmt.Sprintf("%.3f, %.3f, %.3f", l.fit[lPeak], l.fit[lTime], l.fit[lFlat])
}

func (c *chapter) within(what string, got, low, high float64) {
	c.goal(what, fmt.Sprintf("%.0f–%.0f %%", 100*low, 100*high), got >= low && got <= high, "%.1f %%", 100*got)
}

// inWords is the mean over the measures, with lowest and highest.
func inWords(m map[string]*covered) string {
	var sum covered
	low, high := 1.0, 0.0
	for _, key := range comparedKeys() {
		sum.join(*m[key])
		low, high = math.Min(low, m[key].share()), math.Max(high, m[key].share())
	}
	return fmt.Sprintf("%.1f (%.1f–%.1f)", 100*sum.share(), 100*low, 100*high)
}

// powerTable prints what a recording can show.
func (c *chapter) powerTable() {
	c.printf("**How long to record.** The committed power table (`estimate.PowerTable`, %d simulated recordings a row, floor %.0f %% of the mean,\n"+
		"steps that vary by 10 and 20 %%): share of recordings called different / alike, %%.\n\n| true difference, %% |", estimate.PowerRecordings, 100*estimate.TableFloor)
	sizes, cvs := []int{25, 50, 100, 400}, []float64{0.1, 0.2}
	for _, cv := range cvs {
		for _, n := range sizes {
			c.printf(" CV %.0f %%, %d steps |", 100*cv, n)
		}
	}
	c.printf("\n|---:|")
	for range len(cvs) * len(sizes) {
		c.printf("---:|")
	}
	c.printf("\n")
	for _, effect := range []float64{0, 0.02, 0.05, 0.1, 0.15, 0.2, 0.25, 0.4} {
		c.printf("| %.0f |", 100*effect)
		for _, cv := range cvs {
			for _, n := range sizes {
				row, _ := estimate.PowerFor(cv, effect, n)
				c.printf(" %.0f / %.0f |", 100*row.Different, 100*row.Alike)
			}
		}
		c.printf("\n")
	}
	c.printf("\n")
}

// comparePage compares the sides of steps as Analyze does.
func comparePage(steps []step.Step, injured asymmetry.Injured) *asymmetry.Result {
	cfg := estimate.Config{Seed: 1}
	set := asymmetry.Settings{Injured: injured, Estimate: cfg, SameRecording: true}
	return asymmetry.Compare(session.Summarise(steps, cfg), steps, set)
}
