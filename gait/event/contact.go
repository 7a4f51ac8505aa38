package event

import (
	"math"

	"setdown/signal/filter"
	"setdown/signal/orient"
	"setdown/signal/unit"
)

// Contact is one contact with the ground: its events as fractional samples of
// the window, NaN where an event was not found, and the pitch around it.
type Contact struct {
	// IC, FF and TO are initial contact, foot-flat and toe-off.
	IC, FF, TO float64
	// Flat is the sample in the middle of the stillest part of stance.
	Flat int
	// FlatRate is the unrest there, rad/s.
	FlatRate float64
	// Gait is told by the foot's turns alone; GaitUnknown for a shin and where no
	// swing follows.
	Gait Gait
	// Pitch is foot pitch, rad, toe up positive, 0 in mid-stance; one value a
	// sample of the window, NaN outside From…To.
	Pitch    []float64
	From, To int
}

// The search ranges of Find, s; angles in rad. Own choices, see
// docs/events.md.
const (
	flatShare   = 0.2  // length of the still window as a share of stance
	flatLeast   = 0.03 // its limits
	flatMost    = 0.15
	flatForce   = 4.0  // m/s² of force beside gravity that weighs like 1 rad/s of turning
	pitchBefore = 0.12 // pitch is integrated from this long before the turn's end
	pitchAfter  = 0.05 // and until this long after mid-stance: nothing later is asked for
	// landedRate is the unrest, rad/s, up to which a foot is taken to stand on
	// the ground where the recording ends.
	landedRate = 3.0
	// arrestRate and arrestShare (of the largest rate so far) are the toe-down
	// rate, rad/s, below which the lowering has come to rest, if it stays so on
	// the average over arrestTime.
	arrestRate  = 0.5
	arrestShare = 0.25
	arrestTime  = 0.04
	// FlatBand is the pitch within which the foot counts as flat.
	FlatBand = math.Pi / 180
)

// Find locates the events of a foot in the window. pitch is scratch space and
// may be nil; the Contact's Pitch uses it.
func Find(w *Window, how Landings, pitch []float64) Contact {
	c := NewContact(w, pitch)
	c.Find(w, how)
	return c
}

// NewContact finds mid-stance and the pitch around it; the events are NaN. pitch
// is as in Find.
func NewContact(w *Window, pitch []float64) Contact {
	c := Contact{IC: math.NaN(), FF: math.NaN(), TO: math.NaN()}
	c.Flat, c.FlatRate = flat(w)
	c.integrate(w, pitch)
	return c
}

// Find locates the events of a contact that NewContact made from the window. None
// is found where the recording ends before the foot has come to rest.
func (c *Contact) Find(w *Window, how Landings) {
	c.Gait = w.Gait()
	if w.Cut && !(c.FlatRate <= landedRate) {
		return // the foot may still have been in the air
	}
	c.IC = initialContact(w, c, how)
	c.FF = footFlat(w, c)
	if w.DownEnd >= 0 {
		c.TO = toeOff(w)
	}
}

// stanceEnd is where the search for mid-stance ends: the fastest toe-down
// moment of push-off, or the window's end.
func stanceEnd(w *Window) int {
	if w.DownEnd < 0 {
		return w.Len() - 1
	}
	end := w.DownEnd
	for i := w.DownEnd; i > w.UpEnd; i-- {
		if w.Gyr[1][i] > w.Gyr[1][end] {
			end = i
		}
		if float64(w.DownEnd-i) > 0.4*float64(w.DownEnd-w.UpEnd) {
			break
		}
	}
	return end
}

// flat returns the middle of the stillest stretch between landing and
// push-off, and the unrest in it, rad/s. A foot in late swing may turn as little
// as one on the ground, but it does not feel gravity alone.
func flat(w *Window) (int, float64) {
	from, to := w.UpEnd+1, stanceEnd(w)
	length := math.Min(flatMost, math.Max(flatLeast, flatShare*float64(to-from)/w.Rate))
	n := w.samples(length)
	if to-from < n+1 {
		return max(0, min(w.Len()-1, (from+to)/2)), math.NaN()
	}
	energy := func(i int) float64 {
		force := size([3]float64{w.Acc[0][i], w.Acc[1][i], w.Acc[2][i]}) - unit.StandardGravity
		return w.Gyr[0][i]*w.Gyr[0][i] + w.Gyr[1][i]*w.Gyr[1][i] + w.Gyr[2][i]*w.Gyr[2][i] + force*force/(flatForce*flatForce)
	}
	sum := 0.0
	for i := from; i < from+n; i++ {
		sum += energy(i)
	}
	best, at := sum, from
	for i := from; i+n < to; i++ {
		sum += energy(i+n) - energy(i)
		if sum < best {
			best, at = sum, i+1
		}
	}
	return at + n/2, math.Sqrt(math.Max(0, best) / float64(n))
}

// integrate fills the pitch by strap-down integration outwards from mid-stance,
// where the foot is level in its own frame.
func (c *Contact) integrate(w *Window, pitch []float64) {
	n := w.Len()
	if cap(pitch) < n {
		pitch = make([]float64, n)
	}
	c.Pitch = pitch[:n]
	for i := range c.Pitch {
		c.Pitch[i] = math.NaN()
	}
	c.From = max(0, w.UpEnd-w.samples(pitchBefore))
	c.To = min(n-1, c.Flat+w.samples(pitchAfter))
	if w.DownEnd >= 0 {
		c.To = min(c.To, w.DownEnd+1)
	}
	c.walk(w, 1)
	c.walk(w, -1)
	c.center(w)
}

// walk integrates from mid-stance in one direction of time.
func (c *Contact) walk(w *Window, step int) {
	q := orient.Identity()
	dt := float64(step) / w.Rate
	c.Pitch[c.Flat] = 0
	for i := c.Flat; i+step >= c.From && i+step <= c.To; i += step {
		j := i + step
		rate := [3]float64{(w.Gyr[0][i] + w.Gyr[0][j]) / 2, (w.Gyr[1][i] + w.Gyr[1][j]) / 2, (w.Gyr[2][i] + w.Gyr[2][j]) / 2}
		q = q.Step(rate, dt)
		c.Pitch[j] = math.Asin(max(-1, min(1, q.Rise())))
	}
}

// center makes the mean pitch of the stillest stretch zero.
func (c *Contact) center(w *Window) {
	h := w.samples(flatLeast) / 2
	sum, n := 0.0, 0
	for i := max(c.From, c.Flat-h); i <= min(c.To, c.Flat+h); i++ {
		sum += c.Pitch[i]
		n++
	}
	mean := sum / float64(n)
	for i := c.From; i <= c.To; i++ {
		c.Pitch[i] -= mean
	}
}

// footFlat returns the first moment after initial contact at which the pitch
// comes within FlatBand of its mid-stance value, or of the value at which the
// lowering came to rest, whichever is first: many feet creep on by a few
// degrees through stance, long after the forefoot is down.
func footFlat(w *Window, c *Contact) float64 {
	if math.IsNaN(c.IC) || c.IC < float64(c.From) || c.IC > float64(c.To) {
		return math.NaN()
	}
	start := PitchAt(c, c.IC)
	if math.Abs(start) <= FlatBand {
		return c.IC
	}
	level := math.Copysign(FlatBand, start)
	if rest := restingPitch(w, c); start > 0 && rest > 0 && rest+FlatBand < start {
		level += rest
	}
	sign := math.Copysign(1, start)
	for i := int(math.Ceil(c.IC)); i <= c.To && i <= c.Flat+1; i++ {
		if sign*c.Pitch[i] <= sign*level {
			return math.Max(c.IC, crossing(w, c, i, level))
		}
	}
	return math.NaN()
}

// restingPitch is the mean pitch just after the toe-down turn that follows
// initial contact has come to rest, rad; NaN where it does not before
// mid-stance.
func restingPitch(w *Window, c *Contact) float64 {
	n := w.samples(arrestTime)
	top := int(math.Ceil(c.IC))
	for i := top; i+n <= c.Flat; i++ {
		if w.Gyr[1][i] > w.Gyr[1][top] {
			top = i
		}
		if i == top || w.Gyr[1][i] > arrestRate || w.Gyr[1][i] > arrestShare*w.Gyr[1][top] {
			continue
		}
		turn, sum := 0.0, 0.0
		for j := i; j < i+n; j++ {
			turn += w.Gyr[1][j]
			sum += c.Pitch[j]
		}
		if math.Abs(turn)/float64(n) < arrestRate {
			return sum / float64(n)
		}
	}
	return math.NaN()
}

// crossing returns where the pitch passes level between the samples i−1 and i,
// on the cubic through both pitches with both rates as slopes (Hermite).
func crossing(w *Window, c *Contact, i int, level float64) float64 {
	if i-1 < c.From {
		return float64(i)
	}
	a, b := c.Pitch[i-1]-level, c.Pitch[i]-level
	da, db := -w.Gyr[1][i-1]/w.Rate, -w.Gyr[1][i]/w.Rate
	lo, hi := 0.0, 1.0
	for range 30 {
		t := (lo + hi) / 2
		t2, t3 := t*t, t*t*t
		v := a*(2*t3-3*t2+1) + da*(t3-2*t2+t) + b*(3*t2-2*t3) + db*(t3-t2)
		if (v > 0) == (a > 0) {
			lo = t
		} else {
			hi = t
		}
	}
	return float64(i-1) + hi
}

// PitchAt returns the pitch at the fractional sample i, rad, by linear
// interpolation; NaN outside the integrated range.
func PitchAt(c *Contact, i float64) float64 {
	k := int(math.Floor(i))
	if k < c.From || k > c.To {
		return math.NaN()
	}
	if k == c.To {
		return c.Pitch[k]
	}
	return filter.Linear(c.Pitch, i)
}
