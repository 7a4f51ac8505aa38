package page

// Caution is one tier of when to get help.
type Caution struct {
	// When is the tier's heading.
	When string
	// Signs lists what belongs to it.
	Signs []string
}

// Limits are the short cautions that stand at the top of every page.
const Limits = "Not a medical device and no diagnosis. It was not tested in people with shin pain, and numbers alone never clear a return to running."

// LandingCaution warns of the way in which the numbers can be made better
// without any better control.
const LandingCaution = "Landing flatter or further forward can lower these numbers without better control, and loads calf and forefoot."

// LocalRules says whose word comes first.
const LocalRules = "Local rules and licensed practitioners come first."

// Cautions returns the tiers of when to get help, the most urgent first. They
// are common practice; no source is claimed for the wording.
func Cautions() []Caution {
	return []Caution{
		{"Emergency, now", []string{
			"hard, severe or rising pain in the lower leg that does not settle with rest, above all after a blow or a hard run",
			"a pale or cold foot",
			"breathlessness or chest pain",
			"sudden weakness with back pain, numbness between the legs where one sits on a saddle, or a change in passing water",
			"dark urine after effort",
		}},
		{"A clinician the same day", []string{
			"a foot that can no longer be lifted, or a new slap even without pain",
			"a swollen calf",
			"fever or redness",
			"a snap followed by weakness",
		}},
		{"A clinician before any further run", []string{
			"pain on one spot of bone, at night or at rest",
			"numbness, tingling, coldness or tightness while running (the pressure inside the muscle may rise too far, a compartment syndrome, which only a doctor's pressure test can find)",
		}},
	}
}

// CautionNotes are the rules that go with the tiers.
func CautionNotes() []string {
	return []string{
		"No hop or stretch tests on one’s own.",
		"Looser laces are worth a try for pain across the front of the ankle only when none of the above fits and no spot is tender. If it is not gone after two runs, see a clinician.",
		"Pain rules made for tendons do not apply to bone.",
		LandingCaution,
		LocalRules,
	}
}
