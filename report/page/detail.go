package page

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"setdown/gait"
	"setdown/gait/asymmetry"
	"setdown/gait/step"
	"setdown/signal/recording"
	"setdown/signal/remark"
)

// drift is one line of "first third against last third".
type drift struct{ Label, Side, Unit, Change, Interval, Minutes, Word string }

// fillWithinRun words the drifts and the changes along the session.
func (v *view) fillWithinRun(res *gait.Result) {
	if res.Asymmetry == nil {
		return
	}
	for _, d := range res.Asymmetry.Drifts {
		m := step.Find(d.Key)
		word := "not shown"
		if e := d.Difference; e.HasInterval() && (e.Low > 0 || e.High < 0) {
			word = "changed"
		}
		v.Drifts = append(v.Drifts, drift{m.Label, d.Side.String(), symbol(m.Unit), signed(number(m, d.Difference.Center)),
			interval(m, d.Difference, signed), fmt.Sprintf("%.1f to %.1f", d.FirstMinute, d.LastMinute), word})
	}
	for _, c := range res.Asymmetry.Changes {
		v.Changes = append(v.Changes, changeWords(c))
	}
}

func changeWords(c asymmetry.Change) string {
	what := fmt.Sprintf("%s, %s foot: ", step.Find(c.Key).Label, c.Side)
	if !c.Found {
		if c.Because == "" {
			return what + "no change along the session was shown."
		}
		return what + sentence(c.Because)
	}
	text := what + fmt.Sprintf("began to change at about minute %.1f", c.Minute)
	if !math.IsNaN(c.Low + c.High) {
		text += fmt.Sprintf(" (95 %% interval %.1f to %.1f)", c.Low, c.High)
	}
	if c.Because != "" {
		text += "; " + c.Because
	}
	return sentence(text)
}

// fillLanding says where the feet land in different ways and why it matters.
func (v *view) fillLanding(res *gait.Result) {
	a := res.Asymmetry
	if a == nil || (!a.LandDifferently && a.LandingNote == "") {
		return
	}
	if a.LandDifferently {
		v.Landing = append(v.Landing, "The heel lands first in a different share of steps on each side. Lowering is measured on heel-first steps only, so the sides' steps are not of the same kind and no verdict is given on lowering.")
	} else {
		v.Landing = append(v.Landing, sentence(a.LandingNote))
	}
	v.Landing = append(v.Landing, LandingCaution)
}

// remarkRow is one remark with its place.
type remarkRow struct{ Level, Place, Count, Text string }

// maxRemarks is how many remarks the page lists; the rest are in session.json.
const maxRemarks = 200

func remarkRows(in []remark.Remark) (rows []remarkRow, more int) {
	for i, r := range in {
		if i == maxRemarks {
			return rows, len(in) - maxRemarks
		}
		count := ""
		if r.Count > 1 {
			count = strconv.Itoa(r.Count) + " times, first here"
		}
		rows = append(rows, remarkRow{r.Level.String(), r.Place.String(), count, sentence(r.Text)})
	}
	return rows, 0
}

// inputRow is one sensor's recording.
type inputRow struct {
	Label, Sensor, Rate, Length string
	Files                       []fact
	Columns                     []columnRow
}

// columnRow says how one column was read.
type columnRow struct{ Column, Role, Unit, Check string }

func inputRows(in []gait.Input) []inputRow {
	var out []inputRow
	for _, i := range in {
		r := inputRow{Label: i.Label, Sensor: sensorWords(i.Side, i.Site),
			Rate:   fmt.Sprintf("%.4g Hz", i.RateHz),
			Length: fmt.Sprintf("%.1f s, %d samples", i.DurationS, i.Samples)}
		for _, f := range i.Files {
			r.Files = append(r.Files, fact{f.Name, f.SHA256})
		}
		for _, c := range i.Mapping {
			r.Columns = append(r.Columns, columnRow{c.Name, c.Role, unitWords(c), c.Check})
		}
		out = append(out, r)
	}
	return out
}

func sensorWords(side recording.Side, site recording.Site) string {
	words := site.String()
	if side != recording.SideUnknown {
		words = side.String() + " " + words
	}
	if site == recording.SiteUnknown {
		words += " place"
	}
	return words
}

func unitWords(c recording.Channel) string {
	if c.UnitFrom == "" || c.Unit == "" {
		return c.Unit
	}
	return c.Unit + " (" + c.UnitFrom + ")"
}

// methods names, for each way in which centres and intervals were made, the
// measures that it made.
func methods(res *gait.Result) []fact {
	var out methodList
	for _, m := range step.Catalogue() {
		made := map[string]bool{}
		for _, side := range sidesInOrder(res) {
			made[res.Session.Of(side).Get(m.Key).Method] = true
		}
		for _, side := range sidesInOrder(res) {
			label := strings.ToLower(m.Label)
			if len(made) > 1 {
				label += " (" + side.String() + ")"
			}
			out.add("Middle value and interval of", label, res.Session.Of(side).Get(m.Key).Method)
		}
	}
	for _, m := range step.Catalogue() {
		if c, ok := res.Asymmetry.Get(m.Key); ok {
			out.add("Difference in", strings.ToLower(m.Label), c.Difference.Method)
			if m.Lowering {
				out.add("Part explained by landing of", strings.ToLower(m.Label), c.ByLanding.Method)
			}
		}
	}
	return out
}

// methodList holds, for each method, the measures that it made.
type methodList []fact

// add enters a measure beside the others of the same method, once; no method is none.
func (l *methodList) add(what, label, method string) {
	if method == "" {
		return
	}
	for i := range *l {
		f := &(*l)[i]
		if f.Value != sentence(method) || !strings.HasPrefix(f.Name, what) {
			continue
		}
		if !strings.Contains(f.Name+",", " "+label+",") {
			f.Name += ", " + label
		}
		return
	}
	*l = append(*l, fact{what + " " + label, sentence(method)})
}
