package diary

import (
	"encoding/json"
	"fmt"
)

// Tier says whom to see and how soon.
type Tier uint8

// The tiers, from none to the most urgent.
const (
	NoTier Tier = iota
	BeforeNextRun
	SameDay
	EmergencyNow
)

// String returns the tier in words, "" for NoTier.
func (t Tier) String() string {
	return [...]string{"", "a clinician before any further run", "a clinician the same day", "emergency care now"}[t]
}

// MarshalText writes the tier as String does.
func (t Tier) MarshalText() ([]byte, error) { return []byte(t.String()), nil }

// Symptom indexes Symptoms and Checklist.
type Symptom int

// The symptoms of the checklist, most urgent first.
const (
	SeverePain Symptom = iota
	PaleOrColdFoot
	BreathlessOrChestPain
	BackSaddleBladder
	DarkUrine
	FootCannotBeLifted
	NewSlap
	SwollenCalf
	FeverOrRedness
	SnapWithWeakness
	BoneSpot
	NightOrRestPain
	NumbOrTight
	symptomCount
)

// Question is one line of the checklist.
type Question struct {
	// Key is the stable name in files and flags.
	Key string
	// Ask is the question as the runner reads it.
	Ask string
	// Finding is the same as a statement, for reasons.
	Finding string
	// Tier is whom to see, and how soon, after a yes.
	Tier Tier
}

// Symptoms is the checklist: standard cautions for pain of the lower leg, worded
// for runners. (Acute compartment syndrome: Fraipont & Adamson, 2003, J Am Acad
// Orthop Surg 11:268; the others are common practice, no source.)
var Symptoms = [symptomCount]Question{
	SeverePain: {"severe_pain", "Hard, severe or rising pain in the lower leg that does not settle with rest, above all after a blow or a hard run?",
		"hard, severe or rising pain in the lower leg that does not settle with rest", EmergencyNow},
	PaleOrColdFoot: {"pale_or_cold_foot", "Is the foot pale or cold?", "a pale or cold foot", EmergencyNow},
	BreathlessOrChestPain: {"breathless_or_chest_pain", "Breathlessness or chest pain?",
		"breathlessness or chest pain", EmergencyNow},
	BackSaddleBladder: {"back_saddle_bladder", "Sudden weakness with back pain, numbness where a saddle would touch, or a change of the bladder?",
		"sudden weakness with back pain, numbness of the saddle area or a change of the bladder", EmergencyNow},
	DarkUrine: {"dark_urine", "Dark urine after effort?", "dark urine after effort", EmergencyNow},
	FootCannotBeLifted: {"foot_cannot_be_lifted", "Can the foot no longer be lifted?",
		"a foot that can no longer be lifted", SameDay},
	NewSlap:          {"new_slap", "Does the foot slap since today or the last days, even without pain?", "a new slap of the foot", SameDay},
	SwollenCalf:      {"swollen_calf", "Is the calf swollen?", "a swollen calf", SameDay},
	FeverOrRedness:   {"fever_or_redness", "Fever, or redness of the leg?", "fever or redness", SameDay},
	SnapWithWeakness: {"snap_with_weakness", "Was there a snap, and weakness since?", "a snap with weakness", SameDay},
	BoneSpot:         {"bone_spot", "Does one spot of bone hurt?", "pain on one spot of bone", BeforeNextRun},
	NightOrRestPain:  {"night_or_rest_pain", "Pain at night or at rest?", "pain at night or at rest", BeforeNextRun},
	NumbOrTight: {"numb_or_tight", "Numbness, tingling, coldness or tightness while running?",
		"numbness, tingling, coldness or tightness while running (possible compartment syndrome, found only by a doctor's pressure test)", BeforeNextRun},
}

// SymptomByKey finds a symptom by its key.
func SymptomByKey(key string) (Symptom, bool) {
	for i := range Symptoms {
		if Symptoms[i].Key == key {
			return Symptom(i), true
		}
	}
	return 0, false
}

// Checklist holds the answers to Symptoms, by Symptom.
type Checklist [symptomCount]Answer

// Filled returns a checklist with every question answered a.
func Filled(a Answer) Checklist {
	var c Checklist
	for i := range c {
		c[i] = a
	}
	return c
}

// Open returns the symptoms that were not answered.
func (c Checklist) Open() []Symptom {
	var out []Symptom
	for i, a := range c {
		if a == Unanswered {
			out = append(out, Symptom(i))
		}
	}
	return out
}

// MarshalJSON writes an object from key to "yes", "no" or "".
func (c Checklist) MarshalJSON() ([]byte, error) {
	out := []byte{'{'}
	for i, a := range c {
		if i > 0 {
			out = append(out, ',')
		}
		out = append(out, '"')
		out = append(out, Symptoms[i].Key...)
		out = append(out, `":"`...)
		out = append(out, a.String()...)
		out = append(out, '"')
	}
	return append(out, '}'), nil
}

// UnmarshalJSON reads what MarshalJSON wrote. A key that is not known is an
// error: a symptom that was answered must not get lost. Keys that are missing
// stay unanswered.
func (c *Checklist) UnmarshalJSON(text []byte) error {
	var m map[string]Answer
	if err := json.Unmarshal(text, &m); err != nil {
		return err
	}
	*c = Checklist{}
	for key, a := range m {
		s, ok := SymptomByKey(key)
		if !ok {
			return fmt.Errorf("diary: unknown symptom %q in a checklist", key)
		}
		c[s] = a
	}
	return nil
}
