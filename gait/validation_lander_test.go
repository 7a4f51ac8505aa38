package gait

import (
	"math"
	"math/rand/v2"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"setdown/gait/estimate"
	"setdown/gait/event"
	"setdown/gait/simulate"
	"setdown/gait/step"
	"setdown/signal/recording"
)

// What the lander knows of a landing, besides the strike angle.
const (
	lPeak = iota
	lTime
	lFlat
	lMeasures
)

// inputs of the lander: strike angle, pitch rate, load and arrival as standard
// deviations from the person's mean, and the gain scaled to −1…1 over 0…1.3.
const landerInputs = 5

// lander is the model's landing of one person as polynomials, so that hundreds
// of thousands of steps cost nothing: each measure of simulate.Land is fitted
// over the person's scatter and over all gains.
type lander struct {
	gait   event.Gait
	side   simulate.SideSettings
	period float64 // s between steps of one foot
	powers [][landerInputs]int
	coef   [lMeasures][]float64
	// fit is the share of each measure's variance that the polynomials follow.
	fit [lMeasures]float64
}

// The fit's degree and number of landings.
const (
	landerDegree = 4
	landerPoints = 900
	landerGain   = 1.3
)

// The people of the chapters on true step values: the simulator's defaults.
var (
	usualRunner = sync.OnceValue(func() *lander { return newLander(event.Running, 14*math.Pi/180) })
	usualWalker = sync.OnceValue(func() *lander { return newLander(event.Walking, 23*math.Pi/180) })
)

func usualLander(g event.Gait) *lander {
	if g == event.Walking {
		return usualWalker()
	}
	return usualRunner()
}

// newLander fits a person of the simulator's defaults who lands at an angle,
// rad.
func newLander(g event.Gait, angle float64) *lander {
	s := simulate.Defaults(g)
	l := &lander{gait: g, side: s.Left, period: 120 / s.Cadence}
	l.side.StrikeAngle = angle
	l.powers = powersUpTo(landerDegree)
	r := rand.New(rand.NewPCG(stepSeed, uint64(g)<<32|uint64(1000*angle)))
	x := mat.NewDense(landerPoints, len(l.powers), nil)
	y := mat.NewDense(landerPoints, lMeasures, nil)
	z := make([][landerInputs]float64, landerPoints)
	for i := range z {
		for k := range z[i] {
			z[i][k] = cut3(1.4 * r.NormFloat64()) // wider than the scatter, for its tails
		}
		z[i][1] = 2*r.Float64() - 1
		l.basis(z[i], x.RawRowView(i))
	}
	truths := parallel(landerPoints, func(i int) simulate.Step { return simulate.Land(l.landing(z[i])) })
	for i, s := range truths {
		y.SetRow(i, []float64{s.PeakLoweringRate, s.TimeToFootFlat, s.FootFlatRate})
	}
	var c, e mat.Dense
	if err := c.Solve(x, y); err != nil {
		panic(err)
	}
	e.Mul(x, &c)
	e.Sub(y, &e)
	for m := range lMeasures {
		l.coef[m] = mat.Col(nil, m, &c)
		rest, all := estimate.SD(mat.Col(nil, m, &e)), estimate.SD(mat.Col(nil, m, y))
		l.fit[m] = 1 - rest*rest/(all*all)
	}
	return l
}

func cut3(x float64) float64 { return math.Min(3, math.Max(-3, x)) }

// powersUpTo lists the exponents of all monomials.
func powersUpTo(degree int) (out [][landerInputs]int) {
	var p [landerInputs]int
	var fill func(k, left int)
	fill = func(k, left int) {
		if k == landerInputs {
			out = append(out, p)
			return
		}
		for e := 0; e <= left; e++ {
			p[k] = e
			fill(k+1, left-e)
		}
		p[k] = 0
	}
	fill(0, degree)
	return out
}

// basis fills the monomials of z.
func (l *lander) basis(z [landerInputs]float64, out []float64) {
	var pow [landerInputs][landerDegree + 1]float64
	for k, v := range z {
		pow[k][0] = 1
		for e := 1; e <= landerDegree; e++ {
			pow[k][e] = pow[k][e-1] * v
		}
	}
	for i, p := range l.powers {
		v := 1.0
		for k, e := range p {
			v *= pow[k][e]
		}
		out[i] = v
	}
}

// landing is the model's landing of the inputs.
func (l *lander) landing(z [landerInputs]float64) simulate.Landing {
	s := &l.side
	arrival := 1 + s.ArrivalSD*z[4]
	return simulate.Landing{
		Gait: l.gait, StrikeAngle: s.StrikeAngle + s.StrikeAngleSD*z[0], Gain: landerGain * (z[1] + 1) / 2,
		PitchRate: s.PitchRate + s.PitchRateSD*z[2], Load: math.Max(0.3, 1+s.LoadSD*z[3]) * s.Load,
		Sink: s.Sink * arrival, Forward: s.Forward * arrival,
	}
}

// values are the measures of the inputs; scratch has the basis' length.
func (l *lander) values(z [landerInputs]float64, scratch []float64) (v [lMeasures]float64) {
	l.basis(z, scratch)
	for m := range lMeasures {
		for i, x := range scratch {
			v[m] += l.coef[m][i] * x
		}
	}
	v[lFlat] = math.Max(0, v[lFlat])
	v[lPeak] = math.Max(v[lPeak], v[lFlat])
	return v
}

// scaled is the gain as an input.
func scaled(gain float64) float64 {
	return 2*math.Min(landerGain, math.Max(0, gain))/landerGain - 1
}

// wander says how steps follow each other, as in simulate.Settings.
type wander struct{ correlation, slowShare, slowSteps float64 }

// usualWander is that of simulate.Defaults; noWander has the same likeness of
// neighbours and no slow drift.
var (
	usualWander = wander{0.3, 0.3, 150}
	noWander    = wander{0.3, 0, 150}
)

// foot is one foot's steps, and the slow part of what moved them.
type foot struct {
	steps []step.Step
	slow  [][landerInputs + 1]float64
	gains []float64
}

// walk makes n steps of one foot with the gain at each step; every series is
// √(1−s)·AR(1) + √s·slow, as in the simulator.
func (l *lander) walk(side recording.Side, n int, gain func(i int) float64, w wander, r *rand.Rand) foot {
	var fast, slow [landerInputs + 1]float64
	for k := range fast {
		fast[k], slow[k] = r.NormFloat64(), r.NormFloat64()
	}
	drift := math.Exp(-1 / w.slowSteps)
	f := foot{steps: make([]step.Step, n), slow: make([][landerInputs + 1]float64, n), gains: make([]float64, n)}
	scratch := make([]float64, len(l.powers))
	for i := range n {
		for k := range fast {
			fast[k] = w.correlation*fast[k] + math.Sqrt(1-w.correlation*w.correlation)*r.NormFloat64()
			slow[k] = drift*slow[k] + math.Sqrt(1-drift*drift)*r.NormFloat64()
		}
		f.slow[i], f.gains[i] = slow, gain(i)
		f.steps[i] = l.step(side, i, l.inputs(fast, slow, f.gains[i], w), scratch)
	}
	return f
}

// inputs joins the parts; the last is the contact time's own.
func (l *lander) inputs(fast, slow [landerInputs + 1]float64, gain float64, w wander) (z [landerInputs + 1]float64) {
	for k := range z {
		z[k] = cut3(math.Sqrt(1-w.slowShare)*fast[k] + math.Sqrt(w.slowShare)*slow[k])
	}
	z[1] = scaled(gain * (1 + l.side.GainSD*z[1]))
	return z
}

// step is one step with every measure that a comparison looks at.
func (l *lander) step(side recording.Side, i int, z [landerInputs + 1]float64, scratch []float64) step.Step {
	v := l.values([landerInputs]float64(z[:landerInputs]), scratch)
	nan := math.NaN()
	t := float64(i) * l.period
	if side == recording.Right {
		t += l.period / 2
	}
	return step.Step{
		Side: side, Number: i + 1, Gait: l.gait, Used: true, HeelFirst: step.True, InitialContact: t,
		StrikeAngle: l.side.StrikeAngle + l.side.StrikeAngleSD*z[0], TimeToFootFlat: v[lTime], FootFlat: t + v[lTime],
		PeakLoweringRate: v[lPeak], FootFlatRate: v[lFlat], DecelerationFraction: 1 - v[lFlat]/v[lPeak],
		ContactTime: l.side.ContactTime + l.side.ContactTimeSD*z[5], ToeOff: t + l.side.ContactTime,
		StrideTime: l.period, HeelContactPeak: nan, FootFlatPeak: nan,
	}
}

func constant(gain float64) func(int) float64 { return func(int) float64 { return gain } }

// population is many independent steps with a gain: what the medians of endless
// steps without drift would be. index, if not nil, gives the drift that stays.
func (l *lander) population(n int, gain float64, r *rand.Rand) []step.Step {
	scratch := make([]float64, len(l.powers))
	out := make([]step.Step, n)
	for i := range out {
		var fast [landerInputs + 1]float64
		for k := range fast {
			fast[k] = r.NormFloat64()
		}
		out[i] = l.step(recording.Left, i, l.inputs(fast, fast, gain, wander{}), scratch)
	}
	return out
}

// again draws the fast part of every step anew, times times each, with the
// foot's own drift kept.
func (l *lander) again(f foot, times int, w wander, r *rand.Rand) []step.Step {
	scratch := make([]float64, len(l.powers))
	out := make([]step.Step, 0, times*len(f.steps))
	for i := range f.steps {
		for range times {
			var fast [landerInputs + 1]float64
			for k := range fast {
				fast[k] = r.NormFloat64()
			}
			out = append(out, l.step(f.steps[i].Side, i, l.inputs(fast, f.slow[i], f.gains[i], w), scratch))
		}
	}
	return out
}

// medianOf is the median of a measure.
func medianOf(steps []step.Step, m step.Metric) float64 {
	v := make([]float64, len(steps))
	for i := range steps {
		v[i] = m.Value(&steps[i])
	}
	return estimate.Median(v)
}

// together sorts both feet's steps by time.
func bothFeet(left, right foot) []step.Step {
	out := make([]step.Step, 0, len(left.steps)+len(right.steps))
	for i := range left.steps {
		out = append(out, left.steps[i])
		if i < len(right.steps) {
			out = append(out, right.steps[i])
		}
	}
	return out
}

// The polynomials must say what the simulator says: medians and scatter of its
// own steps.
func TestLanderFollowsTheSimulator(t *testing.T) {
	if testing.Short() {
		t.Skip("compares hundreds of simulated steps")
	}
	s := landingAt(event.Running, 14)
	s.Seed, s.SlowShare, s.Correlation, s.Duration = stepSeed, 0, 0, 150
	var left []step.Step
	for _, x := range simulate.Truth(s) {
		if !x.Edge {
			left = append(left, x.Step)
		}
	}
	l := usualLander(event.Running)
	pop := l.population(20000, 1, rand.New(rand.NewPCG(stepSeed, 9)))
	for _, key := range []string{step.Primary, "time_to_foot_flat_ms", "foot_flat_rate_deg_s", "strike_angle_deg"} {
		m := step.Find(key)
		got, want := medianOf(pop, m), medianOf(left, m)
		var v []float64
		for i := range left {
			v = append(v, m.Value(&left[i]))
		}
		sd := estimate.SD(v)
		// 1.25 SD/√n is the standard error of a median; four of them.
		require.InDelta(t, want, got, 4*1.25*sd/math.Sqrt(float64(len(v))), key)
		var own []float64
		for i := range pop {
			own = append(own, m.Value(&pop[i]))
		}
		require.InEpsilon(t, sd, estimate.SD(own), 0.15, key)
	}
	for m, fit := range l.fit {
		require.GreaterOrEqual(t, fit, 0.97, "measure %d of the lander", m)
	}
}
