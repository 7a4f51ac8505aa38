package gait

import (
	"context"
	"encoding/csv"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/estimate"
	"setdown/gait/event"
	"setdown/gait/step"
	"setdown/signal/recording"
	"setdown/signal/unit"
)

// openData returns the folder of the open recordings (see its README for
// sources and licences), or skips.
func openData(t testing.TB) string {
	dir := filepath.Join("..", "..", "shared", "data")
	if _, err := os.Stat(dir); err != nil {
		if os.Getenv("SETDOWN_DATA") == "required" {
			t.Fatal("the open recordings are missing: ", dir)
		}
		t.Skip("the open recordings are not here: ", dir)
	}
	return dir
}

// analyzeOpen analyses the foot files of one folder.
func analyzeOpen(t testing.TB, dir string, names ...string) *Result {
	var sources []recording.Source
	for _, n := range names {
		sources = append(sources, recording.File(filepath.Join(dir, n), recording.SideUnknown))
	}
	set, err := recording.Open(context.Background(), sources, recording.Options{})
	require.NoError(t, err)
	res, err := Analyze(context.Background(), set, Settings{Seed: 1})
	require.NoError(t, err)
	return res
}

// reference is one row of a truth.csv: the foot or part it belongs to, and its
// numbers; NaN where a cell is empty.
type reference struct {
	foot, part string
	at         map[string]float64
}

func readReference(t testing.TB, path string) []reference {
	f, err := os.Open(path)
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	var out []reference
	for _, row := range rows[1:] {
		r := reference{at: map[string]float64{}}
		for k, heading := range rows[0] {
			switch heading {
			case "foot":
				r.foot = row[k]
			case "part":
				r.part = row[k]
			default:
				v, err := strconv.ParseFloat(row[k], 64)
				if err != nil {
					v = math.NaN()
				}
				r.at[heading] = v
			}
		}
		out = append(out, r)
	}
	return out
}

// sideSteps returns the steps of one foot.
func sideSteps(res *Result, side string) (steps []step.Step, contacts []float64) {
	for _, s := range res.Steps {
		if s.Side.String() == side {
			steps, contacts = append(steps, s), append(contacts, s.InitialContact)
		}
	}
	return steps, contacts
}

// errorsOf returns detected − reference, ms, over matched pairs where both
// exist.
func errorsOf(pairs [][2]int, ref []reference, column string, steps []step.Step, value func(*step.Step) float64) []float64 {
	var out []float64
	for _, p := range pairs {
		if e := value(&steps[p[1]]) - ref[p[0]].at[column]; !math.IsNaN(e) {
			out = append(out, 1e3*e)
		}
	}
	return out
}

// The treadmill walks (Trautmann et al. 2021, doi 10.3390/data6090095): pressure
// plate for initial contact and contact time, light curtain for toe-off. The
// sensors were re-aligned by waveform, so one constant per file is removed: a
// standard deviation does that.
func TestTreadmillWalk(t *testing.T) {
	dir := openData(t)
	for _, trial := range []string{"preferred", "slow"} {
		folder := filepath.Join(dir, "treadmill-walk-feet-shins", trial)
		res := analyzeOpen(t, folder, "left_foot.csv", "right_foot.csv")
		var all []float64
		for _, side := range []string{"left", "right"} {
			var ref []reference
			var ic []float64
			for _, r := range readReference(t, filepath.Join(folder, "truth.csv")) {
				if r.foot == side && r.at["steady"] == 1 {
					r.at["contact"] = r.at["to_force_s"] - r.at["ic_force_s"]
					ref, ic = append(ref, r), append(ic, r.at["ic_s"])
				}
			}
			steps, contacts := sideSteps(res, side)
			m := event.Match(ic, contacts, 0.2)
			extra := 0
			for _, i := range m.Extra {
				if contacts[i] > ic[0] && contacts[i] < ic[len(ic)-1] {
					extra++
				}
			}
			require.Empty(t, m.Missed, "%s %s: contacts missed", trial, side)
			require.Zero(t, extra, "%s %s: contacts invented", trial, side)
			icErr := errorsOf(m.Pairs, ref, "ic_force_s", steps, func(s *step.Step) float64 { return s.InitialContact })
			toErr := errorsOf(m.Pairs, ref, "to_s", steps, func(s *step.Step) float64 { return s.ToeOff })
			ctErr := errorsOf(m.Pairs, ref, "contact", steps, func(s *step.Step) float64 { return s.ContactTime })
			ffErr := errorsOf(m.Pairs, ref, "ff_s", steps, func(s *step.Step) float64 { return s.FootFlat })
			t.Logf("%s %s: %d contacts, SD IC %.1f, TO %.1f, contact time %.1f, foot-flat %.1f ms", trial, side, len(m.Pairs),
				estimate.SD(icErr), estimate.SD(toErr), estimate.SD(ctErr), estimate.SD(ffErr))
			require.LessOrEqual(t, estimate.SD(icErr), 6.0, "%s %s: initial contact", trial, side)
			require.LessOrEqual(t, estimate.SD(toErr), 6.0, "%s %s: toe-off", trial, side)
			require.LessOrEqual(t, estimate.SD(ctErr), 10.0, "%s %s: contact time", trial, side)
			for i := 1; i < len(ic); i++ {
				all = append(all, ic[i]-ic[i-1])
			}
		}
		// meta.json gives the cadence of the whole trial, of which the file holds
		// 40 s; the reference contacts inside those 40 s are the fair reference.
		require.InDelta(t, 120/estimate.Mean(all), 60*res.Session.Cadence.Center, 0.5, "%s: cadence", trial)
	}
}

// The corridor walks (Voisard et al., IPOL 2023 art. 497): contacts found on
// these signals and checked by hand on a 10 ms grid, with lost packets.
const corridorTolerance = 0.06

func TestCorridorWalk(t *testing.T) {
	dir := openData(t)
	folders, err := filepath.Glob(filepath.Join(dir, "corridor-walk-feet-back", "*"))
	require.NoError(t, err)
	require.NotEmpty(t, folders)
	found, all := map[string]int{}, map[string]int{}
	extra, resting := 0, 0
	for _, folder := range folders {
		res := analyzeOpen(t, folder, "left_foot.csv", "right_foot.csv")
		rows := readReference(t, filepath.Join(folder, "truth.csv"))
		for _, side := range []string{"left", "right"} {
			var ic []float64
			var part []string
			for _, r := range rows {
				if r.foot == side && !math.IsNaN(r.at["ic_s"]) {
					ic, part = append(ic, r.at["ic_s"]), append(part, r.part)
				}
			}
			_, contacts := sideSteps(res, side)
			m := event.Match(ic, contacts, corridorTolerance)
			extra += len(m.Extra)
			for _, p := range m.Pairs {
				found[part[p[0]]]++
			}
			for i := range ic {
				all[part[i]]++
			}
			motion := motionOf(t, filepath.Join(folder, side+"_foot.csv"))
			for _, i := range m.Missed {
				if part[i] == "straight" && motion.restsAround(ic[i]) {
					resting++
				}
				near := math.Inf(1)
				for _, c := range contacts {
					if math.Abs(c-ic[i]) < math.Abs(near) {
						near = c - ic[i]
					}
				}
				t.Logf("%s %s %s: missed %.2f s, nearest %+.0f ms", filepath.Base(folder), side, part[i], ic[i], near*1e3)
			}
		}
	}
	t.Logf("straight %d of %d, turn %d of %d, extra %d", found["straight"], all["straight"], found["turn"], all["turn"], extra)
	t.Logf("of the straight labels missed, at %d the foot rests: %.1f %% of the others are found",
		resting, 100*float64(found["straight"])/float64(all["straight"]-resting))
	require.GreaterOrEqual(t, float64(found["straight"])/float64(all["straight"]), 0.96)
	require.GreaterOrEqual(t, float64(found["straight"])/float64(all["straight"]-resting), 0.97)
}

// motion is a sensor file in its own axes: s, size of the turning in rad/s, size
// of the specific force in m/s².
type motion struct{ at, turn, force []float64 }

func motionOf(t testing.TB, path string) motion {
	f, err := os.Open(path)
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	require.Equal(t, []string{"t", "ax", "ay", "az", "gx", "gy", "gz"}, rows[0])
	var m motion
	for _, row := range rows[1:] {
		var v [7]float64
		for i := range v {
			v[i], err = strconv.ParseFloat(row[i], 64)
			require.NoError(t, err)
		}
		m.at = append(m.at, v[0])
		m.force = append(m.force, math.Hypot(math.Hypot(v[1], v[2]), v[3]))
		m.turn = append(m.turn, math.Hypot(math.Hypot(v[4], v[5]), v[6]))
	}
	return m
}

// restsAround tells a label that cannot be a contact: for a tenth of a second on
// both sides of it the foot lies still on the ground. Own choice of limits; the
// raw signals decide, not what the detector makes of them.
func (m motion) restsAround(label float64) bool {
	const around, stillTurn, stillForce = 0.1, 0.7, 1.0 // s, rad/s, m/s²
	for i, at := range m.at {
		if math.Abs(at-label) <= around && (m.turn[i] > stillTurn || math.Abs(m.force[i]-unit.StandardGravity) > stillForce) {
			return false
		}
	}
	return true
}

// The laboratory runs (University of Toronto, doi 10.21227/v1z6-9z84): an
// optical system saw the instep come down, which is after initial contact.
func TestRunOneFoot(t *testing.T) {
	dir := openData(t)
	for _, trial := range []string{"a", "b"} {
		folder := filepath.Join(dir, "run-one-foot", trial)
		res := analyzeOpen(t, folder, "foot.csv")
		var down []float64
		for _, r := range readReference(t, filepath.Join(folder, "truth.csv")) {
			if r.at["quality"] == 1 {
				down = append(down, r.at["down_s"]-0.03)
			}
		}
		steps, contacts := sideSteps(res, "unknown")
		m := event.Match(down, contacts, 0.1)
		var lead []float64
		for _, p := range m.Pairs {
			lead = append(lead, 1e3*(down[p[0]]+0.03-contacts[p[1]]))
		}
		var meta struct {
			Strides int `json:"strides"`
		}
		raw, err := os.ReadFile(filepath.Join(folder, "meta.json"))
		require.NoError(t, err)
		require.NoError(t, json.Unmarshal(raw, &meta))
		t.Logf("%s: %d of %d clean foot-downs, initial contact %.0f ms before (SD %.0f), %d steps (%d strides)",
			trial, len(m.Pairs), len(down), estimate.Median(lead), estimate.SD(lead), len(res.Steps), meta.Strides)
		require.Empty(t, m.Missed, "%s: clean foot-downs missed", trial)
		require.GreaterOrEqual(t, estimate.Median(lead), 0.0)
		require.LessOrEqual(t, estimate.Median(lead), 70.0)
		require.Greater(t, slices.Min(lead), 0.0, "%s: an instep cannot come down before the foot has touched", trial)
		for _, s := range steps {
			require.Equal(t, event.Running, s.Gait, "%s: at %.2f s", trial, s.InitialContact)
		}
		require.InDelta(t, meta.Strides, len(res.Steps), 2, "%s: strides", trial)
		clipped := false
		for _, r := range res.Remarks {
			clipped = clipped || r.Code == "clipped-gyr" || r.Code == "clip-gyr" || r.Code == "clipping"
		}
		t.Log(res.Remarks)
		require.True(t, clipped, "%s: the clipped gyroscope is not remarked", trial)
	}
}
