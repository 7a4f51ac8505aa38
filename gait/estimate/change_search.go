package estimate

import (
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/floats"
)

// ramp is one shape of change, freed from a straight line and scaled to unit
// length; size is the length it had.
type ramp struct {
	start, size float64
	shape       []float64
}

// search holds every shape that is tried on values at the given times.
type search struct {
	times []float64
	ramps []ramp
	off   func(times, values []float64) []float64
	// width is the mean distance of the times.
	width float64
}

// newSearch lists the ramps: from every step of bins but those at the ends,
// over 1, 1·finer, 1·finer², … bins and to the end. off takes away what is not a
// change.
func newSearch(times []float64, off func(times, values []float64) []float64, step, finer float64) *search {
	n := len(times)
	end := times[n-1]
	s := &search{times: times, off: off, width: (end - times[0]) / float64(n-1)}
	for start := times[keptAtEnds]; start <= times[n-1-keptAtEnds]; start += s.width * step {
		for lasts := s.width; start+lasts < end; lasts *= finer {
			s.add(start, lasts)
		}
		s.add(start, end-start)
	}
	return s
}

func (s *search) add(start, lasts float64) {
	shape := make([]float64, len(s.times))
	for i, t := range s.times {
		shape[i] = min(max((t-start)/lasts, 0), 1)
	}
	shape = s.off(s.times, shape)
	size := math.Sqrt(floats.Dot(shape, shape))
	for i := range shape {
		shape[i] /= size
	}
	s.ramps = append(s.ramps, ramp{start, size, shape})
}

// fit is the best ramp for some values.
type fit struct {
	ramp int
	// by is the coefficient of the ramp as it was before scaling.
	by float64
	// gain is what the ramp takes off the sum of squares about a line, over
	// what it leaves.
	gain float64
}

// best finds the ramp that takes most off the squares of values about a line.
func (s *search) best(values []float64) fit {
	b, most := fit{}, -1.0
	for i, r := range s.ramps {
		if c := floats.Dot(r.shape, values); c*c > most {
			b, most = fit{ramp: i, by: c / r.size}, c*c
		}
	}
	rest := s.off(s.times, values)
	b.gain = most / (floats.Dot(rest, rest) - most)
	return b
}

// scattered describes the scatter of bins about a fit: standard deviation and
// correlation of neighbours.
type scattered struct{ sd, phi float64 }

// fitted is the number of constants that a fit takes: a line, a start, a size.
const fitted = 4

// around measures the scatter about a fit. Its correlation is the mean of that
// about the fit, which would be the right one if there is a change, and that
// without it, which would be if there is none: the fit itself takes up slow
// wandering.
func (s *search) around(values []float64, b fit) scattered {
	rest := s.off(s.times, values)
	without := persistence(rest)
	c := b.by * s.ramps[b.ramp].size
	for i, v := range s.ramps[b.ramp].shape {
		rest[i] -= c * v
	}
	n := float64(len(rest))
	sd := math.Sqrt(floats.Dot(rest, rest) / (n - fitted))
	if sd == 0 {
		return scattered{}
	}
	phi := persistence(rest)
	return scattered{sd: sd, phi: max(phi, (phi+without)/2)}
}

// persistence is the correlation of neighbours of the AR(1) series that varies
// as much over a few bins as rest does, each lag corrected for the constants
// taken off. Bins scatter and wander: the first lag alone would see the scatter
// and miss the wandering, which is what looks like a change.
func persistence(rest []float64) float64 {
	const lags = 4
	n, sum, first := float64(len(rest)), 0.0, 0.0
	for k := 1; k <= lags; k++ {
		sum += (n*Autocorrelation(rest, k) + fitted) / (n - 2*fitted - float64(k))
		if k == 1 {
			first = sum
		}
	}
	low, high := 0.0, maxCorrelation
	for range 30 {
		phi := (low + high) / 2
		if phi+phi*phi+phi*phi*phi+phi*phi*phi*phi < sum {
			low = phi
		} else {
			high = phi
		}
	}
	return min(max(low, first), maxCorrelation)
}

// series fills x with a stationary AR(1) series.
func (a scattered) series(x []float64, r *rand.Rand) {
	step := math.Sqrt(1 - a.phi*a.phi)
	v := r.NormFloat64()
	for i := range x {
		x[i] = a.sd * v
		v = a.phi*v + step*r.NormFloat64()
	}
}

// clearlySteady ends the simulation early: with so many of nullSamples steady
// series gaining as much, P is far above any level asked for.
const clearlySteady = nullSamples / 5

// probability is the share of steady series whose best ramp gains as much.
func (s *search) probability(b fit, a scattered, cfg Config) float64 {
	if a.sd == 0 {
		return 1
	}
	r := rand.New(rand.NewPCG(cfg.Seed, stream))
	x, asMuch, drawn := make([]float64, len(s.times)), 0, 0
	for ; drawn < nullSamples && asMuch < clearlySteady; drawn++ {
		a.series(x, r)
		if s.best(x).gain >= b.gain {
			asMuch++
		}
	}
	return float64(asMuch+1) / float64(drawn+1)
}

// place returns the interval of the start: the quantiles of where the search
// finds it when the scatter about the fit is drawn again, one bin wider at each
// end because bins hide when in them a jump happened.
func (s *search) place(values []float64, b fit, a scattered, cfg Config) (low, high float64) {
	r := rand.New(rand.NewPCG(cfg.Seed, stream+1))
	c := b.by * s.ramps[b.ramp].size
	x, starts := make([]float64, len(values)), make([]float64, placeSamples)
	for k := range starts {
		a.series(x, r)
		for i, v := range s.ramps[b.ramp].shape {
			x[i] += c * v
		}
		starts[k] = s.ramps[s.best(x).ramp].start
	}
	slices.Sort(starts)
	at := s.ramps[b.ramp].start
	return min(at, quantileSorted(starts, 1-cfg.upper())) - s.width, max(at, quantileSorted(starts, cfg.upper())) + s.width
}

// whereabouts is the start of a fit with its interval.
func (s *search) whereabouts(values []float64, b fit, cfg Config) (at, low, high float64) {
	low, high = s.place(values, b, s.around(values, b), cfg)
	return s.ramps[b.ramp].start, low, high
}

// offLine returns values less their least-squares line over times.
func offLine(times, values []float64) []float64 {
	mt, mv := Mean(times), Mean(values)
	product, square := 0.0, 0.0
	for i, t := range times {
		product += (t - mt) * (values[i] - mv)
		square += (t - mt) * (t - mt)
	}
	rest := make([]float64, len(values))
	for i, t := range times {
		rest[i] = values[i] - mv - product/square*(t-mt)
	}
	return rest
}

// offMean returns values less their mean.
func offMean(_, values []float64) []float64 {
	m := Mean(values)
	rest := make([]float64, len(values))
	for i, v := range values {
		rest[i] = v - m
	}
	return rest
}
