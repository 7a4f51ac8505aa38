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
	// peakBefore and peakAfter bound the search for the contact peaks, s.
	peakBefore, peakAfter = 0.010, 0.025
	// peakBox is the running mean, s, that is taken off the acceleration for the
	// contact peaks: it passes what is faster than about 20 Hz.
	peakBox = 0.05
)

// Limits say which measures a recording's rate can give.
type Limits struct {
	// Lowering is false where the sampling rate is too low for the lowering.
	Lowering bool
	// Why says so in words.
	Why string
	// NoContact and NoPeaks say why contact times and contact peaks are withheld;
	// "" where they are not.
	NoContact, NoPeaks string
}

// Withholds says why a measure is withheld on every step; "" where it is not.
func (l Limits) Withholds(m Metric) string {
	switch {
	case !l.Lowering && m.FromTurn():
		return l.Why
	case m.Key == "contact_time_s":
		return l.NoContact
	case m.FromPeak():
		return l.NoPeaks
	}
	return ""
}

// WithholdContact empties the contact times of steps whose rate is too low for
// them. It comes after Finish, which tells walking from running by them.
func (l Limits) WithholdContact(steps []Step) {
	if l.NoContact == "" {
		return
	}
	for i := range steps {
		steps[i].ContactTime = math.NaN()
		steps[i].addReason(l.NoContact)
	}
}

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
	yaw, roll := turningAxis(w)
	s.yaw, s.roll = float32(yaw), float32(roll)
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

// measurePeaks fills the contact peaks unless a clipped acceleration voids
// them.
func (s *Step) measurePeaks(w *event.Window, c *event.Contact) {
	if voided(w, c.IC-peakBefore*w.Rate, c.IC+peakAfter*w.Rate, recording.VoidAcc) {
		s.addReason("contact peaks withheld: acceleration clipped or missing")
		s.Hard = voided(w, c.IC-peakBefore*w.Rate, c.IC+peakAfter*w.Rate, recording.VoidHard)
		return
	}
	s.HeelContactPeak = fastPeak(w, c.IC)
	if s.HeelFirst != True {
		return
	}
	if voided(w, c.FF-peakBefore*w.Rate, c.FF+peakAfter*w.Rate, recording.VoidAcc) {
		s.Hard = voided(w, c.FF-peakBefore*w.Rate, c.FF+peakAfter*w.Rate, recording.VoidHard)
		return
	}
	s.FootFlatPeak = fastPeak(w, c.FF)
}

// WithholdPeaks takes away the contact peaks and says why, unless they were
// withheld before.
func (s *Step) WithholdPeaks(why string) {
	if !math.IsNaN(s.HeelContactPeak) {
		s.addReason(why)
	}
	s.HeelContactPeak, s.FootFlatPeak = math.NaN(), math.NaN()
}

func (s *Step) addReason(text string) {
	if s.Reason != "" {
		s.Reason += reasonBreak
	}
	s.Reason += text
}

// fastPeak is the largest size of the acceleration less its running mean near
// the fractional sample i, m/s².
func fastPeak(w *event.Window, i float64) float64 {
	h := max(1, int(peakBox*w.Rate/2))
	from, to := max(0, int(i-peakBefore*w.Rate)), min(w.Len()-1, int(i+peakAfter*w.Rate))
	best := math.NaN()
	for j := from; j <= to; j++ {
		lo, hi := max(0, j-h), min(w.Len(), j+h+1)
		sum := 0.0
		for k := range 3 {
			mean := 0.0
			for _, v := range w.Acc[k][lo:hi] {
				mean += v
			}
			d := w.Acc[k][j] - mean/float64(hi-lo)
			sum += d * d
		}
		if v := math.Sqrt(sum); !(v <= best) {
			best = v
		}
	}
	return best
}

// lostNear tells whether samples were lost, and filled in, near the fractional
// sample i: more than recording.QuietSeconds no further away than the longest hole
// that is filled. An event may lie anywhere in such a hole, or be taken for another
// beside it. False for NaN.
func lostNear(w *event.Window, i float64) bool {
	if math.IsNaN(i) {
		return false
	}
	reach := int(recording.BridgeSeconds * w.Rate)
	near := w.Void[max(0, int(i)-reach):min(w.Len(), int(i)+2+reach)]
	least := int(recording.QuietSeconds*w.Rate+1e-9) + 1 // samples together that count: looking at every least-th meets them
	for k := 0; k < len(near); k += least {
		if filled(near[k]) && filledAround(near, k) >= least {
			return true
		}
	}
	return false
}

// filled tells whether nothing was measured at a sample. What a sensor's range cut
// off was.
func filled(v recording.Void) bool {
	const both, cut = recording.VoidAcc | recording.VoidGyr, recording.VoidFast | recording.VoidHard
	return v&(both|cut) == both
}

// filledAround is how many filled samples stand together round one.
func filledAround(near []recording.Void, at int) int {
	from, to := at, at+1
	for from > 0 && filled(near[from-1]) {
		from--
	}
	for to < len(near) && filled(near[to]) {
		to++
	}
	return to - from
}

// voided tells whether a sample from…to (fractional, rounded outwards) has the
// bit.
func voided(w *event.Window, from, to float64, bit recording.Void) bool {
	lo, hi := max(0, int(math.Floor(from))), min(w.Len()-1, int(math.Ceil(to)))
	for i := lo; i <= hi; i++ {
		if w.Void[i]&bit != 0 {
			return true
		}
	}
	return false
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
