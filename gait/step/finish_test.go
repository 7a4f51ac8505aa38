package step

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/event"
)

// row returns n steps of one foot, a stride apart, on the ground for the share
// duty of it, with a strike angle of 12°.
func row(n int, begin, stride, duty float64) []Step {
	out := make([]Step, n)
	nan := math.NaN()
	for i := range out {
		t := begin + float64(i)*stride
		out[i] = Step{InitialContact: t, FootFlat: t + 0.04, ToeOff: t + duty*stride, ContactTime: duty * stride, StrideTime: nan,
			HeelFirst: True, StrikeAngle: 12 * deg}
	}
	return out
}

func finish(steps []Step, cut ...int) []Step {
	c := make([]bool, len(steps))
	for _, i := range cut {
		c[i] = true
	}
	Finish(steps, c)
	return steps
}

// reasons collects why the steps are not used; "" for used ones.
func reasons(steps []Step) []string {
	out := make([]string, len(steps))
	for i, s := range steps {
		out[i] = s.Reason
		if s.Used {
			out[i] = "used"
		}
	}
	return out
}

const (
	first    = "first step of a bout"
	last     = "last step of a bout"
	standing = "no push-off follows: standing"
	broken   = "the recording ends or breaks in this step"
	shuffled = "a turn or shuffle without a clear swing"
	unusual  = "contact or stride time far from the usual"
	alone    = "no neighbouring steps"
)

func TestABoutLosesItsFirstAndLastStep(t *testing.T) {
	s := finish(row(6, 10, 0.7, 0.35), 5)
	s[5].ToeOff = math.NaN()
	require.Equal(t, []string{first, "used", "used", "used", "used", last}, reasons(s))
	for i := range s {
		require.Equal(t, i+1, s[i].Number)
		require.Equal(t, i == 5, math.IsNaN(s[i].StrideTime))
		if i < 5 {
			require.InDelta(t, 0.7, s[i].StrideTime, 1e-12)
		}
	}
}

// The turns of a foot need no event: they outvote a contact time that is a
// little long, and a single one does not outvote its neighbours.
func TestTheTurnsDecideTheGaitBeforeTheContactTime(t *testing.T) {
	steps := row(9, 0, 0.8, 0.51)
	for i := range steps {
		steps[i].Gait = event.Running
	}
	steps[4].Gait = event.Walking
	steps[6].Gait = event.GaitUnknown
	for i, s := range finish(steps) {
		require.Equal(t, event.Running, s.Gait, "step %d", i)
		require.Equal(t, Rearfoot, s.Strike)
	}
}

func TestGaitFollowsTheShareOfTheStrideOnTheGround(t *testing.T) {
	for _, c := range []struct {
		duty float64
		want event.Gait
	}{{0.30, event.Running}, {0.49, event.Running}, {0.51, event.Walking}, {0.62, event.Walking}} {
		for i, s := range finish(row(6, 0, 1, c.duty)) {
			require.Equal(t, c.want, s.Gait, "step %d at a duty factor of %g", i, c.duty)
			if c.want == event.Walking {
				require.Equal(t, NoStrike, s.Strike, "walking steps have no strike class")
			} else {
				require.Equal(t, Rearfoot, s.Strike)
			}
		}
	}
}

func TestOneBadToeOffDoesNotChangeTheGait(t *testing.T) {
	s := row(9, 0, 0.7, 0.35)
	s[4].ContactTime = 0.6
	finish(s)
	for _, s := range s {
		require.Equal(t, event.Running, s.Gait)
	}
	require.Equal(t, unusual, s[4].Reason)
}

func TestWalkingAndRunningAreToldApartWithinOneRecording(t *testing.T) {
	walk := row(8, 0, 1.1, 0.62)
	run := row(8, 8*1.1, 0.7, 0.33)
	s := finish(append(walk, run...))
	for i := range 6 {
		require.Equal(t, event.Walking, s[i].Gait, "step %d", i)
		require.Equal(t, event.Running, s[15-i].Gait, "step %d", 15-i)
	}
}

// Altman & Davis 2012, Gait Posture 35:298 (values from memory): above 8.0°
// rearfoot, below −1.6° forefoot, the limits themselves midfoot.
func TestStrikeClassesOfRunningSteps(t *testing.T) {
	for _, c := range []struct {
		angle float64
		want  Strike
		word  string
	}{
		{25, Rearfoot, "rearfoot"}, {8.01, Rearfoot, "rearfoot"}, {8.0, Midfoot, "midfoot"}, {0, Midfoot, "midfoot"},
		{-1.6, Midfoot, "midfoot"}, {-1.61, Forefoot, "forefoot"}, {-15, Forefoot, "forefoot"}, {math.NaN(), NoStrike, ""},
	} {
		s := row(5, 0, 0.7, 0.3)
		for i := range s {
			s[i].StrikeAngle = c.angle * deg
		}
		finish(s)
		require.Equal(t, c.want, s[2].Strike, "%g deg", c.angle)
		require.Equal(t, c.word, s[2].Strike.String())
	}
}

func TestNoStrideReachesAcrossAPauseOrABreak(t *testing.T) {
	s := append(row(4, 0, 1, 0.6), row(4, 3+2.6, 1, 0.6)...) // 2.6 s from the 4th to the 5th
	require.Equal(t, []string{first, "used", "used", last, first, "used", "used", last}, reasons(finish(s)))
	require.True(t, math.IsNaN(s[3].StrideTime))

	s = append(row(4, 0, 1, 0.6), row(4, 3+2.4, 1, 0.6)...) // one long stride
	require.Equal(t, []string{first, "used", "used", unusual, "used", "used", "used", last}, reasons(finish(s)))
	require.InDelta(t, 2.4, s[3].StrideTime, 1e-12)

	s = finish(row(8, 0, 1, 0.6), 3) // the recording breaks in the 4th
	require.True(t, math.IsNaN(s[3].StrideTime))
	require.Equal(t, []string{first, "used", "used", last, first, "used", "used", last}, reasons(s))
	require.Equal(t, 8, s[7].Number, "numbers go on across a break")

	s = row(3, 5, 1, 0.6)
	s[1].InitialContact = s[0].InitialContact // not later than the one before
	require.True(t, math.IsNaN(finish(s)[0].StrideTime))
}

func TestStepsThatAreNoneAreLeftOutWithTheirReason(t *testing.T) {
	s := row(9, 0, 1, 0.6)
	s[3].Irregular = true
	s[3].Reason = "lowering withheld"
	s[5].ToeOff, s[5].ContactTime = math.NaN(), math.NaN()
	s[7].ToeOff, s[7].ContactTime = math.NaN(), math.NaN()
	finish(s, 7)
	require.Equal(t, []string{first, "used", "used", shuffled + "; lowering withheld", "used", standing, "used", broken, first}, reasons(s))
	require.False(t, s[3].Used)
}

func TestAReasonForWithheldMeasuresDoesNotLeaveTheStepOut(t *testing.T) {
	s := row(5, 0, 1, 0.6)
	s[2].Reason = "contact peaks withheld"
	finish(s)
	require.True(t, s[2].Used)
	require.Equal(t, "contact peaks withheld", s[2].Reason)
}

func TestStepsFarFromTheUsualAreOutliers(t *testing.T) {
	for _, c := range []struct {
		contact float64 // as a multiple of the usual
		out     bool
	}{{1, false}, {1.55, false}, {1.65, true}, {1 / 1.55, false}, {1 / 1.65, true}} {
		s := row(12, 0, 1, 0.6)
		s[5].ContactTime *= c.contact
		finish(s)
		require.Equal(t, c.out, !s[5].Used, "%g times the usual contact", c.contact)
		for i := 1; i < 11; i++ {
			require.True(t, i == 5 || s[i].Used, "step %d", i)
		}
	}
}

func TestALoneStepHasNoGait(t *testing.T) {
	s := finish(row(1, 0, 1, 0.6))
	require.Equal(t, event.GaitUnknown, s[0].Gait)
	require.Equal(t, []string{alone}, reasons(s))
	require.NotPanics(t, func() { Finish(nil, nil) })
}
