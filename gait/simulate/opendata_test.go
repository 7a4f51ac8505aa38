package simulate

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/event"
	"setdown/signal/recording"
)

// readColumns reads a CSV of the open recordings; empty cells are NaN, words too.
func readColumns(t *testing.T, path ...string) map[string][]float64 {
	t.Helper()
	root := filepath.Join("..", "..", "..", "shared", "data")
	f, err := os.Open(filepath.Join(append([]string{root}, path...)...))
	if os.IsNotExist(err) {
		if os.Getenv("SETDOWN_DATA") == "required" {
			t.Fatal(err)
		}
		t.Skip("open recordings are not here: ", err)
	}
	require.NoError(t, err)
	defer func() { require.NoError(t, f.Close()) }()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	out := map[string][]float64{}
	for _, row := range rows[1:] {
		for i, s := range row {
			x, err := strconv.ParseFloat(s, 64)
			if err != nil {
				x = math.NaN()
			}
			if s == "right" || s == "left" {
				x = float64(map[string]int{"left": int(recording.Left), "right": int(recording.Right)}[s])
			}
			out[rows[0][i]] = append(out[rows[0][i]], x)
		}
	}
	return out
}

// sizes are the sizes of one recording's strides, as medians.
type sizes struct {
	lowering, pushOff, swing, stillness float64 // rad/s
	impact, swingForce                  float64 // m/s²
	pushOffLead                         float64 // s
}

// stride is a contact for measuring sizes: initial contact, toe-off and the
// contact after.
type stride struct{ ic, to, next float64 }

// median of x, which is sorted in place.
func median(x []float64) float64 {
	slices.Sort(x)
	return x[len(x)/2]
}

// measure takes sizes off a signal: time, toe-down rate and size of acceleration.
func measure(at, rate, force []float64, strides []stride) sizes {
	var c [7][]float64
	for _, s := range strides {
		peak := func(x []float64, from, to, sign float64) (float64, float64) {
			best, when := math.Inf(-1), 0.0
			for i, t := range at {
				if t >= from && t <= to && sign*x[i] > best {
					best, when = sign*x[i], t
				}
			}
			return best, when
		}
		lowering, _ := peak(rate, s.ic, s.ic+0.12, 1)
		push, when := peak(rate, s.to-0.2, s.to+0.05, 1)
		swing, _ := peak(rate, s.to, s.next-0.02, -1)
		impact, _ := peak(force, s.ic-0.01, s.ic+0.07, 1)
		braking, _ := peak(force, s.next-0.2, s.next-0.02, 1)
		middle := s.ic + 0.35*(s.to-s.ic)
		still, _ := peak(rate, middle-0.02, middle+0.02, 1)
		for i, v := range []float64{lowering, push, swing, still, impact, braking, s.to - when} {
			c[i] = append(c[i], v)
		}
	}
	return sizes{median(c[0]), median(c[1]), median(c[2]), median(c[3]), median(c[4]), median(c[5]), median(c[6])}
}

// simulated takes sizes off a simulated left foot.
func simulated(t *testing.T, s Settings) sizes {
	t.Helper()
	r := Run(s)
	var at, rate, force []float64
	require.NoError(t, r.Samples(recording.Left, recording.Foot, func(x Sample) error {
		at, rate = append(at, x.Time), append(rate, x.Gyr[1])
		force = append(force, math.Sqrt(x.Acc[0]*x.Acc[0]+x.Acc[1]*x.Acc[1]+x.Acc[2]*x.Acc[2]))
		return nil
	}))
	var strides []stride
	for _, x := range r.Steps() {
		if x.Side == recording.Left && !x.Edge && !math.IsNaN(x.StrideTime) {
			strides = append(strides, stride{x.InitialContact, x.ToeOff, x.InitialContact + x.StrideTime})
		}
	}
	return measure(at, rate, force, strides)
}

// forces returns the size of the acceleration of every sample.
func forces(foot map[string][]float64) []float64 {
	out := make([]float64, len(foot["t"]))
	for i := range out {
		out[i] = math.Sqrt(foot["ax"][i]*foot["ax"][i] + foot["ay"][i]*foot["ay"][i] + foot["az"][i]*foot["az"][i])
	}
	return out
}

// Walking looks like walking: the sizes of a simulated recording at the cadence
// and speed of an open one (treadmill-walk-feet-shins, Trautmann et al. 2021; one
// healthy man) are those of the real one, within a factor that people differ by.
// The real foot's pitch axis is gx, toe-down positive.
func TestWalkingHasTheSizeOfARealRecording(t *testing.T) {
	foot := readColumns(t, "treadmill-walk-feet-shins", "preferred", "right_foot.csv")
	truth := readColumns(t, "treadmill-walk-feet-shins", "preferred", "truth.csv")
	var strides []stride
	last := -1
	for i, side := range truth["foot"] {
		if side != float64(recording.Right) {
			continue
		}
		if last >= 0 && truth["steady"][i] == 1 && truth["steady"][last] == 1 {
			strides = append(strides, stride{truth["ic_force_s"][last], truth["to_s"][last], truth["ic_force_s"][i]})
		}
		last = i
	}
	real := measure(foot["t"], foot["gx"], forces(foot), strides)
	s := Defaults(event.Walking)
	s.Cadence, s.Speed = 93, 3.7/3.6
	s.Left.ContactTime = 0.64 * 120 / s.Cadence
	s.Left.Foot.Rate, s.Left.Foot.Bandwidth = 128, 50
	compareSizes(t, real, simulated(t, s), 1.5)
	require.InDelta(t, real.pushOffLead, s.Left.PushOffLead, 0.075, "the curtain sees toe-off some 70 ms after the plate")
}

// compareSizes requires every rate and force of the model to be within a factor
// of the real one.
func compareSizes(t *testing.T, real, model sizes, factor float64) {
	t.Helper()
	t.Logf("real  %+v", real)
	t.Logf("model %+v", model)
	for name, pair := range map[string][2]float64{
		"lowering": {real.lowering, model.lowering}, "push-off": {real.pushOff, model.pushOff}, "swing": {real.swing, model.swing},
		"impact": {real.impact, model.impact}, "braking": {real.swingForce, model.swingForce},
	} {
		require.Greater(t, pair[1], pair[0]/factor, name)
		require.Less(t, pair[1], pair[0]*factor, name)
	}
}

// The open running recording (run-one-foot, University of Toronto, doi
// 10.21227/v1z6-9z84) is a slow jog in a small room: stride time 0.785 s, peak
// foot speed 3.3 m/s. The landing set here (strike angle 9°, sink 0.45 m/s,
// contact 0.40 s, push-off 40°) is a guess from the same signal, so that this
// compares shapes: whether one landing gives lowering, push-off, swing and
// impact of the right size together. The real foot's pitch axis is −gy; initial
// contact is 35 ms before the instep comes down, toe-off 0.1 s after it leaves.
func TestJoggingHasTheSizeOfARealRecording(t *testing.T) {
	foot := readColumns(t, "run-one-foot", "a", "foot.csv")
	truth := readColumns(t, "run-one-foot", "a", "truth.csv")
	var strides []stride
	down, leave, quality := truth["down_s"], truth["leave_s"], truth["quality"]
	for i := range len(down) - 1 {
		if quality[i] == 1 && quality[i+1] == 1 && down[i+1]-down[i] < 0.95 {
			strides = append(strides, stride{down[i] - 0.035, leave[i] + 0.1, down[i+1] - 0.035})
		}
	}
	rate := make([]float64, len(foot["t"]))
	for i := range rate {
		rate[i] = -foot["gy"][i]
	}
	s := Defaults(event.Running)
	s.Cadence, s.Speed = 120/0.785, 1.5
	s.Left.ContactTime, s.Left.StrikeAngle, s.Left.PushOffAngle, s.Left.Sink = 0.40, 9*degree, 40*degree, 0.45
	s.Left.PushOffLead, s.Left.PushOffKeep, s.Left.Lift = 0.040, 0.7, 0.06
	s.Left.Foot.Bandwidth = 60
	compareSizes(t, measure(foot["t"], rate, forces(foot), strides), simulated(t, s), 1.9)
}
