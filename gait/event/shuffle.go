package event

import (
	"math"

	"setdown/signal/unit"
)

// The limits of a movement between two rests, times in s, rates in rad/s. Own
// choices, set on open walking recordings with turns; see docs/events.md.
const (
	// restRate is the turning below which the foot may rest, restTime how long
	// it must stay there.
	restRate = 0.7
	restTime = 0.06
	// pivotRate is the turning below which a foot that feels gravity alone, within
	// pivotAcc m/s² and for pivotTime, rests too: it turns on the spot.
	pivotRate = 2.2
	pivotAcc  = 0.8
	pivotTime = 0.15
	// moveLeast and moveMost bound the length of a step's movement.
	moveLeast, moveMost = 0.20, 2.0
	// landed is how long after a swing's end a further movement may begin.
	landed = 0.25
	// moveTravel is the least travel of the foot, m: less is shifting weight or
	// turning on the spot. moveSpeed is the least mean speed, m/s.
	moveTravel = 0.06
	moveSpeed  = 0.08
)

// rests cuts the stream at moments of rest. Regular steps are found by their
// swing; this finds those without one, as in turns and shuffles.
type rests struct {
	rate   float64
	quiet  int // samples below restRate so far
	pivot  int // samples that may be a turn on the spot so far
	moving bool
	from   int // first sample of the movement
}

// push takes the sizes of the angular rate and of the specific force of sample
// i and returns the movement that has just come to rest, as [from, to).
func (m *rests) push(i int, turn, force float64) (from, to int, ended bool) {
	m.quiet++
	m.pivot++
	if turn > restRate {
		m.quiet = 0
	}
	if turn > pivotRate || math.Abs(force-unit.StandardGravity) > pivotAcc {
		m.pivot = 0
	}
	if m.quiet == 0 && !m.moving && m.pivot == 0 {
		m.moving, m.from = true, i
	}
	rest := 0
	switch {
	case float64(m.quiet) >= restTime*m.rate:
		rest = m.quiet
	case float64(m.pivot) >= pivotTime*m.rate:
		rest = m.pivot
	}
	if !m.moving || rest == 0 {
		return 0, 0, false
	}
	m.moving = false
	return m.from, i - rest + 1, true
}

// rested takes a movement that has come to rest: a swing that is waiting for
// its confirmation gets it, and a movement without a swing that carried the
// foot on is a step of its own.
func (d *Detector) rested(from, to int) {
	if s, ok := d.finder.settle(); ok {
		d.landed(s)
	}
	if d.hasLast && d.last.upEnd >= from {
		from = d.last.upEnd + int(landed*d.rate)
	}
	seconds := float64(to-from) / d.rate
	if from < d.base || seconds < moveLeast || seconds > moveMost {
		return
	}
	if t := d.travel(from, to); t < moveTravel || t < moveSpeed*seconds {
		return
	}
	d.landed(d.shuffle(from, to))
}

// shuffle describes a movement without a swing as one.
func (d *Detector) shuffle(from, to int) swing {
	return swing{downEnd: from, peak: (from + to) / 2, upEnd: to, irregular: true}
}
