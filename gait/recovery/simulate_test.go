package recovery_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"setdown/gait/diary"
	"setdown/gait/estimate"
	"setdown/gait/recovery"
	"setdown/gait/step"
)

const (
	deg      = math.Pi / 180
	rateUnit = deg // rad/s in a deg/s
)

// courseSettings are the truth of an invented course of sessions, at the level
// of summaries. Rates are in deg/s.
type courseSettings struct {
	days []int
	// lowering is the injured side's true peak lowering rate above the other's.
	lowering []float64
	// uninjured is the other side's rate; day is the day-to-day variation that
	// both feet share (speed, warmth).
	uninjured, day float64
	// dayInjured, refit and sampling are standard deviations of what only the
	// injured side's day, the fitting of each sensor, and the steps add.
	dayInjured, refit, sampling float64
	// badFirst is added to the first session.
	badFirst float64
	// strike is the injured side's true strike angle in degrees, per session;
	// nil is 18 throughout. The other side's is 18.
	strike []float64
	shoes  []string
	// refits adds a second session, sensors put on again, on these days.
	refits map[int]bool
}

// between is the true standard deviation of the difference between like
// sessions; mdc is 1.96·√2 of it (Weir 2005).
func (c courseSettings) between() float64 {
	return math.Sqrt(c.dayInjured*c.dayInjured + 2*c.refit*c.refit + 2*c.sampling*c.sampling)
}

func (c courseSettings) mdc() float64 { return 1.96 * math.Sqrt2 * c.between() }

var firstDay = diary.On(2026, time.March, 2)

// sessions draws the sessions of the course; the injured side is the left.
func (c courseSettings) sessions(r *rand.Rand) []recovery.Session {
	var out []recovery.Session
	for i, day := range c.days {
		shared, own := c.day*r.NormFloat64(), c.dayInjured*r.NormFloat64()
		for rep := range 2 {
			if rep == 1 && !c.refits[i] {
				break
			}
			out = append(out, c.session(r, i, rep, day, shared, own))
		}
	}
	return out
}

func (c courseSettings) session(r *rand.Rand, i, rep, day int, shared, own float64) recovery.Session {
	strike, shoe := 18.0, "grey 8 mm"
	if c.strike != nil {
		strike = c.strike[i]
	}
	if c.shoes != nil {
		shoe = c.shoes[i]
	}
	bad := 0.0
	if i == 0 {
		bad = c.badFirst
	}
	right := c.uninjured + shared + c.refit*r.NormFloat64() + c.sampling*r.NormFloat64()
	left := c.uninjured + shared + own + bad + c.lowering[i] + c.refit*r.NormFloat64() + c.sampling*r.NormFloat64()
	speed := 2.8 + 0.05*r.NormFloat64()
	again := diary.Yes
	return recovery.Session{ID: fmt.Sprintf("s%02d-%d", i, rep), Date: firstDay.Add(day), Order: float64(rep), Method: "1", Gait: "running",
		UsedLeft: 200, UsedRight: 200,
		Conditions: recovery.Conditions{Shoe: shoe, Surface: "path", SpeedMPS: &speed, Treadmill: diary.No, Refitted: again},
		Measures: map[string]recovery.Measure{
			step.Primary:       measure(left*rateUnit, right*rateUnit, c.sampling*rateUnit),
			"strike_angle_deg": measure((strike+0.3*r.NormFloat64())*deg, (18+0.3*r.NormFloat64())*deg, 0.3*deg),
			step.HeelFirstKey:  measure(0.99-0.01*r.Float64(), 0.99-0.01*r.Float64(), 0.005),
		}}
}

// measure makes both sides' values with intervals of 1.96 standard errors.
func measure(left, right, se float64) recovery.Measure {
	v := func(x, se float64) recovery.Value {
		return recovery.ValueOf(estimate.Estimate{N: 200, Center: x, Low: x - 1.96*se, High: x + 1.96*se, Method: "simulated"})
	}
	return recovery.Measure{Left: v(left, se), Right: v(right, se), Difference: v(left-right, math.Sqrt2*se)}
}

// shape is how control goes over the weeks.
type shape string

const (
	flat    shape = "flat"
	rise    shape = "rising control"
	fall    shape = "falling control"
	relapse shape = "relapse"
)

// randomCourse draws a course of the shape: 4 to 12 like sessions 3 to 10 days
// apart, a between-session noise of 4 to 11 % of the rate, a change of 0 to 4
// minimal detectable changes that comes evenly, early, late or at once, a first
// day that is worse in half of the cases, and repeats with refitted sensors in
// half of them.
func randomCourse(r *rand.Rand, s shape) courseSettings {
	n := 4 + r.IntN(9)
	noise := 0.04 + 0.07*r.Float64()
	c := courseSettings{uninjured: 300 + 200*r.Float64(), day: 20, refits: map[int]bool{}}
	total := noise * c.uninjured
	part := 0.3 + 0.4*r.Float64()
	c.sampling = 0.2 * total / math.Sqrt2
	c.dayInjured = total * math.Sqrt(0.96*part)
	c.refit = total * math.Sqrt(0.96*(1-part)/2)
	day := 0
	for range n {
		c.days = append(c.days, day)
		day += 3 + r.IntN(8)
	}
	if r.IntN(2) == 0 {
		for range 1 + r.IntN(4) {
			c.refits[r.IntN(n)] = true
		}
	}
	if r.IntN(2) == 0 {
		c.badFirst = 3 * total * r.Float64()
	}
	size := 4 * r.Float64() * c.mdc()
	c.lowering = courseOf(r, s, c.days, size, 30+150*r.Float64())
	return c
}

// courseOf returns the true difference on each day.
func courseOf(r *rand.Rand, s shape, days []int, size, rest float64) []float64 {
	gain := gainForm(r.IntN(4))
	peak := 0.4 + 0.3*r.Float64()
	out := make([]float64, len(days))
	for i, d := range days {
		x := float64(d) / float64(days[len(days)-1])
		switch {
		case s == flat:
			out[i] = rest
		case s == rise:
			out[i] = rest + size*(1-gain(x))
		case s == fall:
			out[i] = rest + size*gain(x)
		case x < peak:
			out[i] = rest + size*(1-gain(x/peak))
		default:
			out[i] = rest + size*gain((x-peak)/(1-peak))
		}
	}
	return out
}

// gainForm returns one of four ways from 0 to 1: even, early, late, at once.
func gainForm(form int) func(float64) float64 {
	switch form {
	case 0:
		return func(x float64) float64 { return x }
	case 1:
		return func(x float64) float64 { return (1 - math.Exp(-3*x)) / (1 - math.Exp(-3)) }
	case 2:
		return func(x float64) float64 { return math.Max(0, (x-0.4)/0.6) }
	}
	return func(x float64) float64 { return 1 / (1 + math.Exp(-12*(x-0.5))) }
}
