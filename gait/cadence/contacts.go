package cadence

import (
	"math"
	"slices"

	"setdown/gait/event"
)

// longestStride is the longest time, s, between two contacts of one foot that
// still belong to one bout.
const longestStride = 2.5

// missed is the factor against the median stride above which a contact is taken
// to be missed between two others.
const missed = 1.6

// FromContacts makes a rhythm of the initial contacts of one foot, s, in time
// order, and the gait of each. begin and end are the times of the first and
// last sample. Each contact stands for two steps, since the other foot lands
// between it and the next.
func FromContacts(contacts []float64, gaits []event.Gait, begin, end float64) Rhythm {
	r := Rhythm{Begin: begin, End: end}
	usual := usualStride(contacts)
	from := 0
	for i := 1; i <= len(contacts); i++ {
		if i < len(contacts) && contacts[i]-contacts[i-1] <= math.Min(longestStride, missed*usual) {
			continue
		}
		if i-from > leastStrides {
			r.Bouts = append(r.Bouts, boutOf(contacts[from:i], gaits[from:i]))
		}
		from = i
	}
	return r
}

// usualStride is the median time between contacts of one bout; infinite where
// there is none.
func usualStride(contacts []float64) float64 {
	var all []float64
	for i := 1; i < len(contacts); i++ {
		if d := contacts[i] - contacts[i-1]; d <= longestStride {
			all = append(all, d)
		}
	}
	if len(all) == 0 {
		return math.Inf(1)
	}
	slices.Sort(all)
	return all[len(all)/2]
}

func boutOf(contacts []float64, gaits []event.Gait) Bout {
	n := len(contacts)
	b := Bout{From: contacts[0], Steps: 2 * float64(n)}
	for i := range n - 1 {
		b.Strides = append(b.Strides, Stride{contacts[i], contacts[i+1] - contacts[i], gaits[i]})
	}
	b.To = contacts[n-1] + b.Strides[n-2].Duration
	return b
}

// TakeGaits gives each stride the gait of the contact nearest to its middle, if
// that has one and is not further away than the stride is long: contacts tell
// walking from running by the time on the ground, the rhythm only by force and
// rest. contacts are s, in time order.
func (r *Rhythm) TakeGaits(contacts []float64, gaits []event.Gait) {
	for _, b := range r.Bouts {
		for i := range b.Strides {
			s := &b.Strides[i]
			middle := s.Start + s.Duration/2
			k, _ := slices.BinarySearch(contacts, middle)
			if k == len(contacts) || k > 0 && middle-contacts[k-1] < contacts[k]-middle {
				k--
			}
			if k >= 0 && gaits[k] != event.GaitUnknown && math.Abs(contacts[k]-middle) < s.Duration {
				s.Gait = gaits[k]
			}
		}
	}
}
