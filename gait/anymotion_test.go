package gait

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/signal/orient"
	"setdown/signal/recording"
)

// anyMotion is the file of a sensor that turns at random for 40 s: small turns and
// large ones about all axes or one, slow ones, and rests, with the gravity that a
// rigid body feels, knocks, and holes.
func anyMotion(r *rand.Rand, rate float64) []byte {
	var b bytes.Buffer
	fmt.Fprintln(&b, "time_s,acc_x_m_s2,acc_y_m_s2,acc_z_m_s2,gyr_x_rad_s,gyr_y_rad_s,gyr_z_rad_s")
	q := orient.Quaternion{W: r.NormFloat64(), X: r.NormFloat64(), Y: r.NormFloat64(), Z: r.NormFloat64()}.Unit()
	slow := r.Float64() * 0.6
	for t := 0.0; t < 40; {
		d := 0.05 + 0.3*r.Float64()
		angle := anyTurn(r, slow, d)
		n := int(d*rate + 0.5)
		for j := range n {
			x := (float64(j) + 0.5) / float64(n)
			var w [3]float64
			for a := range 3 {
				w[a] = angle[a] * math.Pi / 2 / d * math.Sin(math.Pi*x)
			}
			g := q.Conj().Rotate([3]float64{0, 0, 9.81})
			knock := 0.0
			if r.IntN(150) == 0 {
				knock = 60 * r.Float64()
			}
			fmt.Fprintf(&b, "%.4f,%.3f,%.3f,%.3f,%.4f,%.4f,%.4f\n", t+float64(j)/rate,
				g[0]+knock+0.1*r.NormFloat64(), g[1]+0.1*r.NormFloat64(), g[2]+knock+0.1*r.NormFloat64(), w[0], w[1], w[2])
			q = q.Step(w, 1/rate)
			if r.IntN(400) == 0 {
				t += float64(r.IntN(40)) / rate
			}
		}
		t += float64(n) / rate
	}
	return b.Bytes()
}

// anyTurn draws the turn of the next d s, rad; slow is the share of slow ones.
func anyTurn(r *rand.Rand, slow, d float64) (angle [3]float64) {
	switch kind := r.Float64(); {
	case kind < slow:
		angle[1] = (2*r.Float64() - 1) * 2 * d
	case kind < slow+0.2:
	default:
		for a := range 3 {
			u := 2*r.Float64() - 1
			angle[a] = u * u * u * 70 * math.Pi / 180
		}
		if r.IntN(2) == 0 {
			angle[0], angle[2] = 0, 0
		}
	}
	return angle
}

// Whatever a sensor was tied to, its files are read or refused.
func TestAnyMotionIsReadOrRefused(t *testing.T) {
	read := 0
	for i, failed := range parallel(effort(5000, 150, 30), func(i int) (failed string) {
		r := rand.New(rand.NewPCG(uint64(i), 9))
		rate := []float64{50, 100, 128, 200, 400}[r.IntN(5)]
		site := []string{"foot", "foot", "shin"}[r.IntN(3)]
		left, right := anyMotion(r, rate), anyMotion(r, rate)
		defer func() {
			if e := recover(); e != nil {
				failed = fmt.Sprint(e)
			}
		}()
		set, err := recording.Open(t.Context(), []recording.Source{
			recording.Bytes("left_"+site+".csv", left, recording.Left), recording.Bytes("right_"+site+".csv", right, recording.Right)}, recording.Options{})
		if err != nil {
			return "not read: " + err.Error()
		}
		if res, err := Analyze(t.Context(), set, Settings{Seed: 1, Curves: 20, Excerpt: 5}); err == nil && len(res.Steps) > 0 {
			return ""
		}
		return "no steps"
	}) {
		if failed == "" {
			read++
		} else {
			require.Equal(t, "no steps", failed, "seed %d", i)
		}
	}
	require.Positive(t, read)
}
