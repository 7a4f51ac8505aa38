package step

import (
	"math"

	"setdown/gait/event"
	"setdown/signal/filter"
	"setdown/signal/recording"
)

// The thresholds of Measure.
const (
	// heelFirstAngle is the toe-up pitch at initial contact, rad, above which a
	// step lands heel first. Own definition: it is measured on every such step,
	// whatever its strike class, because a weak side lands flatter.
	heelFirstAngle = 3 * deg
	// rearfootAbove and forefootBelow bound the strike classes, rad (Altman &
	// Davis 2012, Gait Posture 35:298; values from memory).
	rearfootAbove = 8 * deg
	forefootBelow = -1.6 * deg
	// arrestMost is how long after foot-flat the rotation may still speed up, s.
	arrestMost = 0.03
)

// Measure fills the measures that the window of one contact gives: events,
// strike angle, lowering, contact peaks, the curve, and the gait by a foot's
// turns alone, from which Finish decides among neighbours. The other fields that
// need the neighbours (Number, StrideTime, Strike, Used) are left to Finish.
// Cells that cannot be measured are NaN; Reason says why where it is not plain.
func Measure(w *event.Window, c *event.Contact, side recording.Side, limits Limits, keepCurve bool) Step {
	nan := math.NaN()
	s := Step{Side: side, InitialContact: nan, FootFlat: nan, ToeOff: nan, StrideTime: nan, ContactTime: nan,
		StrikeAngle: nan, TimeToFootFlat: nan, PeakLoweringRate: nan, FootFlatRate: nan,
		DecelerationFraction: nan, HeelContactPeak: nan, FootFlatPeak: nan}
	if math.IsNaN(c.IC) {
		return s
	}
	s.InitialContact = w.Time(c.IC)
	s.Irregular = w.Irregular
	s.Gait = c.Gait
	s.lost = lostNear(w, c.IC)
	s.yaw, s.roll = turningAxis(w)
	if !math.IsNaN(c.TO) {
		s.ToeOff = w.Time(c.TO)
		s.ContactTime = s.ToeOff - s.InitialContact
	}
	s.measureLowering(w, c, limits)
	if lostNear(w, c.TO) {
		s.ContactTime = nan
		s.addReason("contact time withheld: samples were lost near toe-off")
	}
	if limits.NoPeaks != "" {
		s.addReason(limits.NoPeaks)
	} else {
		s.measurePeaks(w, c)
	}
	if keepCurve {
		s.Curve = curve(w, c.IC)
	}
	return s
}

// measureLowering fills the strike angle and, on heel-first steps, the
// lowering. A clipped angular rate between initial contact and foot-flat voids
// them.
func (s *Step) measureLowering(w *event.Window, c *event.Contact, limits Limits) {
	if !limits.Lowering {
		s.Reason = limits.Why
		return
	}
	end := c.FF
	if math.IsNaN(end) {
		end = float64(c.Flat)
	}
	if voided(w, c.IC-1, end+1, recording.VoidGyr) {
		s.Reason = "lowering withheld: angular rate clipped or missing"
		s.Fast = voided(w, c.IC-1, end+1, recording.VoidFast)
		return
	}
	if !math.IsNaN(c.FF) {
		s.FootFlat = w.Time(c.FF)
	}
	s.StrikeAngle = event.PitchAt(c, c.IC)
	if math.IsNaN(s.StrikeAngle) {
		return
	}
	if s.StrikeAngle <= heelFirstAngle {
		s.HeelFirst = False
		return
	}
	if math.IsNaN(c.FF) {
		s.Reason = "foot-flat not found"
		return
	}
	s.HeelFirst = True
	s.TimeToFootFlat = s.FootFlat - s.InitialContact
	s.FootFlatRate = math.Max(0, filter.Linear(w.Gyr[1], c.FF))
	s.PeakLoweringRate = math.Max(s.FootFlatRate, peakRate(w, c))
	s.DecelerationFraction = 1 - s.FootFlatRate/s.PeakLoweringRate
}

// WithholdLowering takes away what the turning between initial contact and
// foot-flat gives, and says why, unless it was withheld before.
func (s *Step) WithholdLowering(why string) {
	nan := math.NaN()
	if !math.IsNaN(s.StrikeAngle) {
		s.addReason(why)
	}
	s.HeelFirst, s.Strike, s.Curve = Unknown, NoStrike, nil
	s.FootFlat, s.StrikeAngle, s.TimeToFootFlat = nan, nan, nan
	s.PeakLoweringRate, s.FootFlatRate, s.DecelerationFraction = nan, nan, nan
}

// peakRate is the largest toe-down rate from initial contact until the
// rotation is arrested, by a parabola through the largest sample and its
// neighbours.
func peakRate(w *event.Window, c *event.Contact) float64 {
	r := w.Gyr[1]
	from := int(math.Ceil(c.IC))
	last := min(len(r)-2, int(math.Ceil(c.FF+arrestMost*w.Rate)))
	best := from
	for i := from; i <= last; i++ {
		if float64(i) > c.FF && r[i] <= 0 {
			break
		}
		if r[i] > r[best] {
			best = i
		}
	}
	if best < 1 || best+1 >= len(r) {
		return filter.Linear(r, float64(best))
	}
	return parabolaTop(r[best-1], r[best], r[best+1])
}

// parabolaTop returns the height of the parabola through three equally spaced
// values of which the middle one is the largest; y1 where it is not.
func parabolaTop(y0, y1, y2 float64) float64 {
	bend := y0 - 2*y1 + y2
	if bend >= 0 || y1 < y0 || y1 < y2 {
		return y1
	}
	return y1 - (y0-y2)*(y0-y2)/(8*bend)
}

func (s *Step) addReason(text string) {
	if s.Reason != "" {
		s.Reason += reasonBreak
	}
	s.Reason += text
}

// curve samples the toe-down rate around initial contact.
func curve(w *event.Window, ic float64) []float32 {
	out := make([]float32, CurveLen)
	for k := range out {
		i := ic + (CurveStart+CurveStep*float64(k))*w.Rate
		if i < 0 || i > float64(w.Len()-1) {
			out[k] = float32(math.NaN())
			continue
		}
		out[k] = float32(filter.Linear(w.Gyr[1], i))
	}
	return out
}
