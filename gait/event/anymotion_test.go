package event

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/signal/orient"
)

// anyMotion is a foot that turns at random for a minute: small turns and large ones
// about all three axes, slow ones about one, and rests, with the gravity that a
// rigid body feels.
func anyMotion(seed uint64) *track {
	const rate = 100
	r := rand.New(rand.NewPCG(seed, 3))
	var list [3][]turn
	for sum := 0.0; sum < 60; {
		seconds := 0.05 + 0.3*r.Float64()
		kind := r.IntN(5)
		for a := range list {
			l := turn{0, seconds}
			switch {
			case kind <= 2 && a == 1:
				l.angle = (2*r.Float64() - 1) * 2 * seconds
			case kind > 3:
				u := 2*r.Float64() - 1
				l.angle = u * u * u * 40 * degree
			}
			list[a] = append(list[a], l)
		}
		sum += seconds
	}
	k := trackOf(rate, stand(59))
	for a := range list {
		k.gyr[a] = turns(rate, list[a]...)[:59*rate]
	}
	q := orient.Identity()
	for i := range k.void {
		g := q.Conj().Rotate([3]float64{0, 0, 9.81})
		for a := range 3 {
			k.acc[a][i] = g[a] + 0.2*r.NormFloat64()
		}
		q = q.Step([3]float64{k.gyr[0][i], k.gyr[1][i], k.gyr[2][i]}, 1.0/rate)
	}
	return k
}

// Whatever moves, a window's swing comes to its end inside the window, before the
// next begins, and events can be looked for in it.
func TestAnyMotionGivesSoundWindows(t *testing.T) {
	windows := 0
	for seed := range uint64(200) {
		k := anyMotion(seed)
		usual := MeasureSwings(k.rate, k.gyr[1])
		d := NewDetector(upright(), k.rate, usual, func(w *Window) {
			windows++
			require.GreaterOrEqual(t, w.Swing, 0, "seed %d", seed)
			require.GreaterOrEqual(t, w.UpEnd, w.Swing, "seed %d", seed)
			require.Less(t, w.UpEnd, w.Len(), "seed %d", seed)
			if w.DownEnd >= 0 {
				require.Less(t, w.DownEnd, w.Len(), "seed %d", seed)
				require.GreaterOrEqual(t, w.NextSwing, w.DownEnd, "seed %d", seed)
			}
			require.NotPanics(t, func() { Find(w, Landings{}, nil) }, "seed %d", seed)
		})
		d.Push(k.block(0, 0, len(k.void), 0))
		d.Flush()
	}
	require.Greater(t, windows, 500)
}
