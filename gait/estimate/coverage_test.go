package estimate

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// The harness makes sessions of steps that are like their neighbours (AR(1)
// with correlation phi, standard deviation 1) around a level that drifts, and
// counts how often intervals hold the truth.
//
// Three truths are counted. The session's: the median of the values its steps
// would take if the scatter were drawn again and the drift stayed; it is what
// the intervals promise. The process's: the median over all sessions, drift
// drawn again too; without drift they are the same, with it no single session
// can tell, and the count is printed so that nobody thinks it could. The median
// of the session's levels alone, without scatter, differs from the session's
// truth where the drift was lopsided; it is printed as levels.

// drift is the level around which steps scatter, in step standard deviations.
type drift string

const (
	steady drift = "none"
	// wander is a slow AR(1): standard deviation 0.3, time constant 80 strides.
	wander drift = "wander"
	// slope rises by one step standard deviation from end to end.
	slope drift = "slope"
)

func (d drift) level(n int, r *rand.Rand) []float64 {
	level := make([]float64, n)
	switch d {
	case wander:
		const sd, strides = 0.3, 80
		copy(level, scatter(n, math.Exp(-1.0/strides), r))
		for i := range level {
			level[i] *= sd
		}
	case slope:
		for i := range level {
			level[i] = float64(i)/float64(n-1) - 0.5
		}
	}
	return level
}

// scatter is a stationary AR(1) series with standard deviation 1.
func scatter(n int, phi float64, r *rand.Rand) []float64 {
	x := make([]float64, n)
	v := r.NormFloat64()
	for i := range x {
		x[i] = v
		v = phi*v + math.Sqrt(1-phi*phi)*r.NormFloat64()
	}
	return x
}

// skew makes normal scatter log-normal with its median left at zero.
func skew(x []float64) {
	const shape = 0.4
	for i, v := range x {
		x[i] = math.Expm1(shape*v) / shape
	}
}

// unskew undoes skew for a limit x, ±Inf where no scatter gets there.
func unskew(x float64) float64 {
	const shape = 0.4
	return math.Log(math.Max(1+shape*x, 0)) / shape
}

// sessionMedian solves mean over i of P(level[i] + scatter < m) = ½ for m.
func sessionMedian(level []float64, skewed bool) float64 {
	low, high := slices.Min(level)-1, slices.Max(level)+1
	for range 50 {
		m, below := (low+high)/2, 0.0
		for _, l := range level {
			x := m - l
			if skewed {
				x = unskew(x)
			}
			below += math.Erfc(-x/math.Sqrt2) / 2
		}
		if below < float64(len(level))/2 {
			low = m
		} else {
			high = m
		}
	}
	return (low + high) / 2
}

// cell is one row of the coverage table.
type cell struct {
	n      int
	phi    float64
	drift  drift
	skewed bool
}

func (c cell) String() string {
	shape := "normal"
	if c.skewed {
		shape = "skewed"
	}
	return fmt.Sprintf("%-6s drift %-6s phi %.1f n %3d", shape, c.drift, c.phi, c.n)
}

func cells(sizes ...int) []cell {
	var all []cell
	for _, skewed := range []bool{false, true} {
		for _, d := range []drift{steady, wander, slope} {
			for _, phi := range []float64{0, 0.3, 0.6} {
				for _, n := range sizes {
					all = append(all, cell{n, phi, d, skewed})
				}
			}
		}
	}
	return all
}

// long tells whether the long sweep was asked for.
func long() bool { return os.Getenv("SETDOWN_LONG") == "1" }

// sessions is how many sessions a cell of the table takes.
func sessions() int {
	switch {
	case long():
		return 4000
	case testing.Short():
		return 60
	}
	return 250
}

// judging is the seed of the sessions that judge. Seeds below 1000 were used
// while the method was chosen.
const judging = 20261

// tolerated is how far a measured share may lie from its limit by chance: three
// standard errors of a share of 95 %.
func tolerated(sessions int) float64 { return 3 * math.Sqrt(0.95*0.05/float64(sessions)) }

// requireCoverage holds a measured share against 93–97 % at 100 steps and more,
// 92–98 % at 25 to 99; the smallest session that is given an interval at all
// may miss one more percent.
func requireCoverage(t *testing.T, c fmt.Stringer, n int, share float64) {
	t.Helper()
	low, high := 0.93, 0.97
	switch {
	case n < 25:
		low, high = 0.91, 0.995
	case n < 100:
		low, high = 0.92, 0.98
	}
	by := tolerated(sessions())
	require.GreaterOrEqual(t, share, low-by, "%s", c)
	require.LessOrEqual(t, share, high+by, "%s", c)
}

// tally counts what intervals hold.
type tally struct {
	session, process, width float64
}

func (s *tally) add(e Estimate, session, process float64, of int) {
	if e.Low <= session && session <= e.High {
		s.session += 1 / float64(of)
	}
	if e.Low <= process && process <= e.High {
		s.process += 1 / float64(of)
	}
	s.width += (e.High - e.Low) / float64(of)
}

func (s tally) String() string {
	return fmt.Sprintf("session %5.1f %%  process %5.1f %%  width %.2f", 100*s.session, 100*s.process, s.width)
}

// beside names the tally of another method, "" where it was not measured.
func (s tally) beside(name string) string {
	if s.width == 0 {
		return ""
	}
	return fmt.Sprintf("  | %s %s", name, s)
}

func TestCoverageOfMedian(t *testing.T) {
	sizes := []int{MinValues, 25, 50, 100, 400}
	if testing.Short() {
		sizes = []int{25, 100}
	}
	for i, c := range cells(sizes...) {
		r := rand.New(rand.NewPCG(judging, uint64(i)))
		var ours, ofLevels, boot tally
		for range sessions() {
			level := c.drift.level(c.n, r)
			x := scatter(c.n, c.phi, r)
			if c.skewed {
				skew(x)
			}
			for k := range x {
				x[k] += level[k]
			}
			truth := sessionMedian(level, c.skewed)
			e := MedianInterval(x, Config{})
			ours.add(e, truth, 0, sessions())
			ofLevels.add(e, Median(level), 0, sessions())
			if long() && !c.skewed {
				boot.add(bootstrapMedian(x, 400, r.Uint64()), truth, 0, sessions())
			}
		}
		t.Logf("%s  %s  levels %5.1f %%%s", c, ours, 100*ofLevels.session, boot.beside("block bootstrap"))
		requireCoverage(t, c, c.n, ours.session)
	}
}
