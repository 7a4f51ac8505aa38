package estimate

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// run is one run of two feet: a drift and a part of the scatter are shared.
type run struct {
	a, b   Series
	levelA []float64
	levelB []float64
}

// feet are the two sides of a session: the second foot scatters wide times as
// much as the first, the sides share the given part of the variance of their
// scatter, and lost is the share of steps of the first foot that are missing.
type feet struct {
	cell
	wide, share, lost float64
}

func (f feet) String() string {
	return fmt.Sprintf("%v wide %.1f shared %.1f lost %.1f", f.cell, f.wide, f.share, f.lost)
}

func (f feet) draw(r *rand.Rand) run {
	level := f.drift.level(f.n, r)
	common, own, other := scatter(f.n, f.phi, r), scatter(f.n, f.phi, r), scatter(f.n, f.phi, r)
	mixed := func(x []float64) []float64 {
		y := make([]float64, f.n)
		for i := range y {
			y[i] = math.Sqrt(f.share)*common[i] + math.Sqrt(1-f.share)*x[i]
		}
		if f.skewed {
			skew(y)
		}
		return y
	}
	own, other = mixed(own), mixed(other)
	const stride = 0.7
	var d run
	for i := range f.n {
		if r.Float64() >= f.lost {
			d.a.Times = append(d.a.Times, stride*float64(i))
			d.a.Values = append(d.a.Values, level[i]+own[i])
			d.levelA = append(d.levelA, level[i])
		}
		d.b.Times = append(d.b.Times, stride*(float64(i)+0.5))
		d.b.Values = append(d.b.Values, f.wide*(level[i]+other[i]))
		d.levelB = append(d.levelB, level[i])
	}
	return d
}

func differenceCases() []feet {
	var all []feet
	sizes := []int{25, 50, 100, 400}
	if testing.Short() {
		sizes = []int{25, 100}
	}
	for _, c := range cells(sizes...) {
		if !c.skewed {
			all = append(all, feet{c, 1, 0, 0}, feet{c, 1, 0.3, 0.1}, feet{c, 2, 0.3, 0.2})
		}
	}
	return all
}

func TestCoverageOfPairedDifference(t *testing.T) {
	for i, f := range differenceCases() {
		r := rand.New(rand.NewPCG(judging+1, uint64(i)))
		var paired, apart tally
		for range sessions() {
			d := f.draw(r)
			truth := sessionMedian(d.levelA, false) - f.wide*sessionMedian(d.levelB, false)
			paired.add(PairedDifferenceInterval(d.a, d.b, Config{}), truth, 0, sessions())
			apart.add(DifferenceInterval(d.a.Values, d.b.Values, Config{}), truth, 0, sessions())
		}
		t.Logf("%s  paired %s | apart %s", f, paired, apart)
		requireCoverage(t, f, int(float64(f.n)*(1-f.lost)), paired.session)
		require.GreaterOrEqual(t, apart.session, 0.92-tolerated(sessions()), "%s", f)
	}
}
