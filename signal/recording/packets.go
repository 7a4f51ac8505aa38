package recording

import (
	"math"
	"slices"

	"setdown/signal/remark"
)

// Rules for rows that share a stamp since stamps are rounded, as to whole seconds.
// Of even sampling, each stamp then has as many rows, give or take one. The limits
// are the project's own.
const (
	// countedRows is from how many rows a stamp on they are counted.
	countedRows = 20
	// countedOff is by how many rows a stamp may be off.
	countedOff = 1.5
	// countedShare is the share of the stamps that must keep to this.
	countedShare = 0.9
)

// packetGap is how many times the usual step between stamps lies behind a hole.
const packetGap = 1.8

// planPackets decides for stamps, rounded to quantum s, that several samples share.
func planPackets(t []float64, quantum float64) (p stampPlan, ok bool) {
	starts := packetStarts(t)
	if len(starts) < 3 {
		return p, false
	}
	counts, lasts, median := wholePackets(t, starts)
	if len(counts) == 0 {
		return p, false
	}
	usual := nth(slices.Clone(counts), len(counts)/2)
	p.counted = usual >= countedRows && median < 1.5*quantum && keepTo(counts, usual) > countedShare
	rows, time := 0.0, 0.0
	for i, n := range counts {
		if p.counted && math.Abs(n-usual) > countedOff {
			continue
		}
		rows += n
		time += lasts[i]
	}
	p.packets, p.mode = true, stampsFitted
	p.measured = rows / time
	p.rate = plainRate(p.measured, time, max(0.5/p.measured, 0.002*time))
	p.hole = packetGap * median
	if steps := packetSteps(t, starts); !p.counted && late(steps, p.hole) {
		p.arrivals = true
		p.hole = max(p.hole, arrivalMore*nth(steps, int(arrivalHole*float64(len(steps)-1))))
	}
	p.jitter = median
	return p, p.rate >= MinRate && p.rate <= MaxRate
}

// wholePackets gives the rows of each packet and how long it lasts, s; median is what
// they last mostly. Those before a hole are left out, and the first, which may be cut.
func wholePackets(t []float64, starts []int) (counts, lasts []float64, median float64) {
	steps := packetSteps(t, starts)
	median = nth(slices.Clone(steps), len(steps)/2)
	counts, lasts = make([]float64, 0, len(steps)), make([]float64, 0, len(steps))
	for i := 1; i < len(steps); i++ {
		if steps[i] < packetGap*median {
			counts, lasts = append(counts, float64(starts[i+1]-starts[i])), append(lasts, steps[i])
		}
	}
	return counts, lasts, median
}

// packetSteps are the times from packet to packet, s.
func packetSteps(t []float64, starts []int) []float64 {
	steps := make([]float64, 0, len(starts))
	for i := 1; i < len(starts); i++ {
		steps = append(steps, t[starts[i]]-t[starts[i-1]])
	}
	return steps
}

// packetStarts are the rows with which a new stamp begins.
func packetStarts(t []float64) []int {
	var starts []int
	for i := range t {
		if i == 0 || t[i] > t[i-1] {
			starts = append(starts, i)
		}
	}
	return starts
}

// keepTo is the share of the counts that lie within countedOff of the usual one.
func keepTo(counts []float64, usual float64) float64 {
	n := 0
	for _, c := range counts {
		if math.Abs(c-usual) <= countedOff {
			n++
		}
	}
	return float64(n) / float64(len(counts))
}

// counting counts the rows of each stamp.
type counting struct {
	rows   int     // of the present stamp
	since  float64 // the stamp, s
	stamps int     // that began
}

// count takes row i. Where it begins a stamp and the one before had too few rows or
// too many, rows were lost or written twice somewhere in it: its samples are marked,
// and the row is placed anew by its stamp.
func (c *counting) count(g *gridder, i int) {
	if i > 0 && g.t[i] > g.t[i-1] {
		p := &g.f.stamps
		off := float64(c.rows) - (g.t[i]-c.since)*p.rate
		if c.stamps > 0 && math.Abs(off) > countedOff && g.t[i]-c.since < p.hole {
			for k := max(0, i-c.rows); k < i; k++ {
				g.void[k] |= VoidAcc | VoidGyr
			}
			g.tally.add("stamp-rows", remark.Loss, remark.At(g.f.f.name, g.line[i-1], g.t[i-1]),
				"time stamps with fewer or more rows than the others, in which rows were lost or come twice: %d; their samples are marked, what they hide is withheld")
			g.fit.endRun(g)
		}
		c.rows, c.since, c.stamps = 0, g.t[i], c.stamps+1
	}
	c.rows++
}
