package simulate

import (
	"math"
	"math/rand/v2"

	"setdown/gait/event"
)

// DrawRates are the sampling rates in Hz among which Draw chooses.
var DrawRates = [...]float64{100, 128, 200, 256, 500, 1000}

// dice draws numbers for Draw.
type dice struct{ *rand.Rand }

// between returns a number evenly drawn from [lo, hi).
func (d dice) between(lo, hi float64) float64 { return lo + (hi-lo)*d.Float64() }

// chance is true with probability p.
func (d dice) chance(p float64) bool { return d.Float64() < p }

// Draw returns one member of the validation population: 90 s of walking or
// running by a person, with sensors, both drawn at random from seed. Half of
// the recordings are walking. The ranges:
//
//	speed                2.2–4.2 m/s running, 0.9–1.7 m/s walking
//	cadence              166 + 5.6 (speed − 2.8 m/s) ± 7 running (slope of Burns et al. 2019), √speed law ± 4 % walking
//	strike               running: 85 % heel 4–22°, 10 % midfoot −1–6°, 5 % forefoot −10–−3°; walking 17–29°; sides ± 1.5°
//	gain                 60 % both sides 0.8–1.1, else one side 0–0.8
//	sensor               instep, heel or outer side ± 1 cm, any mounting, the same rate on both feet
//	bandwidth            0.4–1.0 × rate, within 45–260 Hz
//	range                ±16 g (60 %), ±32 g, ±100 g; ±2000 deg/s (80 %), ±4000 deg/s
//	noise                0.5–3 × the default; bias 0.15 m/s² and 0.6 deg/s SD
//	clock                70 % exact, else 0.1–0.6 ms jitter; drift ± 20 ppm SD; 10 % lose 0.1–0.5 % of packets of 8
//	push-off             42–56° running, 50–66° walking; the rate peaks 6–22 ms (40–90 ms) before toe-off
//	slope                30 % within ± 4°
func Draw(seed uint64) Settings {
	d := dice{rand.New(rand.NewPCG(seed, 0xd1ce))}
	g := event.Running
	if d.chance(0.5) {
		g = event.Walking
	}
	return drawGait(seed, d, g)
}

// DrawGait is Draw with the gait given.
func DrawGait(seed uint64, g event.Gait) Settings {
	d := dice{rand.New(rand.NewPCG(seed, 0xd1ce))}
	d.Float64() // the number that chooses the gait in Draw
	return drawGait(seed, d, g)
}

// drawGait draws everything but the gait.
func drawGait(seed uint64, d dice, g event.Gait) Settings {
	s := Defaults(g)
	s.Seed, s.Duration = seed, 90
	s.StandBefore, s.StandAfter = d.between(2, 6), d.between(2, 6)
	if d.chance(0.3) {
		s.Slope = d.between(-4, 4) * degree
	}
	s.StepTimeVariation = d.between(0.008, 0.020)
	s.Correlation, s.SlowShare = d.between(0.1, 0.5), d.between(0.1, 0.5)
	base := drawLeg(&s, d)
	s.Left, s.Right = base, base
	drawSides(&s, d)
	drawSensors(&s, d)
	return s
}

// drawLeg draws speed and cadence, and what both legs share.
func drawLeg(s *Settings, d dice) SideSettings {
	side := s.Left
	if s.Gait == event.Running {
		s.Speed = d.between(2.2, 4.2)
		s.Cadence = math.Min(198, math.Max(146, 166+5.6*(s.Speed-2.8)+7*d.NormFloat64()))
		side.ContactTime = RunningContactTime(s.Speed) * d.between(0.93, 1.07)
		switch kind := d.Float64(); {
		case kind < 0.85:
			side.StrikeAngle = d.between(4, 22) * degree
		case kind < 0.95:
			side.StrikeAngle = d.between(-1, 6) * degree
		default:
			side.StrikeAngle = d.between(-10, -3) * degree
		}
		side.Sink, side.Forward, side.PitchRate = d.between(0.6, 1.0), d.between(0.2, 0.9), d.between(-1.0, 0.4)
		side.PushOffAngle, side.PushOffLead = d.between(42, 56)*degree, d.between(0.006, 0.022)
		side.PushOffKeep = 1 - math.Pow(side.PushOffLead/d.between(0.040, 0.055), 2)
		side.Lift = d.between(0.10, 0.25)
	} else {
		s.Speed = d.between(0.9, 1.7)
		s.Cadence = 112 * math.Sqrt(s.Speed/1.3) * (1 + 0.04*d.NormFloat64())
		side.ContactTime = d.between(0.59, 0.64) * 120 / s.Cadence
		side.StrikeAngle = d.between(17, 29) * degree
		side.Sink, side.Forward, side.PitchRate = d.between(0.12, 0.38), d.between(0.1, 0.5), d.between(-0.8, 0.2)
		side.PushOffAngle, side.PushOffLead = d.between(50, 66)*degree, d.between(0.040, 0.090)
		side.PushOffKeep = 1 - math.Pow(1/d.between(1.4, 2), 2)
		side.Lift = d.between(0.045, 0.09)
	}
	side.ToeOut = d.between(0, 14) * degree
	side.Inversion, side.Eversion = d.between(1, 7)*degree, d.between(0, 6)*degree
	side.SwingYaw = d.between(0, 12) * degree
	return side
}

// drawSides lets the sides differ in landing and control.
func drawSides(s *Settings, d dice) {
	for _, side := range []*SideSettings{&s.Left, &s.Right} {
		side.StrikeAngle += 1.5 * degree * d.NormFloat64()
		side.StrikeAngleSD = d.between(0.8, 2.2) * degree
		side.Gain = d.between(0.8, 1.1)
		side.Load = d.between(0.9, 1.1)
	}
	if d.chance(0.4) {
		weak := &s.Left
		if d.chance(0.5) {
			weak = &s.Right
		}
		weak.Gain = d.between(0, 0.8)
	}
}

// drawSensors draws one kind of sensor and its place and clock on each foot.
func drawSensors(s *Settings, d dice) {
	const g = 9.80665
	kind := defaultSensor()
	kind.Rate = DrawRates[d.IntN(len(DrawRates))]
	kind.Bandwidth = math.Min(260, math.Max(45, kind.Rate*d.between(0.4, 1.0)))
	kind.AccRange = []float64{16, 16, 16, 32, 100}[d.IntN(5)] * g
	kind.GyrRange = []float64{2000, 2000, 2000, 2000, 4000}[d.IntN(5)] * degree
	kind.AccStep, kind.GyrStep = kind.AccRange/32768, kind.GyrRange/32768
	noise := d.between(0.5, 3)
	kind.AccNoise, kind.GyrNoise = kind.AccNoise*noise, kind.GyrNoise*noise
	if d.chance(0.3) {
		kind.SampleJitter, kind.StampJitter = d.between(0, 0.0005), d.between(0.0001, 0.0006)
	}
	if d.chance(0.1) {
		kind.Loss, kind.PacketSamples = d.between(0.001, 0.005), 8
	}
	place := []Vector{Instep, HeelCounter, LateralShoe}[d.IntN(3)]
	for _, side := range []*SideSettings{&s.Left, &s.Right} {
		c := kind
		c.Position = place
		if side == &s.Left {
			c.Position[1] = -c.Position[1]
		}
		for i := range 3 {
			c.Position[i] += 0.01 * d.between(-1, 1)
			c.AccBias[i], c.GyrBias[i] = 0.15*d.NormFloat64(), 0.6*degree*d.NormFloat64()
		}
		c.Mounting = Quaternion{d.NormFloat64(), d.NormFloat64(), d.NormFloat64(), d.NormFloat64()}
		c.ClockDrift = 20 * d.NormFloat64()
		side.Foot = c
	}
}

// DefaultShin, DefaultWaist and DefaultWrist return sensors for places other
// than the foot: a shin sensor 10 cm above the ankle that hangs a little loose,
// as straps do, one at the back of the pelvis, and one at the wrist.
func DefaultShin() SensorSettings {
	c := defaultSensor()
	c.Position = Vector{0.03, 0, 0.10}
	c.MountRate, c.MountDamping = 40, 0.5
	return c
}

// DefaultWaist returns a sensor at the back of the pelvis; see DefaultShin.
func DefaultWaist() SensorSettings {
	c := defaultSensor()
	c.Rate, c.Position = 100, Vector{}
	c.Bandwidth = 45
	return c
}

// DefaultWrist returns a sensor at the wrist; see DefaultShin.
func DefaultWrist() SensorSettings {
	c := DefaultWaist()
	c.Position = Vector{0, 0, -0.55}
	return c
}
