package diary

import "fmt"

// ruleBook is every rule, in the order in which reasons of equal weight are
// told. docs/pain-rules.md has a section for each name.
var ruleBook = [...]func(*view) []Reason{
	symptomRule, slapRule, severeRule, severeRunRule, findingRule, lacesRule, often,
	painRule, riseRule, noteRule, asideRule, tenderRule, stiffRule, exercisePainRule, neverRule, loadRule, sensorRule,
	missingPages, missingFields, missingForm,
}

// oftenRuns is in how many runs of the last LoadDays pain over the limit is a
// reason to have it examined (common practice, no source).
const oftenRuns = 3

// scores returns the page's pain fields with the limit that each has in force.
// Under the tendon rule pain must have settled by the next morning, and on days
// without a run the settled limit holds as well.
func (v *view) scores(p page) []struct {
	name  string
	score Score
	limit int
} {
	morning := v.limit
	if v.tendon {
		morning = min(v.limit, v.rules.SettledLimit)
	}
	return []struct {
		name  string
		score Score
		limit int
	}{
		{"pain during", p.During, v.limit},
		{"pain just after", p.After, v.limit},
		{"pain next morning", p.Morning, morning},
	}
}

// over cites the page's pain above its limits.
func (v *view) over(p page) []Cited {
	var cited []Cited
	for _, s := range v.scores(p) {
		if s.score.Over(s.limit) {
			cited = append(cited, p.cite(s.name, s.score.String()))
		}
	}
	return cited
}

// often sends to a clinician when the limit was passed again and again.
func often(v *view) []Reason {
	var cited []Cited
	n := 0
	for _, p := range runs(v.within(0, LoadDays-1)) {
		if c := v.over(p); c != nil {
			n, cited = n+1, append(cited, c...)
		}
	}
	if n < oftenRuns {
		return nil
	}
	return []Reason{{Rule: "over-limit-often", Word: ClinicianFirst, Tier: BeforeNextRun, Entries: cited,
		Text: fmt.Sprintf("Pain was over the limit in %d runs of the last %d days: have it examined before any further run.", n, LoadDays)}}
}

// painRule compares pain with the limit: over it within the last week means
// step back, in the week before hold.
func painRule(v *view) []Reason {
	var out []Reason
	for _, w := range []struct {
		from, to int
		word     Word
		text     string
	}{
		{0, WeekDays - 1, StepBack, "Pain was over the limit of %s within the last 7 days: step back."},
		{WeekDays, JudgedDays - 1, Hold, "Pain was over the limit of %s in the week before: do not run more yet."},
	} {
		var cited []Cited
		for _, p := range v.within(w.from, w.to) {
			cited = append(cited, v.over(p)...)
		}
		if cited != nil {
			out = append(out, Reason{Rule: "over-limit", Word: w.word, Entries: cited, Text: fmt.Sprintf(w.text, v.limitText())})
		}
	}
	return out
}

func (v *view) limitText() string {
	if v.tendon {
		return fmt.Sprintf("%d/10 (%d/10 by the next morning; tendon rule)", v.limit, min(v.limit, v.rules.SettledLimit))
	}
	return fmt.Sprintf("%d/10", v.limit)
}

// riseRule is the tendon rule's "no rise from week to week" of pain and of
// morning stiffness. The week before is the yardstick, and there the lowest
// value ever entered counts, so that no later correction can loosen it.
func riseRule(v *view) []Reason {
	if !v.tendon {
		return nil
	}
	var out []Reason
	for _, f := range []struct {
		name string
		of   func(Entry) Score
	}{
		{"pain during", func(e Entry) Score { return e.During }},
		{"pain just after", func(e Entry) Score { return e.After }},
		{"pain next morning", func(e Entry) Score { return e.Morning }},
		{"morning stiffness", func(e Entry) Score { return e.Stiffness }},
	} {
		if r, ok := v.rise(f.name, f.of); ok {
			out = append(out, r)
		}
	}
	return out
}

// rise compares the highest value of the last 7 days with the highest of the
// 7 days before. A week before without any entry is no yardstick: then any
// value above the quiet limit counts as a rise.
func (v *view) rise(name string, of func(Entry) Score) (Reason, bool) {
	before := 0
	known := false
	for _, p := range v.within(WeekDays, JudgedDays-1) {
		if low, ok := p.lowest(of); ok {
			before, known = max(before, low), true
		}
	}
	if !known {
		before = v.rules.Limit
	}
	var cited []Cited
	for _, p := range v.within(0, WeekDays-1) {
		if s := of(p.Entry); s.Over(before) {
			cited = append(cited, p.cite(name, s.String()))
		}
	}
	if cited == nil {
		return Reason{}, false
	}
	return Reason{Rule: "weekly-rise-of-pain", Word: Hold, Entries: cited,
		Text: fmt.Sprintf("The tendon rule allows no rise from week to week: %s rose above %d/10, the most of the week before.", name, before)}, true
}

// neverRule lists what never allows more than hold.
func neverRule(v *view) []Reason {
	var out []Reason
	var pills []Cited
	for _, p := range v.within(0, JudgedDays-1) {
		if p.Painkillers == Yes {
			pills = append(pills, p.cite("painkillers", "yes"))
		}
	}
	if pills != nil {
		out = append(out, Reason{Rule: "painkillers", Word: Hold, Entries: pills,
			Text: "Painkillers were taken in the last 14 days: they hide what the pain rules go by."})
	}
	p := v.person
	for _, c := range []struct {
		applies bool
		rule    string
		text    string
	}{
		{p.ReducedFeeling == Yes, "reduced-feeling", "Reduced feeling in the leg or foot: pain is no safe guide."},
		{p.Diabetes == Yes, "diabetes", "Diabetes: pain is no safe guide; run on as agreed with your clinician."},
		{!p.AgeOn.IsZero() && p.ageOn(v.today) < 18, "under-18", "Under 18 years: growing bone and tendon follow other rules; run on as agreed with your clinician."},
		{p.EarlierBoneStress == Yes, "earlier-bone-stress", "An earlier bone stress injury: run on as agreed with your clinician."},
		{p.LowEnergyIntake == Yes, "low-energy", "Eating less than running uses weakens bone: speak about it with a clinician before you run more."},
		{p.MissedPeriods == Yes, "missed-periods", "Missed periods can go with weaker bone: speak about it with a clinician before you run more."},
	} {
		if c.applies {
			out = append(out, Reason{Rule: c.rule, Word: Hold, Text: c.text})
		}
	}
	return out
}

// sensorRule lets a worsening found by sensors make the advice more careful.
func sensorRule(v *view) []Reason {
	if !v.sensors.Worsening {
		return nil
	}
	return []Reason{{Rule: "control-worsening", Word: Hold,
		Text: "The recordings show control of lowering getting worse: do not run more, and show them to your clinician."}}
}

// confirm is the reason given with WithinRules.
func (v *view) confirm() Reason {
	var cited []Cited
	for _, p := range runs(v.within(0, JudgedDays-1)) {
		cited = append(cited, p.cite("run", fmt.Sprintf("%s during, %s just after, %s next morning", p.During, p.After, p.Morning)))
	}
	return Reason{Rule: "within", Word: WithinRules, Entries: cited,
		Text: fmt.Sprintf("All %d runs of the last 14 days stayed at or under %s, nothing is missing and every question of the checklist was answered no. This is your own rule kept, not a clearance.", len(cited), v.limitText())}
}
