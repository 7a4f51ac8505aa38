package recording

import (
	"math"

	"setdown/signal/remark"
)

// clipper marks the samples of flat tops.
type clipper struct {
	plan  *clipPlan
	tally *tally
	// run counts, per channel, how many rows in a row equal value.
	run   [6]int
	value [6]float64
	// calm is the size below which a value of a channel is of no interest.
	calm [6]float64
}

func (c *clipper) init(f *feed, t *tally) {
	c.plan, c.tally = &f.clip, t
	for ch := range c.calm {
		c.calm[ch] = min(c.plan.near[ch], c.plan.high[ch], -c.plan.low[ch])
	}
}

func (c *clipper) reset() { c.run = [6]int{} }

// seeAll judges the rows from index from on; calm tells that all their values are.
func (c *clipper) seeAll(g *gridder, from int, calm bool) {
	if calm {
		c.reset()
		return
	}
	for i := from; i < len(g.t); i++ {
		c.see(g, i)
	}
}

// allCalm tells whether all values of a batch are of no interest.
func (c *clipper) allCalm(b *batch) bool {
	for ch, values := range b.v {
		calm := c.calm[ch]
		for _, v := range values {
			if !(math.Abs(v) < calm) {
				return false
			}
		}
	}
	return true
}

// see judges row i of the gridder, and the rows before it that it makes a run.
func (c *clipper) see(g *gridder, i int) {
	for _, ch := range g.chans {
		v := g.v[ch][i]
		if math.Abs(v) < c.calm[ch] {
			c.run[ch] = 0
			continue
		}
		if v >= c.plan.high[ch] || v <= c.plan.low[ch] {
			c.mark(g, ch, i, 1)
			continue
		}
		if a := math.Abs(v); a < c.plan.near[ch] {
			c.run[ch] = 0
			continue
		}
		if c.run[ch] > 0 && math.Abs(v-c.value[ch]) <= clipSame*math.Abs(c.value[ch]) {
			c.run[ch]++
		} else {
			c.run[ch], c.value[ch] = 1, v
		}
		if c.run[ch] == clipRun {
			c.mark(g, ch, i, clipRun)
		} else if c.run[ch] > clipRun {
			c.mark(g, ch, i, 1)
		}
	}
}

// mark sets the void bit of rows i−n+1 … i.
func (c *clipper) mark(g *gridder, ch, i, n int) {
	bit := sensorBit(ch)
	for k := max(0, i-n+1); k <= i; k++ {
		if g.void[k]&bit != 0 {
			continue
		}
		g.void[k] |= bit
		at := remark.At(g.f.f.name, g.line[k], g.t[k])
		if bit == VoidAcc {
			g.void[k] |= VoidHard
			c.tally.add("clipped-acc", remark.Loss, at, "samples at the end of the accelerometer's range: %d; their true peaks are larger, the measures that need them are left out")
		} else {
			g.void[k] |= VoidFast
			c.tally.add("clipped-gyr", remark.Loss, at, "samples at the end of the gyroscope's range: %d; their true peaks are larger, the measures that need them are left out")
		}
	}
}
