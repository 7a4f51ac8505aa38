package recovery_test

import (
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/recovery"
	"setdown/gait/step"
)

// shoeDays are days with one run in each of three shoes. each adds what a shoe
// makes of each foot; a day and a run scatter by 20 and 10.
func shoeDays(r *rand.Rand, days int, each func(shoe int) (left, right float64)) []recovery.Session {
	var ss []recovery.Session
	for day := range days {
		state := 20 * r.NormFloat64()
		for shoe, name := range []string{"a", "b", "c"} {
			c := plain(1, func(int) float64 { return 0 })
			c.shoes = []string{name}
			s := c.sessions(rand.New(rand.NewPCG(1, 1)))[0]
			left, right := each(shoe)
			s.ID, s.Date, s.Order = name+string(rune('a'+day)), firstDay.Add(day), float64(shoe)
			s.Measures[step.Primary] = measure(350+state+left+10*r.NormFloat64(), 350+state+right+10*r.NormFloat64(), 0)
			ss = append(ss, s)
		}
	}
	return ss
}

// Three shoes are nine looks: both feet and their difference in three pairs of
// shoes. At most one comparison in twenty may call shoes different that are not.
func TestManyLooksDoNotMakeADifference(t *testing.T) {
	const runs, most = 1000, 0.05 + 2*0.0069 // two standard errors of 5 % of 1000
	differs := func(seed uint64, each func(int) (float64, float64)) bool {
		got, err := recovery.Compare(shoeDays(rand.New(rand.NewPCG(seed, 7)), 6, each), "shoe", step.Primary)
		require.NoError(t, err)
		require.Len(t, got.Contrasts, 3)
		for _, c := range got.Contrasts {
			if strings.Contains(c.Text, "differs") {
				return true
			}
		}
		return false
	}
	wrong, found := 0, 0
	for seed := range uint64(runs) {
		if differs(seed, func(int) (float64, float64) { return 0, 0 }) {
			wrong++
		}
		if differs(seed, func(shoe int) (float64, float64) { return 0, 60 * float64(shoe/2) }) {
			found++
		}
	}
	t.Logf("%.1f %% of equal shoes, %.1f %% of shoes 60 deg/s apart are called different", 100*float64(wrong)/runs, 100*float64(found)/runs)
	require.LessOrEqual(t, float64(wrong)/runs, most)
	require.Greater(t, float64(found)/runs, 0.9)
}
