// Package diary holds what the runner tells: pain, stiffness, symptoms, how
// much was run, which strengthening was done; and the rules that turn it into
// one of four words about the next run: within your rules, hold, step back,
// clinician first.
//
// The diary is a log that only grows. A correction is a new version of an entry
// with a higher Seq, a removal is a version with Removed set; the rules look at
// all versions. That is what makes the promise of Advise possible: a worse, a
// removed or a blanked entry never makes the advice bolder, and neither does
// any result of a sensor (sensor results can only make it more careful).
//
// The rules are conservative by default. They are no diagnosis and no
// clearance; docs/pain-rules.md lists each of them with its source.
package diary

import (
	"encoding/json"
	"fmt"
)

// Score is a number from 0 to 10 on the 11-point scale for pain or stiffness.
// The zero Score is "not entered": a forgotten field never reads as no pain.
type Score struct {
	value   int8
	entered bool
}

// ScoreMax is the largest score ("the worst I can imagine").
const ScoreMax = 10

// Scored makes a Score. The error says which values are allowed.
func Scored(v int) (Score, error) {
	if v < 0 || v > ScoreMax {
		return Score{}, fmt.Errorf("%d is not on the scale; give a whole number from 0 (none) to %d (worst imaginable)", v, ScoreMax)
	}
	return Score{int8(v), true}, nil
}

// Value returns the score, and false when none was entered.
func (s Score) Value() (int, bool) { return int(s.value), s.entered }

// Over tells whether a score was entered and is above limit.
func (s Score) Over(limit int) bool { return s.entered && int(s.value) > limit }

// String prints "3/10", or "not entered".
func (s Score) String() string {
	if !s.entered {
		return "not entered"
	}
	return fmt.Sprintf("%d/%d", s.value, ScoreMax)
}

// MarshalJSON writes the number, or null when none was entered.
func (s Score) MarshalJSON() ([]byte, error) {
	if !s.entered {
		return []byte("null"), nil
	}
	return json.Marshal(s.value)
}

// UnmarshalJSON reads what MarshalJSON wrote and refuses values off the scale.
func (s *Score) UnmarshalJSON(text []byte) error {
	var v *int
	if err := json.Unmarshal(text, &v); err != nil {
		return err
	}
	*s = Score{}
	if v == nil {
		return nil
	}
	made, err := Scored(*v)
	*s = made
	return err
}

// Answer is a yes or no that may not have been given.
type Answer uint8

// The answers. The zero value is Unanswered and never reads as no.
const (
	Unanswered Answer = iota
	No
	Yes
)

// String returns "", "no" or "yes".
func (a Answer) String() string { return [...]string{"", "no", "yes"}[a] }

// ParseAnswer reads "yes", "no" or "".
func ParseAnswer(text string) (Answer, error) {
	for a := Unanswered; a <= Yes; a++ {
		if a.String() == text {
			return a, nil
		}
	}
	return Unanswered, fmt.Errorf("%q is not an answer; write yes or no", text)
}

// MarshalText writes the answer as String does.
func (a Answer) MarshalText() ([]byte, error) { return []byte(a.String()), nil }

// UnmarshalText reads what MarshalText wrote.
func (a *Answer) UnmarshalText(text []byte) error {
	v, err := ParseAnswer(string(text))
	*a = v
	return err
}

// Entry is one version of one page of the diary: a run, or a day without one.
type Entry struct {
	// ID stays the same through all versions of an entry.
	ID string `json:"id"`
	// Seq is the place in the log: a later record has a higher Seq. It orders
	// versions, and a clinician's release after the flags it answers.
	Seq int64 `json:"seq"`
	// Removed marks a version that takes the entry back.
	Removed bool `json:"removed,omitempty"`
	// Date is the day of the run. It is the same in all versions.
	Date Date `json:"date"`
	// Run tells a run from a day without running.
	Run bool `json:"run"`
	// During and After are pain during and just after the run; Morning is pain
	// the next morning (on a day without a run: that morning).
	During  Score `json:"pain_during"`
	After   Score `json:"pain_after"`
	Morning Score `json:"pain_next_morning"`
	// Stiffness is morning stiffness, 0 to 10.
	Stiffness   Score  `json:"stiffness_next_morning"`
	Painkillers Answer `json:"painkillers"`
	// Slapping: did the runner hear or feel the foot slap.
	Slapping Answer `json:"slapping"`
	// FrontOfAnkle: pain across the front of the ankle, where the laces press.
	FrontOfAnkle Answer `json:"front_of_ankle"`
	// TenderSpot: a spot that hurts when pressed.
	TenderSpot Answer `json:"tender_spot"`
	// LoosenedLaces: run with looser laces.
	LoosenedLaces Answer    `json:"loosened_laces"`
	Checklist     Checklist `json:"checklist"`
	// Minutes and Kilometres are the running done; 0 is "not entered".
	Minutes    float64 `json:"minutes"`
	Kilometres float64 `json:"kilometres"`
	// Plan is how the run was done, for example "6 x 2 min run, 1 min walk".
	Plan string `json:"plan,omitempty"`
	Note string `json:"note,omitempty"`
}

// Release is a clinician's dated word that running may be taken up again after
// a red flag. It answers the flags that were in the log before it and are not
// dated after it.
type Release struct {
	Seq int64 `json:"seq"`
	On  Date  `json:"on"`
	// By names the clinician or the role; a release without it does not count.
	By string `json:"by"`
	// SlapKnown: the clinician has examined the slapping and knows of it, so
	// that it is not a new one each time it is noticed.
	SlapKnown bool   `json:"slap_known"`
	Note      string `json:"note,omitempty"`
}

// Log is everything the runner and the clinician have written down, in any
// order: all versions of all entries.
type Log struct {
	Entries   []Entry
	Exercises []Exercise
	Releases  []Release
	// Notes are those of sessions with sensors, all versions.
	Notes []Noted
}
