package recovery

import (
	"fmt"

	"setdown/gait/asymmetry"
	"setdown/gait/diary"
	"setdown/gait/step"
	"setdown/signal/recording"
)

// Word is what the sessions of a case show.
type Word uint8

// The words.
const (
	CannotTell Word = iota
	ControlImproving
	NoChangeShown
	Worsening
	SidesEquivalent
)

var wordTexts = [...]string{"cannot tell", "control improving", "no change shown", "worsening", "sides equivalent"}

// String returns the word as it is printed.
func (w Word) String() string { return wordTexts[w] }

// MarshalText writes the word as String does.
func (w Word) MarshalText() ([]byte, error) { return []byte(w.String()), nil }

// Result is the follow-up of a case.
type Result struct {
	Injured asymmetry.Injured
	Word    Word
	// Because is why, Settle what would settle a doubt ("" where there is none).
	Because, Settle string
	// Groups holds the like sessions, the newest group first; the word is about
	// that one. Apart lists sessions that are shown but not pooled.
	Groups []Group
	Apart  []Apart
	// Primary are the courses that the word was made from: one, or one a side
	// where both are injured. Empty where there is no session.
	Primary []Course
	// Notes are further sentences that the reader should know.
	Notes []string
	// LastDays is how many days old the last recording is, 0 up to StaleAfter (AsOf).
	LastDays int
}

// StaleAfter is how many days after the last recording what the recordings showed
// is said to be of the past: two missed sessions at one every two weeks (own choice).
const StaleAfter = 28

// AsOf adds a note where the newest recording is more than StaleAfter days older
// than today. Sessions may be in any order; those after today do not count.
func (r *Result) AsOf(today diary.Date, sessions []Session) {
	var last diary.Date
	for _, s := range sessions {
		if !s.Date.After(today) && (last.IsZero() || s.Date.After(last)) {
			last = s.Date
		}
	}
	if days := today.Since(last); !last.IsZero() && days > StaleAfter {
		r.LastDays = days
		r.Notes = append(r.Notes, fmt.Sprintf("The last recording is %d days old (%s): what it showed may have changed since. A new one would tell.", days, last))
	}
}

// Follow judges the sessions of a case, in any order.
//
// The word is about the newest group of like sessions; a change of shoes, of
// speed or of anything else that Unlike compares begins a new group, and so
// never reads as a change of control. Words need MinDays days in the group.
func Follow(sessions []Session, injured asymmetry.Injured) Result {
	r := Result{Injured: injured}
	r.Groups, r.Apart = Groups(sessions)
	if len(r.Groups) == 0 {
		r.Because = "there is no session with enough steps on both sides yet"
		r.Settle = "add a session with at least 25 used steps on each side"
		return r
	}
	g := r.Groups[0]
	switch injured {
	case asymmetry.InjuredLeft, asymmetry.InjuredRight:
		r.oneSide(sessions, g)
	case asymmetry.InjuredBoth:
		r.bothSides(sessions, g)
	default:
		r.Primary = []Course{CourseOf(g, step.Primary, "right - left", func(m Measure) Value { return m.minus(recording.Right) })}
		r.Because, r.Settle = "it is not recorded which side is injured", "say which side is injured: left, right or both"
	}
	if len(r.Groups) > 1 {
		n := count(r.Groups[1:])
		r.Notes = append(r.Notes, fmt.Sprintf("%d %s under other conditions: shown, not pooled.", n, sessionsWord(n)))
	}
	return r
}

func count(gs []Group) int {
	n := 0
	for _, g := range gs {
		n += len(g.Sessions)
	}
	return n
}

// oneSide judges the difference injured − uninjured.
func (r *Result) oneSide(all []Session, g Group) {
	side := recording.Left
	if r.Injured == asymmetry.InjuredRight {
		side = recording.Right
	}
	c := CourseOf(g, step.Primary, "injured - uninjured", func(m Measure) Value { return m.minus(side) })
	r.Primary = []Course{c}
	if r.tooFew(c) {
		return
	}
	found := look(c.points, c.Noise)
	switch {
	case found == rising:
		if why := otherFell(g, side, c); why != "" {
			r.Because, r.Settle = why, "two more sessions in the same conditions, sensors put on again"
			return
		}
		r.Word = Worsening
		r.Because = worseText(c)
		r.Settle = "a session within a week in the same conditions, sensors put on again, tells a bad day from a trend"
	case r.equivalent(all, g, side):
	case found == falling:
		r.improving(g, side, c)
	case found == steady:
		r.Word = NoChangeShown
		r.Because = fmt.Sprintf("the difference between the sides changed by %s; single sessions may differ by %s without any change of control", show(float64(c.Change.Center)), show(c.Noise.MDC()))
	default:
		r.unclear(c)
	}
}

// bothSides judges each side against its own baseline; the more careful word
// holds.
func (r *Result) bothSides(all []Session, g Group) {
	for _, side := range []recording.Side{recording.Left, recording.Right} {
		c := CourseOf(g, step.Primary, side.String(), func(m Measure) Value { return m.side(side) })
		r.Primary = append(r.Primary, c)
	}
	if r.tooFew(r.Primary[0]) || r.tooFew(r.Primary[1]) {
		return
	}
	var found [2]finding
	for i, c := range r.Primary {
		found[i] = look(c.points, c.Noise)
	}
	for i, c := range r.Primary {
		if found[i] == rising {
			r.Word, r.Because = Worsening, "the "+c.Of+" side: "+worseText(c)
			r.Settle = "a session within a week in the same conditions tells a bad day from a trend"
			return
		}
	}
	for i, c := range r.Primary {
		if found[i] == unclear {
			r.unclear(c)
			return
		}
	}
	for i, c := range r.Primary {
		if found[i] == falling {
			r.improving(g, [...]recording.Side{recording.Left, recording.Right}[i], c)
			return
		}
	}
	r.Word = NoChangeShown
	r.Because = "neither side changed against its own baseline by more than single sessions may differ without any change of control"
}

// tooFew sets the word where there are too few like days.
func (r *Result) tooFew(c Course) bool {
	n := len(c.points)
	if n >= MinDays {
		return false
	}
	r.Because = fmt.Sprintf("there are like sessions on %d %s, and %d are needed: two for the baseline, because the first is often the worst day, and two for the present", n, days(n), MinDays)
	r.Settle = fmt.Sprintf("%d more %s in the same shoes, on the same surface, at the same speed", MinDays-n, sessionsWord(MinDays-n))
	if k := c.unmeasured(r.Groups[0]); k > 0 {
		r.Because += fmt.Sprintf("; in %d %s the lowering was not measured on both feet", k, sessionsWord(k))
		r.Settle = fmt.Sprintf("%d more %s in which it is (a sensor on each foot; the session itself says what else is missing), in the same shoes, on the same surface, at the same speed", MinDays-n, sessionsWord(MinDays-n))
	}
	if len(r.Groups) > 1 && len(r.Groups[1].Differs) > 0 {
		r.Because += "; the sessions before differ in " + list(r.Groups[1].Differs)
	}
	return true
}

// unclear says how far the interval reaches.
func (r *Result) unclear(c Course) {
	r.Because = fmt.Sprintf("the change of %s may be anything from %s to %s: single sessions may differ by %s without any change of control",
		show(float64(c.Change.Center)), show(float64(c.Change.Low)), show(float64(c.Change.High)), show(c.Noise.MDC()))
	r.Settle = "two more sessions in the same conditions; sensors taken off and put on again in one session would show how much of the scatter is fitting"
}

// improving sets ControlImproving unless something else may explain the change.
func (r *Result) improving(g Group, side recording.Side, c Course) {
	if gaps := g.Sessions[len(g.Sessions)-1].Conditions.NotRecorded(); gaps != nil {
		r.Because = "the number became smaller, but the " + list(gaps) + " of the sessions is not recorded, and a change of it could do the same"
		r.Settle = "record " + list(gaps) + " with each session (setdown case add has flags for it)"
		return
	}
	if why := flatter(g, side, c); why != "" {
		r.Because = why
		r.Settle = "sessions in which the foot lands as it did at first"
		return
	}
	if why := otherSide(g, side, c); r.Injured != asymmetry.InjuredBoth && why != "" {
		r.Because = why
		r.Settle = "two more sessions in the same conditions"
		return
	}
	r.Word = ControlImproving
	fall := Value{Center: -c.Change.Center, Low: -c.Change.High, High: -c.Change.Low}
	r.Because = fmt.Sprintf("the peak lowering rate (%s) fell by %s from the baseline, more than differences between days and putting the sensors on again explain, and the fall is there without the first day",
		ofText(c.Of), sure(fall, len(c.Points)))
}

func ofText(of string) string {
	if of == "injured - uninjured" {
		return "injured side above the other"
	}
	return of + " side"
}

// worseText says against what it became worse.
func worseText(c Course) string {
	if float64(c.Change.Center) > 0 {
		return fmt.Sprintf("the peak lowering rate (%s) rose by %s from the baseline, more than differences between days and putting the sensors on again explain", ofText(c.Of), sure(c.Change, len(c.Points)))
	}
	return fmt.Sprintf("the peak lowering rate (%s) rose again after its best weeks, more than differences between days and putting the sensors on again explain, though it is still below the baseline", ofText(c.Of))
}

// sure prints a change with its 95 % interval and the number of days behind it.
func sure(v Value, days int) string {
	return fmt.Sprintf("%s (95 %% interval %s to %s, %d days)", show(float64(v.Center)), show(float64(v.Low)), show(float64(v.High)), days)
}

// show prints an angular rate for people.
func show(radPerS float64) string {
	m := step.Find(step.Primary)
	return fmt.Sprintf("%.*f %s", m.Digits, m.Unit.FromBase(radPerS), m.Unit.Symbol)
}
