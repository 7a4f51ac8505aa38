package estimate

import (
	"math"
	"math/rand/v2"
)

// Scenario is a comparison of two feet whose truth is known, to tell what a
// recording of that length could show. All but Steps and Phi are shares of the
// mean of the sides.
type Scenario struct {
	// Effect is the true difference of the sides, Floor the half-width of what
	// counts as alike.
	Effect, Floor float64
	// CV is the standard deviation of the steps of one side.
	CV float64
	// Phi is the correlation of neighbouring steps of a side; see UsualPhi.
	Phi float64
	// Steps is the number of steps a side.
	Steps int
}

// The usual session of the power table: steps are correlated by 0.3, the level
// wanders by 0.3 step standard deviations over some 80 strides, alike in both
// feet. Own choice, within what series of strides show.
const (
	UsualPhi      = 0.3
	usualWander   = 0.3
	wanderStrides = 80
)

// Power holds the shares of recordings that end in each verdict.
type Power struct {
	// Different: the interval of the difference lies wholly beyond the floor;
	// Alike: wholly inside; CannotTell: neither.
	Different, Alike, CannotTell float64
}

// Simulate draws recordings of the scenario and returns the shares of verdicts.
// With fewer steps than an interval takes, all are CannotTell.
func (s Scenario) Simulate(recordings int, cfg Config) Power {
	r := rand.New(rand.NewPCG(cfg.Seed, stream))
	a, b := s.blank(0), s.blank(0.5)
	counts := [3]int{}
	for range recordings {
		s.draw(a.Values, b.Values, r)
		floor := s.Floor * (Median(a.Values) + Median(b.Values)) / 2
		counts[judge(PairedDifferenceInterval(a, b, cfg), floor)]++
	}
	share := func(v int) float64 { return float64(counts[v]) / float64(recordings) }
	return Power{Different: share(beyond), Alike: share(inside), CannotTell: share(across)}
}

// Where an interval lies against ± a floor.
const (
	across = iota
	beyond
	inside
)

func judge(e Estimate, floor float64) int {
	switch {
	case !e.HasInterval():
		return across
	case e.Low > floor || e.High < -floor:
		return beyond
	case e.Low > -floor && e.High < floor:
		return inside
	}
	return across
}

// blank is a side without values yet, stepping once a time unit.
func (s Scenario) blank(shift float64) Series {
	side := Series{Times: make([]float64, s.Steps), Values: make([]float64, s.Steps)}
	for i := range side.Times {
		side.Times[i] = float64(i) + shift
	}
	return side
}

// draw fills both sides with new steps about 1 ± Effect/2.
func (s Scenario) draw(a, b []float64, r *rand.Rand) {
	next := func(v, phi float64) float64 { return phi*v + math.Sqrt(1-phi*phi)*r.NormFloat64() }
	slow := math.Exp(-1.0 / wanderStrides)
	level, va, vb := r.NormFloat64(), r.NormFloat64(), r.NormFloat64()
	for i := range a {
		a[i] = 1 + s.Effect/2 + s.CV*(va+usualWander*level)
		b[i] = 1 - s.Effect/2 + s.CV*(vb+usualWander*level)
		level, va, vb = next(level, slow), next(va, s.Phi), next(vb, s.Phi)
	}
}

// PowerTable returns the committed table: what recordings of 25, 50, 100 and
// 400 steps a side show of true differences of 0 to 40 % of the mean, for a
// floor of 15 % and steps that vary by 5 to 30 %. The slice is new at each call.
func PowerTable() []PowerRow { return append([]PowerRow(nil), powerTable[:]...) }

// PowerRow is one row of the power table. Its Phi is UsualPhi.
type PowerRow struct {
	Scenario
	Power
}

// PowerRecordings is how many recordings were simulated for each row of the
// table: shares are good to about ±0.02.
const PowerRecordings = 2000

// TableFloor is the floor of the power table, a share of the sides' mean.
const TableFloor = 0.15

// PowerFor looks the nearest row up: the CV at or above the given one (or the
// largest), the steps at or below (the smallest number if there is none) and the
// effect nearest to the given one, so that it does not promise more than it
// knows. ok is false where the CV lies above the table, or steps below it.
func PowerFor(cv, effect float64, steps int) (row PowerRow, ok bool) {
	// The table is a full grid, so that each of the three distances is made
	// smallest on its own whatever the others weigh.
	const beyondTable = 1e6
	best := math.Inf(1)
	for _, r := range powerTable {
		distance := math.Abs(r.Effect - effect)
		if r.CV < cv {
			distance += beyondTable * (1 + cv - r.CV)
		} else {
			distance += r.CV - cv
		}
		if r.Steps > steps {
			distance += beyondTable * float64(r.Steps)
		} else {
			distance += float64(steps - r.Steps)
		}
		if distance < best {
			best, row = distance, r
		}
	}
	return row, row.CV >= cv && row.Steps <= steps
}

// StepsFor returns the fewest steps a side in the table with which a true
// difference is called different in at least the given share of recordings; 0
// where 400 steps do not do.
func StepsFor(cv, effect, share float64) int {
	for _, steps := range []int{25, 50, 100, 400} {
		if row, ok := PowerFor(cv, effect, steps); ok && row.Different >= share {
			return steps
		}
	}
	return 0
}
