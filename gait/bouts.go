package gait

import (
	"math"

	"setdown/gait/event"
	"setdown/gait/step"
	"setdown/signal/recording"
)

// Bout is a stretch of one gait without a stop.
type Bout struct {
	Gait event.Gait
	// Begin and End are s, from the first initial contact to the last event.
	Begin, End float64
	// Steps counts the steps of the side that was counted.
	Steps int
}

// Bouts joins the steps of one side, which must be in time order, to stretches
// of walking and running. Steps whose gait is unknown end a bout.
func Bouts(steps []step.Step, side recording.Side) []Bout {
	var out []Bout
	open := false
	for i := range steps {
		s := &steps[i]
		if s.Side != side {
			continue
		}
		if s.Gait == event.GaitUnknown {
			open = false
			continue
		}
		end := s.InitialContact
		if !math.IsNaN(s.ToeOff) {
			end = s.ToeOff
		}
		if open && out[len(out)-1].Gait == s.Gait {
			b := &out[len(out)-1]
			b.End, b.Steps = end, b.Steps+1
		} else {
			out = append(out, Bout{s.Gait, s.InitialContact, end, 1})
		}
		open = !s.Ends
	}
	return out
}
