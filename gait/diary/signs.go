package diary

import "fmt"

// severePain is the pain that is commonly called severe, 7 to 10 (common
// practice, no source).
const severePain = 7

// severeRunRule reports severe pain with a run or an exercise, although the
// checklist may say no: half of such a run is no advice.
func severeRunRule(v *view) []Reason {
	var cited []Cited
	for _, p := range v.pages {
		for _, e := range p.versions {
			if v.released(e.Seq, p.Date, nil) {
				continue
			}
			if e.During.Over(severePain - 1) {
				cited = append(cited, p.cite("pain during", e.During.String()))
			}
			if e.After.Over(severePain - 1) {
				cited = append(cited, p.cite("pain just after", e.After.String()))
			}
		}
	}
	for _, e := range v.log.Exercises {
		if e.Pain.Over(severePain-1) && !e.Date.After(v.today) && !v.released(e.Seq, e.Date, nil) {
			cited = append(cited, e.cite())
		}
	}
	if cited == nil {
		return nil
	}
	return []Reason{{Rule: "severe-pain", Word: ClinicianFirst, Tier: BeforeNextRun, Entries: cited,
		Text: fmt.Sprintf("Pain reached %d/10 or more with a run or an exercise: a clinician before any further run; hard or rising pain that rest does not settle is an emergency.", severePain)}}
}

// cite makes a reference to the pain with an exercise.
func (e Exercise) cite() Cited {
	return Cited{e.ID, e.Date, "pain with the " + e.Drill.String() + "s", e.Pain.String()}
}

// exercisePainRule holds the running where the strengthening hurt: the same
// muscle does both. Every version counts, as with runs.
func exercisePainRule(v *view) []Reason {
	var cited []Cited
	for _, e := range v.log.Exercises {
		if a := v.today.Since(e.Date); a >= 0 && a < WeekDays && e.Pain.Over(v.rules.Limit) {
			cited = append(cited, e.cite())
		}
	}
	if cited == nil {
		return nil
	}
	return []Reason{{Rule: "exercise-pain", Word: Hold, Entries: cited,
		Text: fmt.Sprintf("Pain was over %d/10 with the exercises of the last 7 days: do not run more than last time.", v.rules.Limit)}}
}

// tenderRule keeps a spot that hurts when pressed from passing for a quiet leg:
// whether it lies on bone is a question of the checklist.
func tenderRule(v *view) []Reason {
	var cited []Cited
	for _, p := range v.within(0, JudgedDays-1) {
		for _, e := range p.versions {
			if e.TenderSpot == Yes {
				cited = append(cited, p.cite("a spot that hurts when pressed", "yes"))
				break
			}
		}
	}
	if cited == nil {
		return nil
	}
	return []Reason{{Rule: "tender-spot", Word: Hold, Entries: cited,
		Text: "A spot hurt when pressed within the last 14 days: do not run more than last time. If it may lie on bone, answer that question of the checklist yes: then a clinician before any further run."}}
}

// stiffRule reports severe stiffness; the tendon rule looks at lower values.
func stiffRule(v *view) []Reason {
	var cited []Cited
	for _, p := range v.within(0, JudgedDays-1) {
		if p.Stiffness.Over(severePain - 1) {
			cited = append(cited, p.cite("morning stiffness", p.Stiffness.String()))
		}
	}
	if cited == nil {
		return nil
	}
	return []Reason{{Rule: "severe-stiffness", Word: Hold, Entries: cited,
		Text: fmt.Sprintf("Morning stiffness was %d/10 or more within the last 14 days: do not run more than last time.", severePain)}}
}
