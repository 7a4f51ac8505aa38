package gait

import (
	"fmt"
	"math"
	"math/rand/v2"
	"sort"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"

	"setdown/gait/asymmetry"
	"setdown/gait/event"
	"setdown/gait/session"
	"setdown/gait/simulate"
	"setdown/gait/step"
	"setdown/signal/recording"
)

// page is what one session's comparison says.
type page struct {
	seed uint64
	// different are the keys called different; primary is the main verdict.
	different []string
	primary   asymmetry.Comparison
	steps     int // fewer of both sides
	note      string
	err       error
	// trueDifferent are the keys that the true values of the same steps would
	// have had called different.
	trueDifferent []string
}

func pageOf(r *asymmetry.Result) page {
	var p page
	if r == nil {
		return p
	}
	for _, k := range r.Comparisons {
		if k.Verdict == asymmetry.Different {
			p.different = append(p.different, k.Key)
		}
	}
	p.primary, _ = r.Get(step.Primary)
	p.steps = p.primary.Difference.N
	p.note = r.LandingNote
	return p
}

// lasting makes the recording long enough for n steps a side.
func lasting(s simulate.Settings, n int) simulate.Settings {
	s.Duration = s.StandBefore + s.StandAfter + 4 + float64(2*n)*60/s.Cadence
	return s
}

// pipelinePage analyses a simulated person from samples to verdicts.
func pipelinePage(seed uint64, s simulate.Settings, injured asymmetry.Injured) page {
	res, truth, err := analyzeMemory(s, Settings{Seed: 1, Injured: injured})
	if err != nil {
		return page{seed: seed, err: err}
	}
	p := pageOf(res.Asymmetry)
	p.seed = seed
	var steady []step.Step
	for _, x := range truth {
		x.Used = !x.Edge
		steady = append(steady, x.Step)
	}
	p.trueDifferent = pageOf(comparePage(steady, injured)).different
	return p
}

// tally counts pages.
type pageCount struct{ pages, different, alike, primaryDifferent int }

func countPages(all []page) (c pageCount, seeds []string, keys string) {
	by := map[string]int{}
	for _, p := range all {
		c.pages++
		if len(p.different) > 0 {
			c.different++
			seeds = append(seeds, fmt.Sprintf("%d %s%s", p.seed, strings.Join(p.different, ", "), p.onTruth()))
		}
		for _, k := range p.different {
			by[k]++
		}
		switch p.primary.Verdict {
		case asymmetry.Alike:
			c.alike++
		case asymmetry.Different:
			c.primaryDifferent++
		}
	}
	var names []string
	for k, n := range by {
		names = append(names, fmt.Sprintf("%s %d", k, n))
	}
	sort.Strings(names)
	return c, seeds, strings.Join(names, ", ")
}

// onTruth says whether the true values give the same.
func (p page) onTruth() string {
	if len(p.trueDifferent) == 0 {
		return " (true values: none)"
	}
	return " (true values: " + strings.Join(p.trueDifferent, ", ") + ")"
}

// upper95 is the upper end of the exact 95 % interval of a rate (Clopper &
// Pearson 1934) among independent sessions.
func upper95(k, n int) float64 {
	if k == n {
		return 1
	}
	return distuv.Beta{Alpha: float64(k + 1), Beta: float64(n - k)}.Quantile(0.975)
}

func verdictChapter(t testing.TB, c *chapter) {
	c.title = "Verdicts"
	c.evenPages(t)
	c.weakPages(t)
	c.stepPages()
}

// evenPages: people with both legs alike, through the whole pipeline.
func (c *chapter) evenPages(t testing.TB) {
	c.printf("**Even sides, from samples to verdicts.** People whose legs are alike, about 105 steps a side, a sensor on each foot. The legs\n" +
		"wander each by itself in the model, so that some of these sides did differ while they were recorded: the true values of\n" +
		"the same steps, compared in the same way, tell which.\n\n" +
		"| people | sessions | any `different` | upper 95 %% limit | the true values give `different` | without it there | peak rate `alike`, of those with 25 heel-first steps a side |\n|---|---:|---:|---:|---:|---:|---:|\n")
	usual := parallel(effort(80, 6, 1), func(i int) page {
		s := simulate.Defaults(event.Walking + event.Gait(i%2))
		s.Seed = uint64(evenSeed + 1000 + i)
		return pipelinePage(s.Seed, lasting(s, 105), asymmetry.InjuredUnknown)
	})
	drawn := parallel(effort(800, 6, 1), func(i int) page {
		seed := uint64(evenSeed + i)
		s := simulate.Draw(seed)
		even(&s)
		return pipelinePage(seed, lasting(s, 105), asymmetry.InjuredUnknown)
	})
	lines := c.evenRow(t, "the simulator's defaults, 200 Hz, 30 % slow drift", usual)
	lines += c.evenRow(t, "drawn by `simulate.Draw`, all sensors, 10–50 % slow drift", drawn)
	c.printf("\n%s\n", lines)
	first, _, _ := countPages(usual[:min(40, len(usual))])
	c.must("even pairs of the simulator's defaults, first 40, `different` anywhere on the page", "≤ 2 of 40", first.different <= 2, "%d of %d", first.different, first.pages)
	first, _, _ = countPages(drawn[:min(40, len(drawn))])
	c.goal("even pairs drawn from everybody, first 40, `different` anywhere on the page", "≤ 2 of 40", first.different <= 2, "%d of %d", first.different, first.pages)
}

// evenRow prints one population and notes its goals; the text names the
// sessions that were called different.
func (c *chapter) evenRow(t testing.TB, people string, all []page) string {
	var heel []page
	onTruth, alone := 0, 0
	for _, p := range all {
		require.NoError(t, p.err, "seed %d", p.seed)
		if p.steps >= session.MinSteps {
			heel = append(heel, p)
		}
		onTruth += b2i(len(p.trueDifferent) > 0)
		alone += b2i(len(p.different) > 0 && len(p.trueDifferent) == 0)
	}
	k, seeds, keys := countPages(all)
	h, _, _ := countPages(heel)
	n := len(all)
	rate := func(v int) float64 { return 100 * float64(v) / float64(n) }
	alike := 100 * float64(h.alike) / float64(max(1, h.pages))
	c.printf("| %s | %d | %d (%.1f %%) | %.1f %% | %d | %d | %.0f %% of %d |\n", people, n, k.different, rate(k.different), 100*upper95(k.different, n), onTruth, alone, alike, h.pages)
	c.at("even pairs, any `different`, "+people, rate(k.different), 5, "%.1f", "%")
	c.at("even pairs, upper 95 % limit of that rate, "+people, 100*upper95(k.different, n), 7, "%.1f", "%")
	c.at("even pairs, `different` that the true values do not give, "+people, rate(alone), 5, "%.1f", "%")
	c.goal("even pairs, peak rate `alike` at 100 steps a side, "+people, "≥ 60 %, goal 80 %", alike >= 80, "%.0f %%", alike)
	if h.pages >= 5 {
		c.must("the same in any sample, "+people, "≥ 60 %", alike >= 60, "%.0f %%", alike)
	}
	if k.different == 0 {
		return ""
	}
	return fmt.Sprintf("Called different among %s, by measure: %s; seeds: %s.\n", people, keys, strings.Join(seeds, "; "))
}

// weakPages: sides that do differ, through the whole pipeline.
func (c *chapter) weakPages(t testing.TB) {
	n := effort(24, 2, 1)
	c.printf("**A weak side, from samples to verdicts.** %d persons each (seeds from %d), 60 s; the injured side alternates and has gain\n"+
		"%.2f, the other 1.\n\n| | peak lowering rate `different`, the weak side faster | deceleration fraction `different` | lowering measured on the weak side | the landing is mentioned |\n|---|---:|---:|---:|---:|\n", n, weakSeed, weakGain)
	for _, k := range []struct {
		name        string
		gait        event.Gait
		angle, flat float64
	}{{"running, 14°", event.Running, 14, 14}, {"walking, 23°", event.Walking, 23, 23}, {"running, 12°, the weak side 4°", event.Running, 12, 4}} {
		right, slowed, measured, noted := 0, 0, 0, 0
		for _, p := range parallel(n, func(i int) weakPage { return weak(k.gait, k.angle, k.flat, i) }) {
			require.NoError(t, p.err)
			right, slowed, measured, noted = right+b2i(p.named), slowed+b2i(p.slowed), measured+b2i(p.primary.Difference.N >= 25), noted+b2i(p.note != "")
		}
		c.printf("| %s | %d of %d | %d | %d | %d |\n", k.name, right, n, slowed, measured, noted)
		if k.angle == k.flat {
			c.must("a weak side is called different and named, "+k.name, "all", right == n, "%d of %d", right, n)
		} else {
			c.must("a weak side that lands flatter has its lowering measured", "all", measured == n, "%d of %d", measured, n)
			c.must("the page says that the feet land differently", "all", noted == n, "%d of %d", noted, n)
		}
	}
	c.printf("\nA side that is weak and also lands flatter may lower as slowly as a healthy one, because the flatter landing has less to\nlower: the page then has no `different` on the rate, and says how the feet land.\n\n")
}

type weakPage struct {
	page
	named, slowed bool
}

// weak analyses a person whose injured side, left and right in turn, is weak
// and lands at flat degrees.
func weak(g event.Gait, angle, flat float64, i int) weakPage {
	s := landingAt(g, angle)
	s.Seed = uint64(weakSeed + i)
	injured, side := asymmetry.InjuredLeft, &s.Left
	if i%2 == 1 {
		injured, side = asymmetry.InjuredRight, &s.Right
	}
	side.Gain, side.StrikeAngle = weakGain, flat*math.Pi/180
	res, _, err := analyzeMemory(s, Settings{Seed: 1, Injured: injured})
	if err != nil {
		return weakPage{page: page{err: err}}
	}
	p := weakPage{page: pageOf(res.Asymmetry)}
	weakest := recording.Left
	if i%2 == 1 {
		weakest = recording.Right
	}
	p.named = p.primary.Verdict == asymmetry.Different && p.primary.First == weakest && p.primary.Difference.Low > 0
	for _, k := range p.different {
		p.slowed = p.slowed || k == "deceleration_fraction"
	}
	return p
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}

// stepPages counts verdicts on true step values: what the comparison does by
// itself, without errors of detection.
func (c *chapter) stepPages() {
	n := effort(2000, 16, 8)
	c.printf("**Verdicts on true step values** (as in the chapter before; %d sessions a row). The gain of one side is set so that the true\n"+
		"difference in peak lowering rate, a share of the sides' mean, is as given; the floor is 15 %%.\n\n", n)
	c.printf("| | steps a side | slow drift, each leg its own | true difference | any `different` | peak rate `different` | peak rate `alike` |\n|---|---:|---:|---:|---:|---:|---:|\n")
	stream := uint64(100)
	for _, l := range []*lander{usualLander(event.Running), usualLander(event.Walking)} {
		for _, effect := range []float64{0, 0.25} {
			gain := l.gainFor(effect)
			for _, k := range []struct {
				n int
				w wander
			}{{50, noWander}, {100, noWander}, {100, usualWander}, {400, noWander}, {400, usualWander}} {
				stream++
				if k.n == 400 && !long() {
					continue
				}
				count := verdictsOf(l, gain, k.n, k.w, n, stream)
				share := func(v int) float64 { return 100 * float64(v) / float64(count.pages) }
				c.printf("| %s | %d | %.0f %% | %.0f %% | %.1f %% | %.1f %% | %.1f %% |\n", l.gait, k.n, 100*k.w.slowShare, 100*effect, share(count.different), share(count.primaryDifferent), share(count.alike))
				c.stepGoals(l.gait.String(), k.n, k.w, effect, count)
			}
		}
	}
	c.printf("\nWith drift of each leg by itself the session's sides are truly uneven while they are recorded: `different` then says what\nhappened, not what would happen again.\n\n")
}

func (c *chapter) stepGoals(name string, n int, w wander, effect float64, k pageCount) {
	if n != 100 {
		return
	}
	at := fmt.Sprintf("%s, 100 steps a side, %.0f %% slow drift", name, 100*w.slowShare)
	rate := func(v int) float64 { return 100 * float64(v) / float64(k.pages) }
	if effect == 0 {
		c.at("even sides, any `different`, "+at, rate(k.different), 5, "%.1f", "%")
		c.goal("even sides, peak rate `alike`, "+at, "≥ 80 %", rate(k.alike) >= 80, "%.1f %%", rate(k.alike))
		return
	}
	c.goal("floor + 10 % in peak rate called `different`, "+at, "≥ 80 %", rate(k.primaryDifferent) >= 80, "%.1f %%", rate(k.primaryDifferent))
}

// verdictsOf makes sessions whose left side has the gain, the right side 1.
func verdictsOf(l *lander, gain float64, steps int, w wander, sessions int, stream uint64) pageCount {
	const chunks = 8
	parts := parallel(chunks, func(i int) pageCount {
		r := rand.New(rand.NewPCG(stepSeed+uint64(i)+1, stream))
		var pages []page
		for range sessions / chunks {
			a, b := l.walk(recording.Left, steps, constant(gain), w, r), l.walk(recording.Right, steps, constant(1), w, r)
			pages = append(pages, pageOf(comparePage(bothFeet(a, b), asymmetry.InjuredUnknown)))
		}
		k, _, _ := countPages(pages)
		return k
	})
	var all pageCount
	for _, p := range parts {
		all = pageCount{all.pages + p.pages, all.different + p.different, all.alike + p.alike, all.primaryDifferent + p.primaryDifferent}
	}
	return all
}

// gainFor is the gain at which the median peak rate lies above that of gain 1
// by the share of their mean, found by halving.
func (l *lander) gainFor(share float64) float64 {
	if share == 0 {
		return 1
	}
	m := step.Find(step.Primary)
	median := func(gain float64) float64 {
		return medianOf(l.population(8000, gain, rand.New(rand.NewPCG(stepSeed, 7))), m)
	}
	full := median(1)
	low, high := 0.0, 1.0
	for range 20 {
		g := (low + high) / 2
		v := median(g)
		if 2*(v-full)/(v+full) > share {
			low = g
		} else {
			high = g
		}
	}
	return (low + high) / 2
}
