package diary

import "fmt"

// weakGrade is the hand-test grade at and below which the foot cannot be lifted
// against gravity (Medical Research Council grades, 1943; from memory).
const weakGrade = 2

// released tells whether a clinician's release answers something that was
// entered as the seq-th record and happened on day. A release counts only with
// a name, not dated in the future, recorded later than what it answers and not
// dated before it: nobody can have judged what was not yet known.
func (v *view) released(seq int64, day Date, also func(Release) bool) bool {
	for _, r := range v.log.Releases {
		dated := !r.On.IsZero() && !r.On.After(v.today) && !day.After(r.On)
		if dated && r.By != "" && r.Seq > seq && (also == nil || also(r)) {
			return true
		}
	}
	return false
}

// symptomRule reports every red flag of any version of any entry, however old,
// that no release answers.
func symptomRule(v *view) []Reason {
	var out []Reason
	for s, q := range Symptoms {
		var cited []Cited
		for _, p := range v.pages {
			if v.flagged(p, Symptom(s)) {
				cited = append(cited, p.cite("symptom", q.Finding))
			}
		}
		if cited != nil {
			out = append(out, Reason{Rule: "red-flag", Word: ClinicianFirst, Tier: q.Tier, Entries: cited,
				Text: fmt.Sprintf("You entered %s: %s. This stays until a clinician's release of that day or a later one is entered.", q.Finding, q.Tier)})
		}
	}
	return out
}

// flagged tells whether any version of p says yes to s without a release.
func (v *view) flagged(p page, s Symptom) bool {
	for _, e := range p.versions {
		if e.Checklist[s] == Yes && !v.released(e.Seq, p.Date, nil) {
			return true
		}
	}
	return false
}

// slapRule treats noticed slapping as new, and so as a red flag, until a
// clinician has recorded that it is known; from then on it allows hold.
func slapRule(v *view) []Reason {
	var fresh, known []Cited
	for _, p := range v.pages {
		for _, e := range p.versions {
			if e.Slapping != Yes {
				continue
			}
			switch {
			case !v.released(e.Seq, p.Date, nil) && !v.slapKnownBefore(p.Date):
				fresh = append(fresh, p.cite("slapping", "yes"))
			case v.age(p) < WeekDays:
				known = append(known, p.cite("slapping", "yes"))
			}
		}
	}
	var out []Reason
	if fresh != nil {
		out = append(out, Reason{Rule: "slap-unexamined", Word: ClinicianFirst, Tier: SameDay, Entries: fresh,
			Text: "You noticed the foot slapping and no clinician has recorded that this is known: see one the same day, even without pain."})
	}
	if known != nil {
		out = append(out, Reason{Rule: "slap-known", Word: Hold, Entries: known,
			Text: "You noticed the slapping that your clinician knows of within the last 7 days: do not run more than last time. Worse than before? Then see the clinician the same day."})
	}
	return out
}

// slapKnownBefore tells whether a clinician knew of slapping by day.
func (v *view) slapKnownBefore(day Date) bool {
	for _, r := range v.log.Releases {
		if r.SlapKnown && r.By != "" && !r.On.IsZero() && !r.On.After(day) && !r.On.After(v.today) {
			return true
		}
	}
	return false
}

// severeRule reports pain that a night did not settle.
func severeRule(v *view) []Reason {
	var cited []Cited
	for _, p := range v.pages {
		for _, e := range p.versions {
			if e.Morning.Over(severePain-1) && !v.released(e.Seq, p.Date, nil) {
				cited = append(cited, p.cite("pain next morning", e.Morning.String()))
			}
		}
	}
	if cited == nil {
		return nil
	}
	return []Reason{{Rule: "severe-after-night", Word: ClinicianFirst, Tier: SameDay, Entries: cited,
		Text: fmt.Sprintf("Pain was still %d/10 or more the next morning: a clinician the same day; hard or rising pain that rest does not settle is an emergency.", severePain)}}
}

// findingRule reports what the clinician's own findings close.
func findingRule(v *view) []Reason {
	var out []Reason
	for _, d := range v.person.Diagnoses {
		if d.Kind == Bone && !v.released(0, d.On, nil) {
			out = append(out, Reason{Rule: "bone", Word: ClinicianFirst, Tier: BeforeNextRun,
				Text: fmt.Sprintf("%s is recorded, a matter of bone: pain rules made for tendons do not apply, and when to run again is for the clinician to say. Enter the dated release.", d.Name)})
		}
	}
	if g, ok := v.person.LiftStrength.Value(); ok && g <= weakGrade && !v.released(0, v.person.LiftStrengthOn, nil) {
		out = append(out, Reason{Rule: "lift-strength", Word: ClinicianFirst, Tier: SameDay,
			Text: fmt.Sprintf("Lifting the foot was graded %d of 5: a foot that cannot be lifted needs a clinician the same day, unless a release is recorded.", g)})
	}
	return out
}

// lacesTries is after how many runs with looser laces pain across the front of
// the ankle must be gone.
const lacesTries = 2

// lacesRule sends to a clinician when looser laces did not help in two runs.
func lacesRule(v *view) []Reason {
	var cited []Cited
	for _, p := range v.pages {
		if p.FrontOfAnkle == Yes && p.LoosenedLaces == Yes && !v.released(p.newest(), p.Date, nil) {
			cited = append(cited, p.cite("front of the ankle", "still painful with looser laces"))
		}
	}
	if len(cited) < lacesTries {
		return nil
	}
	return []Reason{{Rule: "laces-did-not-help", Word: ClinicianFirst, Tier: BeforeNextRun, Entries: cited,
		Text: "Pain across the front of the ankle was not gone after two runs with looser laces: a clinician before any further run."}}
}

// newest returns the Seq of the page's newest version.
func (p page) newest() int64 { return p.versions[len(p.versions)-1].Seq }

// laces gives the hint about looser laces. Its conditions: pain across the front
// of the ankle on the newest page, the whole checklist answered no and no flag
// open, no spot tender, and fewer than two tries so far.
func (v *view) laces(a Advice) string {
	recent := v.within(0, JudgedDays-1)
	if len(recent) == 0 || a.Word == ClinicianFirst {
		return ""
	}
	p := recent[len(recent)-1]
	if p.last.FrontOfAnkle != Yes || p.last.TenderSpot != No || p.last.Checklist != Filled(No) {
		return ""
	}
	return "Pain across the front of the ankle, every question of the checklist answered no and no tender spot: looser laces are worth a try. Not gone after two runs? See a clinician."
}
