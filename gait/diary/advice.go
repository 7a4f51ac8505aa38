package diary

import (
	"cmp"
	"slices"
)

// Word is the advice about running on, from the most careful to the boldest.
type Word uint8

// The words. The zero value is the most careful.
const (
	ClinicianFirst Word = iota
	StepBack
	Hold
	WithinRules
)

var wordTexts = [...]string{"clinician first", "step back", "hold", "within your rules"}

// String returns the word as it is printed.
func (w Word) String() string { return wordTexts[w] }

// MarshalText writes the word as String does.
func (w Word) MarshalText() ([]byte, error) { return []byte(w.String()), nil }

// Cited is one diary field that led to a reason.
type Cited struct {
	Entry string `json:"entry"`
	Date  Date   `json:"date"`
	// Field and Value are as the reader reads them.
	Field string `json:"field"`
	Value string `json:"value"`
}

// Reason is one rule that spoke.
type Reason struct {
	// Rule is the rule's stable name, as in docs/pain-rules.md.
	Rule string `json:"rule"`
	// Word is the boldest word that the rule still allows.
	Word Word `json:"word"`
	Tier Tier `json:"tier,omitempty"`
	// Missing tells that the rule speaks because something was not entered.
	Missing bool `json:"missing,omitempty"`
	// Text is one plain sentence.
	Text    string  `json:"text"`
	Entries []Cited `json:"entries,omitempty"`
}

// NextRun bounds the next run.
type NextRun struct {
	// Allowed is false when no run should be done before something else is.
	Allowed bool `json:"allowed"`
	// Minutes or Kilometres is the upper bound; 0 where it cannot be counted.
	Minutes    float64 `json:"minutes,omitempty"`
	Kilometres float64 `json:"kilometres,omitempty"`
	// From is the first day that the weekly rise leaves room for it.
	From Date `json:"from"`
	// Text says it in a sentence or two.
	Text string `json:"text"`
}

// Advice is the answer to "may running go on". It is never a clearance.
type Advice struct {
	Today Date `json:"today"`
	Word  Word `json:"word"`
	// Tier is the most urgent one named by a reason.
	Tier Tier `json:"tier,omitempty"`
	// Reasons has every rule that kept the word from being bolder, the most
	// careful first; one that confirms, when the word is WithinRules.
	Reasons []Reason `json:"reasons"`
	Next    NextRun  `json:"next_run"`
	// Limit is the pain limit in force during and after a run; Tendon tells
	// whether it is the tendon rule's.
	Limit  int  `json:"limit"`
	Tendon bool `json:"tendon_rule"`
	// Laces is the hint about looser laces, "" where its conditions are not met.
	Laces string `json:"laces,omitempty"`
}

// Sensors is what sensor recordings add. It has no field that could make the
// advice bolder: a good sensor result is not an input at all.
type Sensors struct {
	// Runs are the days of recorded runs; each needs a page in the diary.
	Runs []Date
	// Worsening tells that control of lowering was found to be getting worse.
	Worsening bool
}

// Advise applies the rules to the log as of today.
//
// The word is the most careful that any rule asks for; WithinRules needs every
// required field of every run in the last JudgedDays days and a diary not older
// than FreshDays days. Entries of all versions count, as the package comment
// says. It panics if rules do not pass Check.
func Advise(p Person, log Log, sensors Sensors, rules Rules, today Date) Advice {
	if err := rules.Check(); err != nil {
		panic("diary: " + err.Error())
	}
	v := newView(p, log, sensors, rules, today)
	a := Advice{Today: today, Word: WithinRules, Limit: v.limit, Tendon: v.tendon}
	for _, rule := range ruleBook {
		for _, r := range rule(v) {
			a.Reasons = append(a.Reasons, r)
			a.Word, a.Tier = min(a.Word, r.Word), max(a.Tier, r.Tier)
		}
	}
	slices.SortStableFunc(a.Reasons, func(x, y Reason) int {
		return cmp.Or(cmp.Compare(x.Word, y.Word), cmp.Compare(y.Tier, x.Tier))
	})
	if a.Word == WithinRules {
		a.Reasons = append(a.Reasons, v.confirm())
	}
	a.Next = v.nextRun(a)
	a.Laces = v.laces(a)
	return a
}
