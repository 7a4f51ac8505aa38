package simulate

import (
	"fmt"
	"math"
	"math/rand/v2"

	"setdown/signal/recording"
)

// Recording is a simulated recording. It holds settings and truth only: samples
// are made anew whenever they are asked for, so that memory does not grow with
// the length, and methods may be called from several goroutines.
type Recording struct {
	settings Settings
	steps    []Step
}

// Run prepares the recording that the settings describe. It panics on settings
// that no person could have meant: a gait other than walking or running, a
// duration or cadence that is not positive.
func Run(s Settings) *Recording {
	if s.Duration <= 0 || s.Cadence <= 0 {
		panic(fmt.Sprintf("simulate: duration %g s and cadence %g steps/min must be positive", s.Duration, s.Cadence))
	}
	return &Recording{settings: s, steps: Truth(s)}
}

// Settings returns what the recording was made from.
func (r *Recording) Settings() Settings { return r.settings }

// Steps returns the truth, a row a step, both feet in order of initial contact.
// The slice must not be changed.
func (r *Recording) Steps() []Step { return r.steps }

// Sample is one row: the time stamp in s on the sensor's clock, specific force in
// m/s² and angular rate in rad/s along the sensor's axes.
type Sample struct {
	Time     float64
	Acc, Gyr Vector
}

// sensorAt returns the settings of a sensor, or nil where there is none.
func (r *Recording) sensorAt(side recording.Side, site recording.Site) *SensorSettings {
	s := &r.settings
	var c *SensorSettings
	switch site {
	case recording.Foot:
		c = &s.side(side).Foot
	case recording.Shin:
		c = &s.side(side).Shin
	case recording.Waist:
		c = &s.Waist
	case recording.Wrist:
		c = &s.Wrist
	default:
		panic("simulate: no sensor can be at an unknown site")
	}
	if c.Rate <= 0 {
		return nil
	}
	return c
}

// source returns the ideal readings of one sensor.
func (r *Recording) source(c *SensorSettings, side recording.Side, site recording.Site) source {
	s := &r.settings
	switch site {
	case recording.Foot:
		m := newFootMotion(s, side, nil)
		return func(t float64) reading {
			p := m.at(t)
			return p.read(fromBall(c.Position), p.specific(s.Slope))
		}
	case recording.Shin:
		return newShinMotion(s, side, c.Position).read
	case recording.Waist:
		return newTrunkMotion(s).waist
	default:
		m := newTrunkMotion(s)
		return func(t float64) reading { return m.wrist(t, c.Position) }
	}
}

// fromBall turns a place from the heel's lower edge into one from the pose's point.
func fromBall(v Vector) Vector {
	return Vector{v[0] - ballForward, v[1], v[2] - ballRadius}
}

// Place names one sensor of a recording.
type Place struct {
	Side recording.Side
	Site recording.Site
}

// Places lists the sensors of the recording: feet, shins, waist, wrist, left
// before right.
func (r *Recording) Places() []Place {
	var out []Place
	for _, p := range []Place{
		{recording.Left, recording.Foot}, {recording.Right, recording.Foot},
		{recording.Left, recording.Shin}, {recording.Right, recording.Shin},
		{recording.SideUnknown, recording.Waist}, {recording.SideUnknown, recording.Wrist},
	} {
		if r.sensorAt(p.Side, p.Site) != nil {
			out = append(out, p)
		}
	}
	return out
}

// Samples hands the rows of one sensor to yield in order of sampling until the
// recording ends or yield returns an error, which is returned as it is. A side
// must be given for foot and shin. It panics if there is no such sensor.
func (r *Recording) Samples(side recording.Side, site recording.Site, yield func(Sample) error) error {
	c := r.sensorAt(side, site)
	if c == nil {
		panic(fmt.Sprintf("simulate: no %v sensor at the %v", side, site))
	}
	stream := uint64(site)<<4 | uint64(side)
	n := newSensor(c, r.source(c, side, site), r.settings.Seed, stream)
	rng := rand.New(rand.NewPCG(r.settings.Seed, 0xc10c<<16|stream))
	lost := false
	for k := 0; ; k++ {
		shown := float64(k) / c.Rate
		sampling, writing := jitter(rng, c.SampleJitter, c.Rate), jitter(rng, c.StampJitter, c.Rate)
		t := (shown + sampling) * (1 + c.ClockDrift*1e-6)
		if t > r.settings.Duration {
			return nil
		}
		if c.PacketSamples > 0 && k%c.PacketSamples == 0 {
			lost = rng.Float64() < c.Loss
		}
		v := n.sample(t)
		if lost {
			continue
		}
		if err := yield(Sample{c.ClockOffset + shown + sampling + writing, v.acc, v.gyr}); err != nil {
			return err
		}
	}
}

// jitter draws a time error in s, cut at ±0.4 sampling intervals.
func jitter(rng *rand.Rand, sd, rate float64) float64 {
	if sd <= 0 {
		return 0
	}
	limit := 0.4 / rate
	return math.Min(limit, math.Max(-limit, sd*rng.NormFloat64()))
}
