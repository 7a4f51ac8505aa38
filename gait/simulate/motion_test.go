package simulate

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/event"
	"setdown/signal/recording"
	"setdown/signal/unit"
)

// names of the channels of a pose, in the order of channels.
var names = [6]string{"x", "y", "z", "yaw", "pitch", "roll"}

// channels lists the jets of a pose.
func channels(p pose) [6]jet { return [6]jet{p.x, p.y, p.z, p.yaw, p.pitch, p.roll} }

// runs are settings that between them use every part of the motion.
func runs() map[string]Settings {
	out := map[string]Settings{}
	for _, g := range []event.Gait{event.Running, event.Walking} {
		s := Defaults(g)
		s.Duration, s.StandBefore, s.StandAfter = 16, 1.5, 1.5
		out[g.String()] = s
		s.Pauses = []Pause{{6, 3}}
		s.Turns = []Turn{{2.5, 3, math.Pi}}
		s.Slope = 5 * degree
		s.Right.Gain = 0.1
		out[g.String()+" with pause and turn"] = s
	}
	s := Defaults(event.Running)
	s.Duration = 15
	s.Left.StrikeAngle, s.Right.StrikeAngle = -6*degree, 1*degree
	out["running on the forefoot"] = s
	return out
}

// Value and both derivatives are continuous everywhere: over a short interval
// each changes as the next derivative says. Acceleration changes fastest where
// the sole of a dropped foot takes grip, by damping × rate² / onset: 5.2e6 rad/s³
// at 14.5 rad/s, 520 rad/s² in one interval.
func TestMotionHasNoKinks(t *testing.T) {
	for name, s := range runs() {
		if testing.Short() {
			s.Duration = 9
		}
		for _, side := range []recording.Side{recording.Left, recording.Right} {
			m := newFootMotion(&s, side, nil)
			const h = 1e-4
			last := channels(m.at(0))
			for i := 1; float64(i)*h < s.Duration; i++ {
				now := channels(m.at(float64(i) * h))
				for ch, j := range now {
					k := last[ch]
					value, rate := math.Abs(k.v+h*k.d+h*h*k.a/2-j.v), math.Abs(k.d+h*(k.a+j.a)/2-j.d)
					if value > 1e-6 || rate > h*550/4 || math.Abs(k.a-j.a) > 550 {
						require.Fail(t, "kink", "%s %v %s at %.4f s: %v then %v", name, side, names[ch], float64(i)*h, k, j)
					}
				}
				last = now
			}
		}
	}
}

// At every seam between the pieces of the motion both sides agree in value, rate
// and acceleration.
func TestMotionIsContinuousAtTheSeams(t *testing.T) {
	for name, s := range runs() {
		var seams []float64
		collect := func(c *contactPhase) {
			for _, at := range []float64{c.plan.ic, c.rested, c.heelOff, c.peak, c.plan.to, c.plan.to + runningFold, c.plan.to + walkingFold} {
				if !math.IsInf(at, 0) && at > 0.01 && at < s.Duration-0.01 {
					seams = append(seams, at)
				}
			}
		}
		newest := footMotion{g: s.Gait, plans: newLegPlans(&s, recording.Left), landings: collect}
		for newest.contact() != nil {
		}
		require.NotEmpty(t, seams)
		m := newFootMotion(&s, recording.Left, nil)
		const e = 1e-9
		for _, at := range seams {
			before, after := channels(m.at(at-e)), channels(m.at(at+e))
			for ch := range before {
				require.InDelta(t, before[ch].v, after[ch].v, 1e-6, "%s %s at %.4f s", name, names[ch], at)
				require.InDelta(t, before[ch].d, after[ch].d, 1e-5, "%s %s at %.4f s", name, names[ch], at)
				require.InDelta(t, before[ch].a, after[ch].a, 1e-2, "%s %s at %.4f s", name, names[ch], at)
			}
		}
	}
}

// ideal takes everything off a sensor that stands between it and the motion.
func ideal(c SensorSettings) SensorSettings {
	return SensorSettings{Rate: c.Rate, Position: c.Position, Mounting: c.Mounting}
}

// turnBy returns q turned by the rotation vector v in the body's frame.
func turnBy(q Quaternion, v Vector) Quaternion {
	angle := math.Sqrt(v[0]*v[0] + v[1]*v[1] + v[2]*v[2])
	if angle == 0 {
		return q
	}
	s, c := math.Sincos(angle / 2)
	s /= angle
	x, y, z := v[0]*s, v[1]*s, v[2]*s
	return Quaternion{
		q[0]*c - q[1]*x - q[2]*y - q[3]*z, q[0]*x + q[1]*c + q[2]*z - q[3]*y,
		q[0]*y - q[1]*z + q[2]*c + q[3]*x, q[0]*z + q[1]*y - q[2]*x + q[3]*c,
	}
}

// A sensor's readings are nothing but its motion: integrating the rates from
// standing gives the attitude, and integrating the turned accelerations twice
// gives the path.
func TestReadingsIntegrateToTheMotion(t *testing.T) {
	for name, s := range runs() {
		s.Slope = 0
		s.Left.Foot = ideal(s.Left.Foot)
		s.Left.Foot.Rate = 8000
		s.Duration = 8
		m := newFootMotion(&s, recording.Left, nil)
		at := fromBall(s.Left.Foot.Position)
		where := func(p pose) Vector {
			back := p.toBody()
			r := back.transposed()
			v := r.apply(at)
			return Vector{p.x.v + v[0], p.y.v + v[1], p.z.v + v[2]}
		}
		q := Quaternion{math.Cos(m.at(0).yaw.v / 2), 0, 0, math.Sin(m.at(0).yaw.v / 2)}
		place, speed, last := where(m.at(0)), Vector{}, Vector{}
		const h = 1.0 / 8000
		n, rate := 0, Vector{}
		err := Run(s).Samples(recording.Left, recording.Foot, func(x Sample) error {
			if n++; n > 1 {
				q = turnBy(q, Vector{h * (x.Gyr[0] + rate[0]) / 2, h * (x.Gyr[1] + rate[1]) / 2, h * (x.Gyr[2] + rate[2]) / 2})
			}
			turn := q.matrix()
			a := turn.apply(x.Acc)
			a[2] -= unit.StandardGravity
			if n > 1 {
				for i := range 3 {
					place[i] += h*speed[i] + h*h*(2*last[i]+a[i])/6
					speed[i] += h * (a[i] + last[i]) / 2
				}
			}
			last, rate = a, x.Gyr
			if n%800 == 0 {
				p := m.at(x.Time)
				want := where(p)
				got := math.Atan2(turn[2][0], math.Hypot(turn[2][1], turn[2][2]))
				require.InDelta(t, p.pitch.v, got, 1e-4, "%s: pitch, rad, at %.2f s", name, x.Time)
				for i := range 3 {
					require.InDelta(t, want[i], place[i], 0.005, "%s: path, m, at %.2f s", name, x.Time)
				}
			}
			return nil
		})
		require.NoError(t, err)
		require.Greater(t, math.Hypot(place[0], place[1]), 1.0, "%s: the foot has gone somewhere", name)
	}
}

func TestStandingReadsGravityAlongZ(t *testing.T) {
	for _, g := range []event.Gait{event.Running, event.Walking} {
		s := Defaults(g)
		s.Duration = 12
		s.Left.ToeOut = 0.3
		s.Left.Foot = ideal(s.Left.Foot)
		s.Left.Shin = ideal(DefaultShin())
		s.Left.Shin.Rate = 50
		for _, site := range []recording.Site{recording.Foot, recording.Shin} {
			n := 0
			require.NoError(t, Run(s).Samples(recording.Left, site, func(x Sample) error {
				if x.Time < 4 || x.Time > 9 {
					n++
					require.InDelta(t, 0, x.Acc[0], 1e-9)
					require.InDelta(t, 0, x.Acc[1], 1e-9)
					require.InDelta(t, unit.StandardGravity, x.Acc[2], 1e-9)
					require.Equal(t, Vector{}, x.Gyr)
				}
				return nil
			}))
			require.Greater(t, n, 100)
		}
	}
}

// Toes are never driven into the ground by more than a sole gives way, and the
// path is as long as speed and time ask for.
func TestFootClearsTheGroundAndKeepsSpeed(t *testing.T) {
	for _, g := range []event.Gait{event.Running, event.Walking} {
		s := Defaults(g)
		s.Duration = 40
		m := newFootMotion(&s, recording.Right, nil)
		for at := 0.0; at < s.Duration; at += 0.002 {
			p := m.at(at)
			ball := p.z.v - ballRadius
			heel := p.z.v - ballRadius*math.Cos(p.pitch.v) - ballForward*math.Sin(p.pitch.v)
			require.Greater(t, ball, -0.010, "%v at %.3f s", g, at)
			require.Greater(t, heel, -0.010, "%v at %.3f s", g, at)
			require.InDelta(t, 0, p.pitch.v, 1.5, "%v: no foot turns further", g)
		}
		moving := s.Duration - s.StandBefore - s.StandAfter - 2*settleTime
		require.InEpsilon(t, s.Speed*moving, m.at(s.Duration).x.v, 0.03, g)
	}
}
