package table

import (
	"io"
	"math"

	"setdown/gait"
	"setdown/gait/asymmetry"
	"setdown/gait/session"
	"setdown/gait/step"
	"setdown/signal/recording"
	"setdown/signal/remark"
	"setdown/signal/unit"
)

// Decimals in session.json of numbers that the catalogue does not cover.
const (
	rateDigits    = 4 // Hz
	durationDigit = 4 // s
	cadenceDigits = 2 // steps/min
	percentDigits = 2 // %
	minuteDigits  = 2 // min
	placeDigits   = 4 // s, of a remark
)

// WriteSession writes session.json: the same result gives the same bytes.
func WriteSession(w io.Writer, res *gait.Result) error { return NewDocument(res).Write(w) }

// NewDocument puts a result into the form of session.json: values in the unit
// that their key names, rounded to what is shown and two decimals more.
func NewDocument(res *gait.Result) *Document {
	d := &Document{
		Schema: Schema, Gait: "unknown", Injured: res.Injured.String(),
		Tool:   Tool{"setdown", res.Version, res.Method, res.Seed},
		Inputs: inputs(res.Inputs), Withheld: []Withheld{}, Choices: []Choice{},
		Remarks: remarks(res.Remarks), Landing: landing(res.Asymmetry), WithinRun: withinRun(res.Asymmetry),
	}
	if !res.Start.IsZero() {
		d.Start = &res.Start
	}
	for _, w := range res.Withheld {
		d.Withheld = append(d.Withheld, Withheld(w))
	}
	for _, c := range res.Choices {
		d.Choices = append(d.Choices, Choice(c))
	}
	d.putSession(res)
	return d
}

// putSession fills in what comes from the session in numbers.
func (d *Document) putSession(res *gait.Result) {
	nan := Number(math.NaN())
	d.Cadence = Cadence{StepsPerMinute: nan, Low: nan, High: nan}
	var left, right *session.Side
	if s := res.Session; s != nil {
		per := unit.PerMinute
		d.Gait = s.Gait.String()
		d.Cadence = Cadence{rounded(per.FromBase(s.Cadence.Center), cadenceDigits),
			rounded(per.FromBase(s.Cadence.Low), cadenceDigits),
			rounded(per.FromBase(s.Cadence.High), cadenceDigits), s.Cadence.N, s.Cadence.Method}
		left, right = s.Left, s.Right
	}
	d.Steps = BothSides[*StepCounts]{counts(left), counts(right)}
	d.Sides = BothSides[ByMetric[Estimate]]{measures(left), measures(right)}
	why := missingSide(left, right)
	for _, m := range step.Catalogue() {
		c, ok := res.Asymmetry.Get(m.Key)
		d.Difference = append(d.Difference, Keyed[Estimate]{m.Key, difference(c, ok, m)})
		d.Asymmetry = append(d.Asymmetry, Keyed[Asymmetry]{m.Key, comparison(c, ok, m, why)})
	}
}

// missingSide says why there is no comparison.
func missingSide(left, right *session.Side) string {
	switch {
	case left == nil && right == nil:
		return "no sensor on a foot or shin was recorded"
	case right == nil:
		return "only the left side was recorded"
	case left == nil:
		return "only the right side was recorded"
	}
	return "the sides were not compared in this measure"
}

func inputs(in []gait.Input) []Input {
	out := []Input{}
	for _, i := range in {
		o := Input{Label: i.Label, Side: i.Side.String(), Site: i.Site.String(), RateHz: rounded(i.RateHz, rateDigits),
			Mapping: i.Mapping, Samples: i.Samples, Duration: rounded(i.DurationS, durationDigit),
			Files: []File{}, Units: ByMetric[string]{}}
		for _, f := range i.Files {
			o.Files = append(o.Files, File(f))
		}
		if len(i.Files) > 0 {
			o.Name, o.SHA256 = i.Files[0].Name, i.Files[0].SHA256
		}
		if o.Mapping == nil {
			o.Mapping = []recording.Channel{}
		}
		for _, c := range i.Mapping {
			o.Units = append(o.Units, Keyed[string]{c.Role, c.Unit})
		}
		out = append(out, o)
	}
	return out
}

func counts(s *session.Side) *StepCounts {
	if s == nil {
		return nil
	}
	c := &StepCounts{s.Steps, s.Used, []LeftOut{}, s.Rearfoot, s.Midfoot, s.Forefoot}
	for _, l := range s.LeftOut {
		c.LeftOut = append(c.LeftOut, LeftOut(l))
	}
	return c
}

// measures returns every metric of a side, or nil, which is written as null.
func measures(s *session.Side) ByMetric[Estimate] {
	if s == nil {
		return nil
	}
	var out ByMetric[Estimate]
	for _, m := range step.Catalogue() {
		out = append(out, Keyed[Estimate]{m.Key, shown(s.Get(m.Key).Estimate, m)})
	}
	return out
}

func difference(c asymmetry.Comparison, ok bool, m step.Metric) Estimate {
	if !ok {
		nan := Number(math.NaN())
		return Estimate{Center: nan, Low: nan, High: nan}
	}
	return shown(c.Difference, m)
}

func comparison(c asymmetry.Comparison, ok bool, m step.Metric, why string) Asymmetry {
	nan := Number(math.NaN())
	a := Asymmetry{SymmetryIndexPercent: nan, LogRatioPercent: nan, Floor: nan, Because: why}
	if !ok {
		a.Verdict = verdict(asymmetry.CannotTell, m)
		return a
	}
	a.DifferenceOf, a.Because, a.Verdict = c.DifferenceOf, c.Because, verdict(c.Verdict, m)
	a.SymmetryIndexPercent = rounded(c.SymmetryIndexPercent, percentDigits)
	a.LogRatioPercent = rounded(c.LogRatioPercent, percentDigits)
	a.Floor, a.FloorFrom = rounded(ColumnUnit(m).FromBase(c.Floor), fileDigits(m)), text(c.FloorFrom)
	if c.HasInterval {
		a.ExcludesZero = &c.ExcludesZero
	}
	if !math.IsNaN(c.ByLanding.Center) && c.ByLanding.N > 0 {
		e := shown(c.ByLanding, m)
		a.ExplainedByLanding = &e
	}
	a.ExplainedByLandingBecause = text(c.ByLandingBecause)
	return a
}

// verdict returns the word, or nil for a measure that never has one.
func verdict(v asymmetry.Verdict, m step.Metric) *string {
	if !m.Verdict {
		v = asymmetry.NoVerdict
	}
	return text(v.String())
}

func landing(r *asymmetry.Result) Landing {
	if r == nil {
		return Landing{}
	}
	return Landing{&r.LandDifferently, text(r.LandingNote)}
}

func withinRun(r *asymmetry.Result) WithinRun {
	w := WithinRun{[]Drift{}, []Change{}}
	if r == nil {
		return w
	}
	for _, d := range r.Drifts {
		w.Drift = append(w.Drift, Drift{d.Key, d.Side.String(), shown(d.Difference, step.Find(d.Key)),
			rounded(d.FirstMinute, minuteDigits), rounded(d.LastMinute, minuteDigits)})
	}
	for _, c := range r.Changes {
		o := Change{c.Key, c.Side.String(), c.Found, rounded(c.Minute, minuteDigits),
			rounded(c.Low, minuteDigits), rounded(c.High, minuteDigits), c.Because}
		if !c.Found {
			nan := Number(math.NaN())
			o.Minute, o.Low, o.High = nan, nan, nan
		}
		w.Change = append(w.Change, o)
	}
	return w
}

func remarks(in []remark.Remark) []Remark {
	out := []Remark{}
	for _, r := range in {
		o := Remark{r.Code, r.Level.String(), text(r.Place.File), nil,
			rounded(r.Place.Time, placeDigits), r.Count, r.Text}
		if r.Place.Line > 0 {
			o.Line = &r.Place.Line
		}
		out = append(out, o)
	}
	return out
}

// text returns nil, written as null, for an empty text.
func text(s string) *string {
	if s == "" {
		return nil
	}
	return &s
}
