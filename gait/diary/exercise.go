package diary

import (
	"cmp"
	"fmt"
	"slices"
)

// Drill is a strengthening exercise.
type Drill uint8

// The drills: walking on the heels strengthens the muscle that lowers the
// forefoot, walking on the toes the calf.
const (
	HeelWalk Drill = iota
	ToeWalk
)

var drillWords = [...]string{"heel walk", "toe walk"}

// String returns "heel walk" or "toe walk".
func (d Drill) String() string { return drillWords[d] }

// ParseDrill reads "heel walk", "heel-walk", "toe walk" or "toe-walk".
func ParseDrill(text string) (Drill, error) {
	switch text {
	case "heel walk", "heel-walk":
		return HeelWalk, nil
	case "toe walk", "toe-walk":
		return ToeWalk, nil
	}
	return HeelWalk, fmt.Errorf("%q is not an exercise; write heel-walk or toe-walk", text)
}

// MarshalText writes the drill as String does.
func (d Drill) MarshalText() ([]byte, error) { return []byte(d.String()), nil }

// UnmarshalText reads what MarshalText wrote.
func (d *Drill) UnmarshalText(text []byte) error {
	v, err := ParseDrill(string(text))
	*d = v
	return err
}

// Exercise is one line of the strengthening log.
type Exercise struct {
	ID      string `json:"id"`
	Seq     int64  `json:"seq"`
	Removed bool   `json:"removed,omitempty"`
	Date    Date   `json:"date"`
	Drill   Drill  `json:"drill"`
	Sets    int    `json:"sets"`
	// Metres is the distance of each set; 0 where repetitions were counted.
	Metres float64 `json:"metres"`
	// Slow and Fast are repetitions a set; 0 where a distance was walked.
	Slow int `json:"slow"`
	Fast int `json:"fast"`
	// LoadKilograms is added weight.
	LoadKilograms float64 `json:"load_kg"`
	// Pain is the most during it or the next morning.
	Pain Score  `json:"pain"`
	Note string `json:"note,omitempty"`
}

// Stage is one stage of the programme: sets of a distance, or of repetitions.
type Stage struct {
	Sets   int     `json:"sets"`
	Metres float64 `json:"metres,omitempty"`
	Slow   int     `json:"slow,omitempty"`
	Fast   int     `json:"fast,omitempty"`
}

// String prints "3 × 10 m" or "3 × (15 slow + 15 fast)".
func (s Stage) String() string {
	if s.Metres > 0 {
		return fmt.Sprintf("%d × %g m", s.Sets, s.Metres)
	}
	return fmt.Sprintf("%d × (%d slow + %d fast)", s.Sets, s.Slow, s.Fast)
}

// The programme (common practice, no source): sets of 10 m that lengthen, or
// three sets of 15 slow and 15 fast repetitions that grow to 30.
var (
	byDistance = []Stage{{3, 10, 0, 0}, {4, 10, 0, 0}, {4, 15, 0, 0}, {4, 20, 0, 0}, {4, 25, 0, 0}, {4, 30, 0, 0}}
	byCount    = []Stage{{3, 0, 15, 15}, {3, 0, 20, 20}, {3, 0, 25, 25}, {3, 0, 30, 30}}
)

// done tells whether e reaches the stage.
func (s Stage) done(e Exercise) bool {
	if s.Metres > 0 {
		return e.Sets >= s.Sets && e.Metres >= s.Metres
	}
	return e.Sets >= s.Sets && e.Slow >= s.Slow && e.Fast >= s.Fast
}

// quietSessions is how often a stage is done quietly before the next, and
// pauseDays after how long a pause the programme goes one stage back.
const (
	quietSessions = 3
	pauseDays     = 14
)

// NextExercise is the next step of one drill.
type NextExercise struct {
	Drill Drill `json:"drill"`
	// Stage is what to do; not meaningful when Pause is true.
	Stage Stage `json:"stage"`
	Pause bool  `json:"pause"`
	// Text says it in a sentence with the reason.
	Text string `json:"text"`
}

// NextExercises returns the next step of heel walks and toe walks from the log,
// the pain entered with it, and the advice: clinician first pauses both. A
// missing pain entry never moves the programme forward, and before the checklist of
// the last FreshDays days is answered nobody knows whether exercises are the thing to
// do: the text then asks for it first.
func NextExercises(log Log, a Advice, rules Rules, today Date) []NextExercise {
	out := make([]NextExercise, 0, len(drillWords))
	first := ""
	if !listAnswered(log, today) {
		first = "Answer the checklist first; if every answer is no: "
	}
	for d := HeelWalk; d <= ToeWalk; d++ {
		n := NextExercise{Drill: d}
		if a.Word == ClinicianFirst {
			n.Pause = true
			n.Text = fmt.Sprintf("Pause the %ss until the clinician has been seen; ask when to take them up again.", d)
		} else {
			n.Stage, n.Text = nextStage(d, current(log.Exercises, d, today), rules, today)
			n.Text = first + n.Text
		}
		out = append(out, n)
	}
	return out
}

// listAnswered tells whether a page of the last FreshDays days has the whole checklist.
func listAnswered(log Log, today Date) bool {
	v := newView(Person{}, log, Sensors{}, Rules{}, today)
	return slices.ContainsFunc(v.live(0, FreshDays-1), func(p page) bool { return len(p.last.Checklist.Open()) == 0 })
}

// current returns the newest versions of one drill's lines up to today that
// were not removed, in order of date.
func current(all []Exercise, d Drill, today Date) []Exercise {
	newest := map[string]Exercise{}
	for _, e := range all {
		if old, ok := newest[e.ID]; !ok || e.Seq >= old.Seq {
			newest[e.ID] = e
		}
	}
	var out []Exercise
	for _, e := range newest {
		if e.Drill == d && !e.Removed && !e.Date.After(today) {
			out = append(out, e)
		}
	}
	slices.SortFunc(out, func(a, b Exercise) int {
		return cmp.Or(cmp.Compare(a.Date.days(), b.Date.days()), cmp.Compare(a.Seq, b.Seq), cmp.Compare(a.ID, b.ID))
	})
	return out
}

// nextStage finds the stage after the log es, oldest first.
func nextStage(d Drill, es []Exercise, rules Rules, today Date) (Stage, string) {
	if len(es) == 0 {
		return byDistance[0], fmt.Sprintf("Begin %ss with %s, slowly and upright; stop if pain passes %d/10.", d, byDistance[0], rules.Limit)
	}
	last := es[len(es)-1]
	stages := byDistance
	if last.Metres == 0 {
		stages = byCount
	}
	at := reached(stages, last)
	switch {
	case last.Pain.Over(rules.Limit):
		s := stages[max(0, at-1)]
		return s, fmt.Sprintf("Pain was %s with the %ss of %s: go back to %s.", last.Pain, d, last.Date, s)
	case today.Since(last.Date) > pauseDays:
		s := stages[max(0, at-1)]
		return s, fmt.Sprintf("The last %ss were on %s: take them up again with %s.", d, last.Date, s)
	case !last.Pain.entered:
		return stages[at], fmt.Sprintf("Repeat %s, and enter the pain this time.", stages[at])
	}
	if n := quiet(stages[at], es, rules); n < quietSessions {
		return stages[at], fmt.Sprintf("Repeat %s: %d of %d quiet times done.", stages[at], n, quietSessions)
	}
	if at == len(stages)-1 {
		return stages[at], fmt.Sprintf("Keep %s, three times a week; ask your physio about added load.", stages[at])
	}
	return stages[at+1], fmt.Sprintf("%s was quiet %d times: go on to %s.", stages[at], quietSessions, stages[at+1])
}

// reached returns the highest stage that e reaches, 0 if none.
func reached(stages []Stage, e Exercise) int {
	for i := len(stages) - 1; i > 0; i-- {
		if stages[i].done(e) {
			return i
		}
	}
	return 0
}

// quiet counts how many lines at the end of es in a row reach s with pain
// entered and within the limit.
func quiet(s Stage, es []Exercise, rules Rules) int {
	n := 0
	for i := len(es) - 1; i >= 0; i-- {
		if !s.done(es[i]) || !es[i].Pain.entered || es[i].Pain.Over(rules.Limit) {
			break
		}
		n++
	}
	return n
}
