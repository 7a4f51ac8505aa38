package step

import "math"

// Limits say which measures a recording can give, by its rate, where its sensor sits
// and what is doubtful about it.
type Limits struct {
	// Lowering is false where the lowering is withheld.
	Lowering bool
	// Why says so in words.
	Why string
	// NoContact and NoPeaks say why contact times and contact peaks are withheld;
	// "" where they are not.
	NoContact, NoPeaks string
}

// WithholdLowering withholds the lowering. The first reason stays.
func (l *Limits) WithholdLowering(why string) {
	if l.Lowering {
		l.Lowering, l.Why = false, why
	}
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
