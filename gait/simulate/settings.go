package simulate

import (
	"math"

	"setdown/gait/event"
	"setdown/signal/recording"
)

// degree is one degree in rad.
const degree = math.Pi / 180

// Settings say what to simulate. All values are physical; nothing in them is a
// detector's parameter. Start from Defaults, which fills every field.
type Settings struct {
	// Gait is walking or running.
	Gait event.Gait
	// Duration is the length of the recording in s, standing included.
	Duration float64
	// Seed chooses the random numbers. The same settings give the same bytes.
	Seed uint64
	// Cadence is the mean step rate in steps/min, both feet.
	Cadence float64
	// StepTimeVariation is the coefficient of variation of the step time.
	StepTimeVariation float64
	// Correlation is the lag-one correlation, from step to step of one foot, of
	// the fast part of every variation; SlowShare is the share of each variance
	// that drifts slowly, with a time constant of SlowSteps steps of one foot.
	Correlation, SlowShare, SlowSteps float64
	// Speed is the mean speed in m/s along the surface.
	Speed float64
	// Slope is the angle of the surface in rad, uphill positive. Foot pitch is
	// measured against the surface, so that truth does not depend on it.
	Slope float64
	// StandBefore and StandAfter are s of standing still at the ends.
	StandBefore, StandAfter float64
	// Pauses are stops to stand still within the recording.
	Pauses []Pause
	// Turns are changes of direction within the recording.
	Turns []Turn
	// Left and Right describe the two feet.
	Left, Right SideSettings
	// Waist and Wrist are single sensors; a Rate of 0 means there is none.
	Waist, Wrist SensorSettings
}

// Pause is a stop: the first step at or after At (s) closes beside the other
// foot, and the person stands for Length s.
type Pause struct{ At, Length float64 }

// Turn changes the heading by Angle rad, to the left positive, evenly over the
// steps that fall into [At, At+Length), in s.
type Turn struct{ At, Length, Angle float64 }

// GainPoint fixes the control gain at a time of the recording, in s.
type GainPoint struct{ Time, Gain float64 }

// SideSettings describe one leg and its sensors. Standard deviations (SD) are
// from step to step, within the person.
type SideSettings struct {
	// StrikeAngle is the foot pitch at initial contact in rad, toe up positive.
	// Below 0 the forefoot touches first.
	StrikeAngle, StrikeAngleSD float64
	// Gain is the dorsiflexor control gain: 1 healthy, 0 none; up to 1.2.
	// GainSD is relative to Gain.
	Gain, GainSD float64
	// GainCourse, if not empty, replaces Gain by straight lines between points
	// in order of time; before the first and after the last it is constant.
	GainCourse []GainPoint
	// PitchRate is the pitch rate at initial contact in rad/s, toe up positive:
	// what late swing leaves.
	PitchRate, PitchRateSD float64
	// Load scales the moment of the contact force (1 is usual); LoadSD is its SD.
	Load, LoadSD float64
	// Sink and Forward are the speeds in m/s at which the foot arrives; ArrivalSD
	// is their relative SD.
	Sink, Forward, ArrivalSD float64
	// ContactTime is the mean time from initial contact to toe-off in s.
	ContactTime, ContactTimeSD float64
	// PushOffAngle is the toe-down pitch at toe-off in rad, positive.
	PushOffAngle, PushOffAngleSD float64
	// PushOffLead is how long, in s, before toe-off the toe-down rate peaks, and
	// PushOffKeep the share of that peak that is left at toe-off. The rate falls
	// along a parabola: 1 − Keep of it within a Lead of 0 asks for an impossible
	// acceleration.
	PushOffLead, PushOffKeep float64
	// Lift is the height in m that the ball of the foot reaches in swing.
	Lift float64
	// ToeOut is the angle in rad between foot and path, toes outwards positive.
	ToeOut float64
	// Inversion is the frontal angle in rad at initial contact (sole inwards
	// positive), Eversion the angle to the other side in stance, positive.
	Inversion, Eversion float64
	// SwingYaw is the amplitude in rad of the foot's turn about the vertical in swing.
	SwingYaw float64
	// Foot and Shin are the sensors; a Rate of 0 means there is none.
	Foot, Shin SensorSettings
}

// Vector is a vector in m or without unit, along X forward, Y left, Z up.
type Vector [3]float64

// Quaternion is a rotation, scalar first, active, acting on column vectors. The
// zero value stands for no rotation.
type Quaternion [4]float64

// SensorSettings describe one sensor and its clock.
//
// The clock of a sensor shows c = ClockOffset + t/(1 + ClockDrift·1e-6) at true
// time t: with a positive drift it is slow. Samples are taken when that clock
// shows a multiple of 1/Rate past the offset, give or take SampleJitter, and
// stamped with what it shows, give or take StampJitter. Truth is on the same
// clock, so that detected and true times may be compared without correction.
// The two jitters are not part of the truth.
type SensorSettings struct {
	// Rate is the sampling rate in Hz; 0 means no sensor.
	Rate float64
	// Position is where the sensor sits, in m from the heel's lower edge in the
	// foot frame (shin: from the ankle up the shank, X forward).
	Position Vector
	// Mounting turns a vector of the foot frame into the sensor's axes.
	Mounting Quaternion
	// Bandwidth is the -3 dB cut-off in Hz of the sensor's own second-order
	// Butterworth low-pass, which delays by about 0.225/Bandwidth s as real ones
	// do; 0 means none.
	Bandwidth float64
	// MountRate (Hz) and MountDamping model a loose fastening: the acceleration
	// reaches the sensor through a mass on a spring. MountRate 0 means rigid.
	MountRate, MountDamping float64
	// AccRange (m/s²) and GyrRange (rad/s) are full scales; 0 means unlimited.
	AccRange, GyrRange float64
	// AccNoise (m/s²/√Hz) and GyrNoise (rad/s/√Hz) are noise densities.
	AccNoise, GyrNoise float64
	// AccBias (m/s²) and GyrBias (rad/s) are constant, along the sensor's axes.
	AccBias, GyrBias Vector
	// AccStep (m/s²) and GyrStep (rad/s) are quantisation steps; 0 means none.
	AccStep, GyrStep float64
	// SampleJitter and StampJitter are SDs in s, cut at ±0.4/Rate.
	SampleJitter, StampJitter float64
	// ClockDrift is in parts per million, ClockOffset in s.
	ClockDrift, ClockOffset float64
	// Loss is the probability that a packet of PacketSamples rows is lost.
	Loss          float64
	PacketSamples int
}

// Places on the foot, in m from the heel's lower edge; sizes of a size 42 shoe,
// common practice, no source.
var (
	Instep      = Vector{0.130, 0, 0.075}
	HeelCounter = Vector{-0.010, 0, 0.055}
	// LateralShoe is below the outer ankle of the right foot; mirror Y for the left.
	LateralShoe = Vector{0.080, -0.040, 0.040}
)

// defaultSensor is an instep sensor as sold for sports: 200 Hz, ±16 g,
// ±2000 deg/s, 16 bit, noise densities of current consumer parts (common
// practice, no source).
func defaultSensor() SensorSettings {
	const g = 9.80665
	return SensorSettings{
		Rate: 200, Position: Instep, Bandwidth: 90,
		AccRange: 16 * g, GyrRange: 2000 * degree,
		AccNoise: 150e-6 * g, GyrNoise: 0.007 * degree,
		AccStep: 16 * g / 32768, GyrStep: 2000 * degree / 32768,
	}
}

// Defaults returns settings for one minute of running at 2.8 m/s or walking at
// 1.3 m/s by a healthy person who lands on the heel, with a sensor on each
// instep, and 5 s of standing at both ends. Other gaits panic.
func Defaults(g event.Gait) Settings {
	s := Settings{
		Gait: g, Duration: 60, Seed: 1, StandBefore: 5, StandAfter: 5,
		Correlation: 0.3, SlowShare: 0.3, SlowSteps: 150,
	}
	side := SideSettings{
		Gain: 1, GainSD: 0.08, Load: 1, LoadSD: 0.06, ArrivalSD: 0.10,
		ToeOut: 7 * degree, Inversion: 5 * degree, Eversion: 4 * degree, SwingYaw: 8 * degree,
		PushOffAngleSD: 2 * degree, StrikeAngleSD: 1.5 * degree, PitchRateSD: 0.25,
		Foot: defaultSensor(),
	}
	switch g {
	case event.Running:
		s.Cadence, s.Speed, s.StepTimeVariation = 166, 2.8, 0.013
		side.StrikeAngle, side.PitchRate = 14*degree, -0.5
		side.Sink, side.Forward = 0.80, 0.50
		side.ContactTime, side.ContactTimeSD = RunningContactTime(s.Speed), 0.006
		side.PushOffAngle, side.PushOffLead, side.PushOffKeep = 50*degree, 0.015, 0.89
		side.Lift = 0.16
	case event.Walking:
		s.Cadence, s.Speed, s.StepTimeVariation = 112, 1.3, 0.017
		side.StrikeAngle, side.PitchRate = 23*degree, -0.4
		side.Sink, side.Forward = 0.22, 0.30
		side.ContactTime, side.ContactTimeSD = 0.61*120/s.Cadence, 0.012
		side.PushOffAngle, side.PushOffLead, side.PushOffKeep = 58*degree, 0.065, 0.65
		side.Lift = 0.065
	default:
		panic("simulate: Defaults needs walking or running")
	}
	s.Left, s.Right = side, side
	return s
}

// RunningContactTime returns the usual contact time in s at a running speed in
// m/s: 0.26 s at 2.8 m/s and 0.21 s at 4.2 m/s, within the 250–300 ms at
// 8–10 km/h and 200–230 ms at 14–16 km/h that are remembered from the
// literature (from memory; García-Pinillos 2020 for the direction).
func RunningContactTime(speed float64) float64 {
	return math.Min(0.32, math.Max(0.17, 0.360-0.0357*speed))
}

// CleanClocks returns the settings without jitter, loss, drift and offset in any
// sensor, for recordings that are read in memory.
func (s Settings) CleanClocks() Settings {
	for _, c := range []*SensorSettings{&s.Left.Foot, &s.Right.Foot, &s.Left.Shin, &s.Right.Shin, &s.Waist, &s.Wrist} {
		c.SampleJitter, c.StampJitter, c.Loss, c.ClockDrift, c.ClockOffset = 0, 0, 0, 0, 0
	}
	return s
}

// side returns the settings of a side, for reading.
func (s *Settings) side(side recording.Side) *SideSettings {
	if side == recording.Left {
		return &s.Left
	}
	return &s.Right
}

// gainAt returns the control gain at t s, before its variation from step to step.
func (s *SideSettings) gainAt(t float64) float64 {
	c := s.GainCourse
	switch {
	case len(c) == 0:
		return s.Gain
	case t <= c[0].Time:
		return c[0].Gain
	}
	for i := 1; i < len(c); i++ {
		if t <= c[i].Time {
			f := (t - c[i-1].Time) / (c[i].Time - c[i-1].Time)
			return c[i-1].Gain + f*(c[i].Gain-c[i-1].Gain)
		}
	}
	return c[len(c)-1].Gain
}
