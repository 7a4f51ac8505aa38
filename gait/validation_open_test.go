package gait

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"setdown/gait/estimate"
	"setdown/gait/event"
	"setdown/gait/step"
)

// openChapter shows the recordings with an outside truth. Their limits are
// asserted in opendata_test.go and shin_test.go; here they are printed beside
// each other.
func openChapter(t testing.TB, c *chapter) {
	c.title = "Open recordings with an outside truth"
	dir := openData(t)
	c.printf("Read from `../shared/data` (see its README for sources, licences and what each truth is worth). These recordings were looked\n" +
		"at while detection was written; others of the same sets were not.\n\n")
	c.treadmill(t, dir)
	c.corridor(t, dir)
	c.oneFoot(t, dir)
	c.printf("Cadence from waist and phone (treadmill-run-sacrum, walk-phone) is shown in docs/cadence.md.\n\n")
}

// treadmill: one constant per sensor file is removed, because the sensors were
// re-aligned by waveform; a standard deviation does that.
func (c *chapter) treadmill(t testing.TB, dir string) {
	c.printf("**treadmill-walk-feet-shins** (Trautmann et al. 2021): one man, two speeds, 128 Hz; initial contact and contact time against the\n" +
		"pressure plate, toe-off and foot-flat against the light curtain. SD after one constant per file, ms. Plate and curtain\n" +
		"themselves differ by 9–14 ms SD in initial contact.\n\n" +
		"| | side | contacts | missed | invented | initial contact | toe-off | contact time | foot-flat (no limit) | shin, initial contact |\n|---|---|---:|---:|---:|---:|---:|---:|---:|---:|\n")
	for _, trial := range []string{"preferred", "slow"} {
		folder := filepath.Join(dir, "treadmill-walk-feet-shins", trial)
		feet := analyzeOpen(t, folder, "left_foot.csv", "right_foot.csv")
		shins := analyzeOpen(t, folder, "left_shank.csv", "right_shank.csv")
		for _, side := range []string{"left", "right"} {
			ref, ic := steadyRows(t, folder, side)
			steps, contacts := sideSteps(feet, side)
			m := event.Match(ic, contacts, 0.2)
			extra := between(m.Extra, contacts, ic)
			sd := func(column string, v func(*step.Step) float64) float64 {
				return estimate.SD(errorsOf(m.Pairs, ref, column, steps, v))
			}
			a := sd("ic_force_s", func(s *step.Step) float64 { return s.InitialContact })
			b := sd("to_s", func(s *step.Step) float64 { return s.ToeOff })
			d := sd("contact", func(s *step.Step) float64 { return s.ContactTime })
			f := sd("ff_s", func(s *step.Step) float64 { return s.FootFlat })
			shin := shinSpread(shins, ref, side)
			c.printf("| %s | %s | %d | %d | %d | %.1f | %.1f | %.1f | %.1f | %.1f |\n", trial, side, len(ic), len(m.Missed), extra, a, b, d, f, shin)
			name := ", " + trial + " " + side
			c.must("treadmill walk: steady contacts missed or invented"+name, "none", len(m.Missed)+extra == 0, "%d", len(m.Missed)+extra)
			c.at("treadmill walk: initial contact, SD"+name, a, 6, "%.1f", "ms")
			c.at("treadmill walk: toe-off, SD"+name, b, 6, "%.1f", "ms")
			c.at("treadmill walk: contact time, SD"+name, d, 10, "%.1f", "ms")
			c.at("treadmill walk: initial contact of the shin, SD"+name, shin, 8, "%.1f", "ms")
		}
	}
	c.printf("\n")
}

// steadyRows are the steady reference contacts of one foot.
func steadyRows(t testing.TB, folder, side string) (ref []reference, ic []float64) {
	for _, r := range readReference(t, filepath.Join(folder, "truth.csv")) {
		if r.foot == side && r.at["steady"] == 1 {
			r.at["contact"] = r.at["to_force_s"] - r.at["ic_force_s"]
			ref, ic = append(ref, r), append(ic, r.at["ic_s"])
		}
	}
	return ref, ic
}

// between counts events between the first and last reference event.
func between(extra []int, detected, reference []float64) (n int) {
	for _, i := range extra {
		if detected[i] > reference[0] && detected[i] < reference[len(reference)-1] {
			n++
		}
	}
	return n
}

// shinSpread is the SD of a shin's initial contacts against the plate, ms.
func shinSpread(res *Result, ref []reference, side string) float64 {
	_, contacts := sideSteps(res, side)
	var plate []float64
	for _, r := range ref {
		plate = append(plate, r.at["ic_force_s"])
	}
	c := constantOf(plate, contacts)
	var errs []float64
	for _, p := range event.Match(plate, shifted(contacts, c), 0.1).Pairs {
		errs = append(errs, 1e3*(contacts[p[1]]-plate[p[0]]))
	}
	return estimate.SD(errs)
}

// corridor: contacts found on these signals and checked by hand on a 10 ms grid.
func (c *chapter) corridor(t testing.TB, dir string) {
	folders, err := filepath.Glob(filepath.Join(dir, "corridor-walk-feet-back", "*"))
	require.NoError(t, err)
	require.NotEmpty(t, folders)
	const tolerance = 0.05
	c.printf("**corridor-walk-feet-back** (Voisard et al. 2023): %d walks of 10 m, a turn, 10 m; 100 Hz with lost packets; within %.0f ms. A contact\n"+
		"that setdown has and the reference has not is counted to the part nearest to it.\n\n| | contacts | found | missed | invented | F1 |\n|---|---:|---:|---:|---:|---:|\n", len(folders), 1e3*tolerance)
	type sum struct{ found, missed, extra, resting int }
	parts := map[string]*sum{"straight": {}, "turn": {}}
	var worst []string
	for _, folder := range folders {
		res := analyzeOpen(t, folder, "left_foot.csv", "right_foot.csv")
		bad := 0
		for _, side := range []string{"left", "right"} {
			ic, part := corridorRows(t, folder, side)
			_, contacts := sideSteps(res, side)
			m := event.Match(ic, contacts, tolerance)
			for _, p := range m.Pairs {
				parts[part[p[0]]].found++
			}
			motion := motionOf(t, filepath.Join(folder, side+"_foot.csv"))
			for _, i := range m.Missed {
				parts[part[i]].missed++
				parts[part[i]].resting += b2i(motion.restsAround(ic[i]))
			}
			for _, i := range m.Extra {
				parts[part[nearest(ic, contacts[i])]].extra++
			}
			bad += len(m.Missed) + len(m.Extra)
		}
		worst = append(worst, fmt.Sprintf("%s %d", filepath.Base(folder), bad))
	}
	for _, name := range []string{"straight", "turn"} {
		p := parts[name]
		f1 := 2 * float64(p.found) / float64(2*p.found+p.missed+p.extra)
		c.printf("| %s | %d | %d | %d | %d | %.3f |\n", name, p.found+p.missed, p.found, p.missed, p.extra, f1)
		least := map[string]float64{"straight": 0.99, "turn": 0.93}[name]
		c.goal("corridor walk: F1, "+name, fmt.Sprintf("≥ %.2f", least), f1 >= least, "%.3f", f1)
	}
	c.printf("\nMissed and invented by walk: %s. At %d of the straight labels that were missed the foot lies still on the ground (less than\n"+
		"0.7 rad/s and within 1 m/s² of gravity) for a tenth of a second on both sides: they cannot be contacts, but are counted above.\n\n",
		strings.Join(worst, ", "), parts["straight"].resting)
}

func corridorRows(t testing.TB, folder, side string) (ic []float64, part []string) {
	for _, r := range readReference(t, filepath.Join(folder, "truth.csv")) {
		if r.foot == side && !math.IsNaN(r.at["ic_s"]) {
			ic, part = append(ic, r.at["ic_s"]), append(part, r.part)
		}
	}
	return ic, part
}

func nearest(x []float64, v float64) (at int) {
	for i := range x {
		if math.Abs(x[i]-v) < math.Abs(x[at]-v) {
			at = i
		}
	}
	return at
}

// oneFoot: an optical system saw the instep come down, which is after initial
// contact.
func (c *chapter) oneFoot(t testing.TB, dir string) {
	c.printf("**run-one-foot** (University of Toronto, doi 10.21227/v1z6-9z84): running in a laboratory, 200 Hz, the gyroscope clips near 9 rad/s.\n\n" +
		"| trial | clean foot-downs | found | initial contact before foot-down, median, ms | SD, ms | strides | strides of the reference |\n|---|---:|---:|---:|---:|---:|---:|\n")
	for _, trial := range []string{"a", "b"} {
		folder := filepath.Join(dir, "run-one-foot", trial)
		res := analyzeOpen(t, folder, "foot.csv")
		const usual = 0.03 // the middle of what the reference's README says, s
		var down []float64
		for _, r := range readReference(t, filepath.Join(folder, "truth.csv")) {
			if r.at["quality"] == 1 {
				down = append(down, r.at["down_s"]-usual)
			}
		}
		_, contacts := sideSteps(res, "unknown")
		m := event.Match(down, contacts, 0.1)
		var lead []float64
		for _, p := range m.Pairs {
			lead = append(lead, 1e3*(down[p[0]]+usual-contacts[p[1]]))
		}
		var meta struct {
			Strides int `json:"strides"`
		}
		raw, err := os.ReadFile(filepath.Join(folder, "meta.json"))
		require.NoError(t, err)
		require.NoError(t, json.Unmarshal(raw, &meta))
		c.printf("| %s | %d | %d | %.0f | %.0f | %d | %d |\n", trial, len(down), len(m.Pairs), estimate.Median(lead), estimate.SD(lead), len(contacts), meta.Strides)
		c.must("run, one foot: clean foot-downs found, "+trial, "all", len(m.Missed) == 0, "%d of %d", len(m.Pairs), len(down))
		med := estimate.Median(lead)
		c.goal("run, one foot: initial contact before foot-down, "+trial, "0–70 ms", med >= 0 && med <= 70, "%.0f ms", med)
		c.goal("run, one foot: strides, "+trial, "within 2", math.Abs(float64(len(contacts)-meta.Strides)) <= 2, "%d against %d", len(contacts), meta.Strides)
	}
	c.printf("\n")
}
