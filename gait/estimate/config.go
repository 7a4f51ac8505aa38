package estimate

import "gonum.org/v1/gonum/stat/distuv"

// DefaultResamples is how many resamples an interval takes: enough for the
// 2.5 % points to move by about 3 % of the interval's width between seeds.
const DefaultResamples = 2000

// MinValues is the fewest values an interval is given for. Below it the
// correlation of neighbours, and with it the width, cannot be told at all.
const MinValues = 10

// Config says how intervals are made. The zero value is ready to use: 95 %
// intervals from 2000 resamples with seed 0.
type Config struct {
	// Confidence of the interval, in (0, 1); 0 means 0.95.
	Confidence float64
	// Resamples of the bootstrap; 0 means DefaultResamples.
	Resamples int
	// Seed of the resampling. The same values and Config give the same bits.
	Seed uint64
	// MinValues is the fewest values an interval is given for; 0 means the
	// constant MinValues.
	MinValues int
}

func (c Config) confidence() float64 {
	if c.Confidence == 0 {
		return 0.95
	}
	if !(c.Confidence > 0 && c.Confidence < 1) {
		panic("estimate: confidence outside 0..1")
	}
	return c.Confidence
}

func (c Config) resamples() int {
	if c.Resamples == 0 {
		return DefaultResamples
	}
	return c.Resamples
}

func (c Config) minimum() int {
	if c.MinValues == 0 {
		return MinValues
	}
	return c.MinValues
}

// tail is the probability left out on each side.
func (c Config) tail() float64 { return (1 - c.confidence()) / 2 }

// z is the normal quantile of the upper end.
func (c Config) z() float64 { return distuv.UnitNormal.Quantile(1 - c.tail()) }
