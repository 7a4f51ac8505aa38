package event

import "math"

// initialContact returns the fractional sample of initial contact, NaN where
// no landing is seen.
func initialContact(w *Window, c *Contact) float64 {
	return rotationRise(w, c, 0.6)
}

// rotationRise returns where the toe-down turn after swing first rises through
// share of its first peak.
func rotationRise(w *Window, c *Contact, share float64) float64 {
	r := w.Gyr[1]
	i := w.UpEnd
	for i > w.Swing && r[i] > 0 {
		i--
	}
	end := c.Flat
	for ; i < end && r[i] <= 0; i++ {
	}
	peak := i
	for j := i; j < end; j++ {
		if r[j] > r[peak] {
			peak = j
		}
	}
	level := share * r[peak]
	for j := max(i, 1); j <= peak; j++ {
		if r[j] >= level && r[j-1] < level {
			return float64(j-1) + (level-r[j-1])/(r[j]-r[j-1])
		}
	}
	return float64(w.UpEnd)
}

// toeOff returns the fractional sample of toe-off.
func toeOff(w *Window, c *Contact) float64 {
	r := w.Gyr[1]
	i := stanceEnd(w)
	for ; i+1 < w.Len() && i < w.NextSwing; i++ {
		if r[i] > 0 && r[i+1] <= 0 {
			return float64(i) + r[i]/(r[i]-r[i+1])
		}
	}
	return math.NaN()
}
