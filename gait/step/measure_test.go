package step

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/event"
	"setdown/signal/recording"
)

const rate = 200.0

// contact is a hand-made contact at 200 Hz: initial contact at sample 40 with
// the toes up by angle, a toe-down rate that rises to 8 rad/s at sample 46 along
// a parabola and is down to 3 at foot-flat at sample 51; toe-off at 100.
func contact(angle float64) (*event.Window, *event.Contact) {
	const n = 160
	w := &event.Window{Rate: rate, Start: 12, Swing: 5, UpEnd: 20, DownEnd: 110, NextSwing: 140, Void: make([]recording.Void, n)}
	c := &event.Contact{IC: 40, FF: 51, TO: 100, Flat: 75, Pitch: make([]float64, n), From: 10, To: 120}
	for k := range 3 {
		w.Acc[k], w.Gyr[k] = make([]float64, n), make([]float64, n)
	}
	for i := range n {
		if x := float64(i); i >= 40 && i < 60 {
			w.Gyr[1][i] = 8 - 0.2*(x-46)*(x-46)
		}
		if i <= 40 {
			c.Pitch[i] = angle
		}
	}
	return w, c
}

func measure(w *event.Window, c *event.Contact) Step {
	return Measure(w, c, recording.Left, Limits{Lowering: true}, false)
}

func TestAHeelFirstStepIsMeasured(t *testing.T) {
	s := measure(contact(12 * deg))
	require.Equal(t, recording.Left, s.Side)
	require.InDelta(t, 12+40/rate, s.InitialContact, 1e-12)
	require.InDelta(t, 12+51/rate, s.FootFlat, 1e-12)
	require.InDelta(t, 12+100/rate, s.ToeOff, 1e-12)
	require.InDelta(t, 60/rate, s.ContactTime, 1e-12)
	require.InDelta(t, 12*deg, s.StrikeAngle, 1e-12)
	require.Equal(t, True, s.HeelFirst)
	require.InDelta(t, 11/rate, s.TimeToFootFlat, 1e-12)
	require.InDelta(t, 8, s.PeakLoweringRate, 1e-12)
	require.InDelta(t, 3, s.FootFlatRate, 1e-12)
	require.InDelta(t, 1-3.0/8, s.DecelerationFraction, 1e-12)
	require.Empty(t, s.Reason)
	require.Nil(t, s.Curve)
	require.True(t, math.IsNaN(s.StrideTime), "stride time needs the next step")
}

func TestThePeakIsTakenBetweenSamplesAndUntilTheRotationIsArrested(t *testing.T) {
	w, c := contact(12 * deg)
	for i := 40; i < 60; i++ {
		x := float64(i) - 46.3
		w.Gyr[1][i] = 8 - 0.2*x*x
	}
	require.InDelta(t, 8, measure(w, c).PeakLoweringRate, 1e-12, "the parabola's top lies between samples")

	w, c = contact(12 * deg)
	c.FF = 44 // foot-flat comes before the fastest moment, within 0.03 s of it
	require.InDelta(t, 8, measure(w, c).PeakLoweringRate, 1e-12)

	w, c = contact(12 * deg)
	c.FF = 43.5
	for i := 40; i <= 44; i++ {
		w.Gyr[1][i] = 2 - 0.5*float64((i-42)*(i-42)) // arrested at sample 44, before the later turn
	}
	require.InDelta(t, 2, measure(w, c).PeakLoweringRate, 1e-12, "what turns after the rotation was arrested is not lowering")

	w, c = contact(12 * deg)
	w.Gyr[1][60], w.Gyr[1][61], w.Gyr[1][62] = 20, 30, 20 // more than 0.03 s after foot-flat
	require.InDelta(t, 8, measure(w, c).PeakLoweringRate, 1e-12)
	w.Gyr[1][38] = 30 // before initial contact
	require.InDelta(t, 8, measure(w, c).PeakLoweringRate, 1e-12)
}

func TestADroppedForefootHasNoDeceleration(t *testing.T) {
	w, c := contact(12 * deg)
	for i := 40; i < 60; i++ {
		w.Gyr[1][i] = 8 - 0.1*float64((i-51)*(i-51)) // speeds up until foot-flat
	}
	s := measure(w, c)
	require.InDelta(t, 8, s.FootFlatRate, 1e-12)
	require.InDelta(t, 0, s.DecelerationFraction, 1e-12)

	for i := 49; i < 60; i++ {
		w.Gyr[1][i] = -0.5 // set down before foot-flat
	}
	s = measure(w, c)
	require.Zero(t, s.FootFlatRate, "toe-up is not lowering")
	require.Equal(t, 1.0, s.DecelerationFraction)
}

// The heel-first line is own definition: 3°.
func TestOnlyHeelFirstStepsHaveALowering(t *testing.T) {
	for _, c := range []struct {
		angle float64 // deg
		want  Truth
	}{{20, True}, {3.001, True}, {3, False}, {2.999, False}, {0, False}, {-10, False}} {
		s := measure(contact(c.angle * deg))
		require.Equal(t, c.want, s.HeelFirst, "%g deg", c.angle)
		require.InDelta(t, c.angle*deg, s.StrikeAngle, 1e-12)
		for _, m := range Catalogue() {
			if m.Lowering {
				require.Equal(t, c.want == True, !math.IsNaN(m.Value(&s)), "%s at %g deg", m.Key, c.angle)
			}
		}
		require.False(t, math.IsNaN(s.FootFlat), "foot-flat exists on every landing")
		require.Equal(t, c.want == True, !math.IsNaN(s.FootFlatPeak), "%g deg", c.angle)
	}
}

func TestWhatIsMissingIsWithheldAndSaysWhy(t *testing.T) {
	for _, c := range []struct {
		name    string
		damage  func(*event.Window, *event.Contact)
		limits  Limits
		reason  string
		present []string
	}{
		{"a clipped rate between contact and foot-flat", func(w *event.Window, _ *event.Contact) { w.Void[45] = recording.VoidGyr },
			Limits{Lowering: true}, "lowering withheld: angular rate clipped or missing", []string{"contact_time_s", "heel_contact_peak_m_s2"}},
		{"a clipped acceleration at contact", func(w *event.Window, _ *event.Contact) { w.Void[41] = recording.VoidAcc },
			Limits{Lowering: true}, "contact peaks withheld: acceleration clipped or missing",
			[]string{HeelFirstKey, Primary, "time_to_foot_flat_ms", "foot_flat_rate_deg_s", "deceleration_fraction", "strike_angle_deg", "contact_time_s"}},
		{"both", func(w *event.Window, _ *event.Contact) { w.Void[41] = recording.VoidAcc | recording.VoidGyr },
			Limits{Lowering: true}, "lowering withheld: angular rate clipped or missing; contact peaks withheld: acceleration clipped or missing", []string{"contact_time_s"}},
		{"a clipped acceleration at foot-flat only", func(w *event.Window, _ *event.Contact) { w.Void[54] = recording.VoidAcc },
			Limits{Lowering: true}, "", []string{HeelFirstKey, Primary, "time_to_foot_flat_ms", "foot_flat_rate_deg_s", "deceleration_fraction", "strike_angle_deg", "contact_time_s", "heel_contact_peak_m_s2"}},
		{"a rate that is too low", func(*event.Window, *event.Contact) {},
			Limits{Why: "too slow"}, "too slow", []string{"contact_time_s", "heel_contact_peak_m_s2"}},
		{"no foot-flat", func(_ *event.Window, c *event.Contact) { c.FF = math.NaN() },
			Limits{Lowering: true}, "foot-flat not found", []string{"strike_angle_deg", "contact_time_s", "heel_contact_peak_m_s2"}},
		{"no toe-off", func(_ *event.Window, c *event.Contact) { c.TO = math.NaN() },
			Limits{Lowering: true}, "", []string{HeelFirstKey, Primary, "time_to_foot_flat_ms", "foot_flat_rate_deg_s", "deceleration_fraction", "strike_angle_deg", "heel_contact_peak_m_s2", "foot_flat_peak_m_s2"}},
		{"a clipped rate in the middle of swing", func(w *event.Window, _ *event.Contact) { w.Void[20] = recording.VoidGyr },
			Limits{Lowering: true}, "", []string{HeelFirstKey, Primary, "time_to_foot_flat_ms", "foot_flat_rate_deg_s", "deceleration_fraction", "strike_angle_deg", "contact_time_s", "heel_contact_peak_m_s2", "foot_flat_peak_m_s2"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			w, contact := contact(12 * deg)
			c.damage(w, contact)
			s := Measure(w, contact, recording.Right, c.limits, false)
			require.False(t, math.IsNaN(s.InitialContact), "the row stays")
			require.Equal(t, c.reason, s.Reason)
			var present []string
			for _, m := range Catalogue() {
				if !math.IsNaN(m.Value(&s)) {
					present = append(present, m.Key)
				}
			}
			require.ElementsMatch(t, c.present, present)
		})
	}
}

func TestWithoutInitialContactNothingIsMeasured(t *testing.T) {
	w, c := contact(12 * deg)
	c.IC = math.NaN()
	s := measure(w, c)
	require.True(t, math.IsNaN(s.InitialContact))
	for _, m := range Catalogue() {
		require.True(t, math.IsNaN(m.Value(&s)), m.Key)
	}
}

func TestContactPeaksAreWhatRisesAboveTheRunningMean(t *testing.T) {
	w, c := contact(12 * deg)
	for i := range w.Len() {
		w.Acc[2][i] = 9.80665 // gravity does not count
	}
	w.Acc[2][41] += 22 // near initial contact
	w.Acc[0][52] += 11 // near foot-flat
	s := measure(w, c)
	// The mean over 11 samples takes an eleventh of the lone peak off.
	require.InDelta(t, 20, s.HeelContactPeak, 1e-9)
	require.InDelta(t, 10, s.FootFlatPeak, 1e-9)
}

func TestTheCurveIsKeptAroundInitialContactOnly(t *testing.T) {
	w, c := contact(12 * deg)
	c.IC = 41.5
	s := Measure(w, c, recording.Left, Limits{Lowering: true}, true)
	require.Len(t, s.Curve, CurveLen)
	for k, v := range s.Curve {
		i := 41.5 - 10 + float64(k) // 5 ms a step at 200 Hz
		lo := int(i)
		require.InDelta(t, (w.Gyr[1][lo]+w.Gyr[1][lo+1])/2, v, 1e-6, "point %d", k)
	}
	c.IC = 4
	s = Measure(w, c, recording.Left, Limits{Lowering: true}, true)
	require.True(t, math.IsNaN(float64(s.Curve[0])), "before the window nothing is known")
	require.False(t, math.IsNaN(float64(s.Curve[7])))
}
