package recording_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
)

func newRand() *rand.Rand { return rand.New(rand.NewPCG(1, 2)) }

// randomNumber makes a decimal of one of several kinds: what sensors write, 17
// digits, exponents, subnormals, and ties between two floats.
func randomNumber(r *rand.Rand) string {
	switch r.IntN(6) {
	case 0:
		return strconv.FormatFloat(r.NormFloat64()*20, 'f', r.IntN(9), 64)
	case 1:
		return strconv.FormatFloat(math.Float64frombits(r.Uint64()&^(1<<62)), 'g', 17, 64)
	case 2:
		return fmt.Sprintf("%d.%0*de%d", r.IntN(10), 1+r.IntN(16), r.IntN(1000), r.IntN(60)-30)
	case 3:
		return strconv.FormatFloat(math.Float64frombits(r.Uint64()&(1<<52-1)), 'g', -1, 64)
	case 4:
		// Half way between two whole floats above 2^53.
		return fmt.Sprint(uint64(1)<<53 + 2*uint64(r.IntN(1000)) + 1)
	}
	return fmt.Sprintf("%d.%018d", r.IntN(100), r.Uint64()%1e18)
}
