package recording

import (
	"math"
	"slices"
)

// Rules for rows that cannot be measurements; the project's own. A logger that lost
// samples may write zeros in their place, or the last value again; one that polls a
// slower sensor writes each value several times.
const (
	// heldOdds is how many runs as long as the shortest that is taken for lost
	// samples may be expected by chance in the rows that decide.
	heldOdds = 1e-3
	// heldLeast is the least number of rows in a run that repeat the row before it,
	// and heldAlone the same of a sensor without another beside it.
	heldLeast, heldAlone = 2, 3
	// heldJump is the change on one side of a run, before or after it, in steps of each
	// sensor, that a sensor at rest does not make; on the other side each sensor changes
	// by a step at least. Of 26,000 runs in open and simulated recordings rounded to 6
	// to 14 bits none did both. After heldRest, s, it may be a knock that ends true rest:
	// then the other side must change by heldEnd, more than a step on each of three axes
	// at once, which makes √3.
	heldJump, heldEnd = 4, 2
	heldRest          = 0.3
	// heldShort is the length of runs from which they are not looked at where repeats
	// that stay are counted.
	heldShort = 16
	// heldCalm is the share of runs in coarse rest, of the rows, up to which a
	// recording counts as one that never repeats while at rest.
	heldCalm = 1e-3
	// heldWait is how long, s, a run may last before it is judged without its end.
	heldWait = 2
	// zeroNear is the size of the acceleration, as a share of its median over the rows
	// that are not 0, that the rows on both sides of zeros have at the least, and no less
	// than heldJump, unless they turn: in flight a sensor on the trunk reads near 0.
	zeroNear = 0.5
	// everyMost is the largest number of rows that one value of a slower sensor fills.
	everyMost = 64
	// everyFew is the least number of values that show such a pattern, and everyShare
	// the share of them that keep to it.
	everyFew   = 64
	everyShare = 0.95
	// repeatsMany is the share of rows that repeat while it moves from which a sensor
	// counts as slower than its rows.
	repeatsMany = 0.05
)

// lostPlan is what the head told about rows that are no measurements.
type lostPlan struct {
	// every is how many rows each value of the slower sensor fills, 1 for none;
	// from is its first channel.
	every, from int
	// has tells which axes that sensor has.
	has [3]bool
	// slow tells which sensors repeat in that way.
	slow [2]bool
	// least is how many rows must repeat the row before them to be lost.
	least int
	// step is the smallest change of each sensor, in the file's own numbers.
	step [2]float64
	// end is the least jump on one side of a run, in steps.
	end float64
	// fine tells that the recording hardly ever repeats itself at rest.
	fine bool
	// flat tells that zeros are what the sensor measures at rest.
	flat bool
	// wait is how many rows of a run are held back until its end.
	wait int
	// weight is zeroNear in the file's own numbers.
	weight float64
	// repeats is the share of the rows, while it moves, that repeat the row before and
	// stay: too few in a row to be lost.
	repeats float64
	// any tells that rows of the head were left out.
	any bool
}

// planLost looks for such rows in a head and leaves them out of it. Where hardly any
// row would be left, all stay, and the checks of units and axes say what is wrong.
func planLost(f *feed, h *head) {
	p := &f.lost
	// Where no row repeats, the steps are hardly known and any change will do.
	*p = lostPlan{every: 1, fine: true, least: p.atLeast(f, leastHeld(0, len(h.t)))}
	if f.axes(0)+f.axes(3) == 0 {
		return
	}
	before := len(h.t)
	if p.pattern(f, h); p.every > 1 {
		h.thin(p)
	}
	p.wait = waitRows(h.t)
	odd := h.repeats()
	p.steps(f, h, odd)
	if odd {
		p.weight = zeroNear * usual(h.size(0)) / f.scale[0]
		p.end = 1 - 1e-9 // the smallest change is one, but for rounding
		p.measure(f, h)
		p.flat = newScreen(f, nil, nil).restsAtZero(h)
		h.clear(f)
	} else {
		p.weight = zeroNear * usual(h.some()) / f.scale[0]
	}
	p.any = len(h.t) < before
}

// measure finds how often rows repeat by chance in this recording.
func (p *lostPlan) measure(f *feed, h *head) {
	c := countHeld(f, h)
	p.fine = float64(c.calm) <= max(1, heldCalm*float64(len(h.t)))
	p.least = p.atLeast(f, leastHeld(c.singles, c.brisk))
	repeats := 0
	for n, count := range c.few[:min(p.least, heldShort)] {
		repeats += n * count
	}
	p.repeats = float64(repeats) / float64(max(1, repeats+c.brisk))
}

// heldCount counts the runs of rows in a head that repeat the row before, by what comes
// before and after them.
type heldCount struct {
	// brisk counts the rows that come by a jump.
	brisk int
	// singles counts the rows that repeat the one before alone, with a jump on one side.
	singles int
	// calm counts the runs in which the sensor does not move, by the jumps on both
	// sides; few counts the short runs in which it does, by their length.
	calm int
	few  [heldShort]int
}

// countHeld counts the runs of rows that repeat the row before.
func countHeld(f *feed, h *head) (c heldCount) {
	s := newScreen(f, nil, nil)
	run := 0
	all := batch{t: h.t, v: h.v}
	for i := range h.t {
		if i > 0 && sameRow(&h.v, i, 0, 6) {
			run++
			continue
		}
		entry := s.entry
		s.note(&all, i)
		exit := s.entry
		s.entry = entry
		if run > 0 && !s.jumps(exit) {
			c.calm++
		}
		if run == 1 && max(entry, exit) >= heldJump {
			c.singles++
		}
		if run < heldShort && s.jumps(exit) {
			c.few[run]++
		}
		if s.entry = exit; exit >= heldJump {
			c.brisk++
		}
		run = 0
	}
	return c
}

// atLeast is the shortest run that is looked at, where chance allows one of least.
func (p *lostPlan) atLeast(f *feed, least int) int {
	if f.axes(0) == 0 || f.axes(3) == 0 {
		return max(least, heldAlone)
	}
	return least
}

// leastHeld is the number of repeats n at which brisk·pⁿ, the runs to be expected by
// chance where a row repeats the one before with the chance p, falls to heldOdds.
func leastHeld(singles, brisk int) int {
	p := float64(singles+1) / float64(max(brisk, 1))
	if p >= 0.9 {
		return math.MaxInt
	}
	return max(heldLeast, int(math.Ceil(math.Log(heldOdds/float64(brisk))/math.Log(p))))
}

// waitRows is heldWait in rows, at the rate that the stamps, s, show on the whole.
func waitRows(t []float64) int {
	seconds := t[len(t)-1] - t[0]
	if !(seconds > 0) {
		return everyFew
	}
	return int(min(max(everyFew, heldWait*float64(len(t))/seconds), heldWait*MaxRate))
}

// usual is the middle of the sizes that are not 0, whose order it changes; 0 where
// there is none.
func usual(sizes []float64) float64 {
	sizes = slices.DeleteFunc(sizes, func(a float64) bool { return a == 0 })
	if len(sizes) == 0 {
		return 0
	}
	return nth(sizes, len(sizes)/2)
}
