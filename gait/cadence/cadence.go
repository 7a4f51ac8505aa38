// Package cadence finds the step rate: from the events of feet or shins, from
// the rhythm of a waist or wrist sensor, and from watch exports.
package cadence

import "setdown/gait/estimate"

// FromStrides returns the cadence in steps/s (both feet) from the stride times
// of one or both feet, s, in time order: two steps a stride, at the median
// stride. Fewer values than the interval needs give a centre without interval.
func FromStrides(strides []float64, cfg estimate.Config) estimate.Estimate {
	e := estimate.MedianInterval(strides, cfg)
	out := e
	out.Center, out.Low, out.High = 2/e.Center, 2/e.High, 2/e.Low
	out.Method = "two steps in the median stride time; " + e.Method
	return out
}
