package estimate

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"
)

// outcomes are true where AR(1) scatter lies below the p-quantile of the normal
// distribution, as a step lands heel first when its strike angle does.
func outcomes(n int, phi, p float64, r *rand.Rand) []bool {
	threshold := distuv.UnitNormal.Quantile(p)
	yes := make([]bool, n)
	for i, v := range scatter(n, phi, r) {
		yes[i] = v < threshold
	}
	return yes
}

// Shares are counts, so that coverage cannot be held at 95 % at each share;
// what is required is that it is not below the limits on average over shares,
// nor anywhere far below.
func TestCoverageOfProportions(t *testing.T) {
	shares := []float64{0.05, 0.2, 0.5, 0.8, 0.95}
	for _, n := range []int{25, 50, 100, 400} {
		for _, phi := range []float64{0, 0.3, 0.6} {
			sum, sumDifference, row := 0.0, 0.0, ""
			for i, p := range shares {
				r := rand.New(rand.NewPCG(judging+2, uint64(n*10+i)))
				var one, two tally
				other := shares[(i+2)%len(shares)]
				for range sessions() {
					a, b := outcomes(n, phi, p, r), outcomes(n, phi, other, r)
					one.add(Proportion(a, Config{}), p, p, sessions())
					two.add(ProportionDifference(a, b, Config{}), p-other, p-other, sessions())
				}
				sum += one.session / float64(len(shares))
				sumDifference += two.session / float64(len(shares))
				row += fmt.Sprintf("  %.1f/%.1f", 100*one.session, 100*two.session)
				require.GreaterOrEqual(t, math.Min(one.session, two.session), 0.88-tolerated(sessions()), "n %d phi %v p %v", n, phi, p)
			}
			t.Logf("n %3d phi %.1f share/difference %s  mean %.1f/%.1f", n, phi, row, 100*sum, 100*sumDifference)
			require.GreaterOrEqual(t, sum, 0.93-tolerated(sessions()*len(shares)))
			require.GreaterOrEqual(t, sumDifference, 0.93-tolerated(sessions()*len(shares)))
		}
	}
}
