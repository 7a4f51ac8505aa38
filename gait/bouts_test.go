package gait

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/event"
	"setdown/gait/step"
	"setdown/signal/recording"
)

// stepIn is a left step on the ground for 0.3 s; a stride of 0 has none.
func stepIn(gait event.Gait, at, stride float64) step.Step {
	s := aStep(recording.Left, at)
	s.Gait, s.ToeOff, s.Ends = gait, at+0.3, stride == 0
	if stride > 0 {
		s.StrideTime = stride
	}
	return s
}

func TestBoutsJoinStepsOfOneGaitWithoutAStop(t *testing.T) {
	w, r, u := event.Walking, event.Running, event.GaitUnknown
	noToeOff := stepIn(w, 2, 0)
	noToeOff.ToeOff = math.NaN()
	other := stepIn(r, 1.5, 1)
	other.Side = recording.Right
	for _, c := range []struct {
		name  string
		steps []step.Step
		want  []Bout
	}{
		{"none", nil, nil},
		{"one stretch", []step.Step{stepIn(w, 0, 1), stepIn(w, 1, 1), stepIn(w, 2, 0)}, []Bout{{w, 0, 2.3, 3}}},
		{"the last event is a contact where no push-off follows", []step.Step{stepIn(w, 0, 1), stepIn(w, 1, 1), noToeOff}, []Bout{{w, 0, 2, 3}}},
		{"a stop between", []step.Step{stepIn(w, 0, 1), stepIn(w, 1, 0), stepIn(w, 9, 1), stepIn(w, 10, 0)}, []Bout{{w, 0, 1.3, 2}, {w, 9, 10.3, 2}}},
		{"a change of gait", []step.Step{stepIn(w, 0, 1), stepIn(w, 1, 1), stepIn(r, 2, 0.7), stepIn(r, 2.7, 0)}, []Bout{{w, 0, 1.3, 2}, {r, 2, 3, 2}}},
		{"an unknown gait ends a stretch", []step.Step{stepIn(r, 0, 1), stepIn(u, 1, 1), stepIn(r, 2, 0)}, []Bout{{r, 0, 0.3, 1}, {r, 2, 2.3, 1}}},
		{"the other foot is not counted", []step.Step{stepIn(w, 0, 1), stepIn(w, 1, 1), other, stepIn(w, 2, 0)}, []Bout{{w, 0, 2.3, 3}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			require.Equal(t, c.want, Bouts(c.steps, recording.Left))
		})
	}
}
