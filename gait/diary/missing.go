package diary

import (
	"fmt"
	"slices"
	"strings"
)

// missingPages reports what a diary must have before it can be judged at all.
func missingPages(v *view) []Reason {
	var out []Reason
	say := func(text string, cited ...Cited) {
		out = append(out, Reason{Rule: "missing-pages", Word: Hold, Missing: true, Text: text, Entries: cited})
	}
	if len(v.live(0, FreshDays-1)) == 0 {
		say("There is no diary entry of the last 7 days: enter how the leg is today, with the checklist.")
	}
	if len(runs(v.live(0, JudgedDays-1))) == 0 {
		out = append(out, Reason{Rule: "no-run-to-judge", Word: Hold,
			Text: "There is no run of the last 14 days in the diary to judge."})
	}
	for _, d := range slices.Compact(slices.SortedFunc(slices.Values(v.sensors.Runs), func(a, b Date) int { return a.Since(b) })) {
		if a := v.today.Since(d); a >= 0 && a < JudgedDays && !v.hasRun(d) {
			say(fmt.Sprintf("The recorded run of %s has no entry in the diary: enter it.", d))
		}
	}
	for _, p := range v.pages {
		if v.age(p) < 0 {
			say("An entry is dated after today: check its date.", p.cite("date", p.Date.String()))
		}
	}
	return out
}

// live returns pages in the window that were not removed.
func (v *view) live(from, to int) []page {
	var out []page
	for _, p := range v.within(from, to) {
		if !p.last.Removed {
			out = append(out, p)
		}
	}
	return out
}

// hasRun tells whether a run of day d is in the diary.
func (v *view) hasRun(d Date) bool {
	for _, p := range runs(v.within(0, JudgedDays-1)) {
		if p.Date == d && !p.last.Removed {
			return true
		}
	}
	return false
}

// missingFields reports, page by page, what was not entered for the last 14
// days. The newest version decides: a field that was blanked is missing.
func missingFields(v *view) []Reason {
	var out []Reason
	for _, p := range v.within(0, JudgedDays-1) {
		var gaps []string
		switch {
		case p.last.Removed:
			gaps = []string{"the entry was removed: enter it again, or wait until 14 days have passed, in which what it said still counts"}
		case p.Run:
			gaps = v.runGaps(p)
		default:
			gaps = dayGaps(p)
		}
		if gaps != nil {
			out = append(out, Reason{Rule: "missing-fields", Word: Hold, Missing: true,
				Text:    fmt.Sprintf("Still missing for %s: %s.", p.Date, strings.Join(gaps, ", ")),
				Entries: []Cited{p.cite("missing", strings.Join(gaps, ", "))}})
		}
	}
	return out
}

// runGaps lists what a run lacks.
func (v *view) runGaps(p page) []string {
	var gaps []string
	add := func(missing bool, what string) {
		if missing {
			gaps = append(gaps, what)
		}
	}
	e := p.last
	add(!e.During.entered, "pain during")
	add(!e.After.entered, "pain just after")
	switch {
	case e.Morning.entered:
	case v.age(p) == 0:
		gaps = append(gaps, "pain next morning (enter it tomorrow, before you run again)")
	default:
		gaps = append(gaps, "pain next morning")
	}
	add(v.tendon && !e.Stiffness.entered, "morning stiffness")
	add(e.Painkillers == Unanswered, "painkillers yes or no")
	add(e.Slapping == Unanswered, "slapping noticed yes or no")
	add(e.FrontOfAnkle == Unanswered, "pain across the front of the ankle yes or no")
	add(e.FrontOfAnkle == Yes && e.LoosenedLaces == Unanswered, "looser laces tried yes or no")
	add(e.Minutes <= 0 && e.Kilometres <= 0, "minutes or distance")
	return append(gaps, listGaps(e)...)
}

// dayGaps lists what a day without a run lacks.
func dayGaps(p page) []string {
	var gaps []string
	if !p.last.Morning.entered {
		gaps = append(gaps, "pain")
	}
	return append(gaps, listGaps(p.last)...)
}

func listGaps(e Entry) []string {
	switch n := len(e.Checklist.Open()); n {
	case 0:
		return nil
	case len(Symptoms):
		return []string{"the checklist"}
	default:
		return []string{fmt.Sprintf("%d of %d questions of the checklist", n, len(Symptoms))}
	}
}

// missingForm reports what the first-visit form lacks.
func missingForm(v *view) []Reason {
	p := v.person
	var gaps []string
	for _, q := range []struct {
		missing bool
		what    string
	}{
		{p.AgeOn.IsZero() || p.Age <= 0, "age"},
		{p.Diabetes == Unanswered, "diabetes yes or no"},
		{p.ReducedFeeling == Unanswered, "reduced feeling yes or no"},
		{p.EarlierBoneStress == Unanswered, "earlier bone stress yes or no"},
		{p.LowEnergyIntake == Unanswered, "low energy intake yes or no"},
		{p.MissedPeriods == Unanswered, "missed periods yes or no"},
		{p.CautionsRead.IsZero() || p.CautionsRead.After(v.today), "the cautions read and acknowledged"},
	} {
		if q.missing {
			gaps = append(gaps, q.what)
		}
	}
	if gaps == nil {
		return nil
	}
	return []Reason{{Rule: "missing-form", Word: Hold, Missing: true,
		Text: "Still missing on the first-visit form: " + strings.Join(gaps, ", ") + "."}}
}
