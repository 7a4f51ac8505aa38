package event

import "setdown/signal/recording"

// Window is the motion of one foot or shin from the swing before a contact to
// the swing after it, in segment axes (X forward, Y left, Z up). It and
// its slices are valid only while the callback that receives it runs.
type Window struct {
	// Rate is samples per second; Start is the time in s of sample 0.
	Rate, Start float64
	// First is the index of sample 0 in its span.
	First int
	// Acc is the specific force, m/s², Gyr the angular rate, rad/s; a toe-down
	// turn is positive about Y.
	Acc, Gyr [3][]float64
	Void     []recording.Void
	// Swing and UpEnd are the samples of the fastest toe-up turn before the
	// contact and of its end.
	Swing, UpEnd int
	// DownEnd and NextSwing are the end of the push-off turn after the contact
	// and the fastest moment of the swing that follows; both are −1 where no
	// swing follows (the person stopped, or the recording ended).
	DownEnd, NextSwing int
	// Irregular is true where the foot moved on and landed without the shape of
	// a swing: a turn or a shuffle.
	Irregular bool
	// Cut is true where the recording ended or broke inside the window.
	Cut bool
}

// Time returns the time in s of the fractional sample i.
func (w *Window) Time(i float64) float64 { return w.Start + i/w.Rate }

// Len returns the number of samples.
func (w *Window) Len() int { return len(w.Void) }

// samples turns s into a number of samples, at least 1.
func (w *Window) samples(seconds float64) int { return max(1, int(seconds*w.Rate+0.5)) }
