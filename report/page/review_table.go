package page

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"setdown/gait/asymmetry"
	"setdown/gait/diary"
	"setdown/gait/recovery"
	"setdown/gait/step"
	"setdown/signal/recording"
	"setdown/signal/unit"
)

// notesOf are the follow-up's further sentences.
func notesOf(r Review) []string {
	out := slices.Clone(r.Follow.Notes)
	for _, c := range r.Follow.Primary {
		out = append(out, "How far sessions differ without any change of control was taken from "+c.Noise.From+".")
		if c.Descriptive && len(c.Points) >= recovery.MinDays {
			out = append(out, fmt.Sprintf("The trend is a description only below %d like days.", recovery.TrendDays))
		}
	}
	for _, a := range r.Follow.Apart {
		name := a.Session
		for _, x := range r.Sessions {
			if x.ID == a.Session {
				name = "The session of " + dayWords(x.Date)
			}
		}
		out = append(out, name+" is shown apart: "+a.Because+".")
	}
	return out
}

// numbersOf are the follow-up's numbers.
func numbersOf(r Review) []fact {
	m := step.Find(step.Primary)
	var out []fact
	for _, c := range r.Follow.Primary {
		if len(c.Points) < recovery.MinDays {
			continue
		}
		show := func(x float64) string { return signed(fmt.Sprintf("%.0f", m.Unit.FromBase(x))) }
		with := func(x float64) string { return show(x) + " " + symbol(m.Unit) }
		out = append(out,
			fact{"Of", strings.ReplaceAll(c.Of, "-", "−") + ", peak lowering rate"},
			fact{"Baseline", with(c.Baseline) + " (median of the first days)"},
			fact{"Now", with(c.Now) + " (median of the last days)"},
			fact{"Change", fmt.Sprintf("%s (95 %% interval %s to %s, %s)", with(float64(c.Change.Center)), show(float64(c.Change.Low)), show(float64(c.Change.High)), count(c.Change.N, "day"))},
			fact{"Trend", fmt.Sprintf("%s a week (%s to %s; Theil–Sen); Mann–Kendall p %s", with(float64(c.PerWeek.Center)), show(float64(c.PerWeek.Low)), show(float64(c.PerWeek.High)), chance(c.TrendP))},
			fact{"Single sessions", fmt.Sprintf("two may differ by up to %.0f %s without any change of control; the change above is between medians of several days, which scatter less", m.Unit.FromBase(c.Noise.MDC()), symbol(m.Unit))})
	}
	return out
}

// chance prints a p value; one that rounds to nought is not nought.
func chance(p float64) string {
	if p < 0.001 {
		return "below 0.001"
	}
	return fmt.Sprintf("%.3f", p)
}

// reviewMetrics are the columns of the session table.
var reviewMetrics = []string{step.Primary, "time_to_foot_flat_ms", "deceleration_fraction", step.HeelFirstKey, "strike_angle_deg"}

// fillReviewTable makes a row a session.
func (v *reviewView) fillReviewTable(r Review) {
	for _, key := range reviewMetrics {
		m := step.Find(key)
		label := m.Label
		if s := symbol(m.Unit); s != "" {
			label += ", " + s
		}
		v.Heads = append(v.Heads, label)
	}
	pooled := map[string]bool{}
	if len(r.Follow.Groups) > 0 {
		for _, s := range r.Follow.Groups[0].Sessions {
			pooled[s.ID] = true
		}
	}
	first, second := recording.Left, recording.Right
	if r.Injured == asymmetry.InjuredRight {
		first, second = second, first
	}
	for _, s := range r.Sessions {
		row := reviewRow{Date: dayWords(s.Date), Steps: fmt.Sprintf("%d / %d", usedOf(s, first), usedOf(s, second)),
			Conditions: conditionWords(s.Session, r.Sessions[len(r.Sessions)-1].Session), Method: s.Method, Note: s.Note}
		if !pooled[s.ID] {
			row.Differs = "not pooled"
		}
		for _, key := range reviewMetrics {
			m := step.Find(key)
			row.Cells = append(row.Cells, reviewCell(m, s.Measures[key], first)+" / "+reviewCell(m, s.Measures[key], second))
		}
		v.Rows = append(v.Rows, row)
	}
}

func usedOf(s ReviewSession, side recording.Side) int {
	if side == recording.Right {
		return s.UsedRight
	}
	return s.UsedLeft
}

// conditionWords lists a session's conditions in full for the newest, and what
// differs for the others.
func conditionWords(s, newest recovery.Session) string {
	if s.ID == newest.ID {
		if all := recovery.Recorded(s); len(all) > 0 {
			return strings.Join(all, "; ")
		}
		return "none recorded"
	}
	differs := recovery.Unlike(s, newest)
	if differs == nil {
		return "as the newest"
	}
	var out []string
	for _, d := range differs {
		value := "not recorded"
		for _, words := range recovery.Recorded(s) {
			if rest, ok := strings.CutPrefix(words, d+" "); ok {
				value = rest
			}
		}
		out = append(out, d+" "+value)
	}
	return "differs: " + strings.Join(out, "; ")
}

func reviewCell(m step.Metric, x recovery.Measure, side recording.Side) string {
	v := x.Left
	if side == recording.Right {
		v = x.Right
	}
	c := float64(v.Center)
	if v.N == 0 || math.IsNaN(c) {
		return "–"
	}
	if m.Unit == unit.Percent {
		return fmt.Sprintf("%.0f", 100*c)
	}
	return strings.ReplaceAll(fmt.Sprintf("%.*f", m.Digits, m.Unit.FromBase(c)), "-", "−")
}

// formOf is the first-visit form for the physio.
func formOf(r Review) []fact {
	p := r.Person
	word := func(a diary.Answer) string {
		if a == diary.Unanswered {
			return "not asked"
		}
		return a.String()
	}
	out := []fact{{"Onset", dayWords(r.Onset)}}
	for _, d := range p.Diagnoses {
		out = append(out, fact{"Diagnosis", fmt.Sprintf("%s (%s), by %s on %s", d.Name, d.Kind, orDash(d.By), dayWords(d.On))})
	}
	if len(p.Diagnoses) == 0 {
		out = append(out, fact{"Diagnosis", "none recorded"})
	}
	if v, ok := p.LiftStrength.Value(); ok {
		out = append(out, fact{"Lifting the foot", fmt.Sprintf("grade %d of 5 on %s", v, dayWords(p.LiftStrengthOn))})
	}
	if r.Strength != "" {
		out = append(out, fact{"Strength test", r.Strength})
	}
	if p.Age > 0 {
		out = append(out, fact{"Age", fmt.Sprintf("%d on %s", p.Age, dayWords(p.AgeOn))})
	}
	return append(out, fact{"Asked", fmt.Sprintf("diabetes %s; reduced feeling %s; earlier bone stress %s; low energy intake %s; missed periods %s",
		word(p.Diabetes), word(p.ReducedFeeling), word(p.EarlierBoneStress), word(p.LowEnergyIntake), word(p.MissedPeriods))},
		fact{"Pain limit in force", limitWords(r.Advice)})
}

func limitWords(a diary.Advice) string {
	if a.Tendon {
		return fmt.Sprintf("%d/10 during and just after, settled by the next morning (tendon rule)", a.Limit)
	}
	return fmt.Sprintf("%d/10", a.Limit)
}

func orDash(s string) string {
	if s == "" {
		return "–"
	}
	return s
}

// diaryRows lists the last runs and what was said of them, newest first.
func diaryRows(r Review) []diaryRow {
	entries := diary.Current(r.Log)
	slices.Reverse(entries)
	const shown = 10
	var out []diaryRow
	for _, e := range entries[:min(len(entries), shown)] {
		out = append(out, diaryRow{Date: dayWords(e.Date), Run: runWords(e),
			During: scoreWord(e.During), After: scoreWord(e.After), Morning: scoreWord(e.Morning), Other: signWords(e)})
	}
	return out
}

// scoreWord is a score, or a dash where it was not given.
func scoreWord(s diary.Score) string {
	if v, ok := s.Value(); ok {
		return fmt.Sprint(v)
	}
	return "–"
}

// runWords tells how long or how far was run.
func runWords(e diary.Entry) string {
	switch {
	case !e.Run:
		return "no run"
	case e.Minutes > 0:
		return fmt.Sprintf("%g min", e.Minutes)
	case e.Kilometres > 0:
		return fmt.Sprintf("%g km", e.Kilometres)
	}
	return "–"
}

// signWords lists the signs that were entered with a run, and its note.
func signWords(e diary.Entry) string {
	var out []string
	for i, a := range e.Checklist {
		if a == diary.Yes {
			out = append(out, diary.Symptoms[i].Finding)
		}
	}
	if e.Painkillers == diary.Yes {
		out = append(out, "painkillers taken")
	}
	if e.Slapping == diary.Yes {
		out = append(out, "slapping noticed")
	}
	if e.Note != "" {
		out = append(out, e.Note)
	}
	return strings.Join(out, "; ")
}
