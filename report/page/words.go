package page

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"setdown/gait/asymmetry"
	"setdown/gait/session"
	"setdown/gait/step"
	"setdown/signal/recording"
	"setdown/signal/unit"
)

// isInjured tells whether a side is named as injured.
func (q question) isInjured(side recording.Side) bool { return injuredSide(q.injured, side) }

func injuredSide(injured asymmetry.Injured, side recording.Side) bool {
	switch injured {
	case asymmetry.InjuredLeft:
		return side == recording.Left
	case asymmetry.InjuredRight:
		return side == recording.Right
	}
	return injured == asymmetry.InjuredBoth
}

// foot names a foot; the injured one by that word where the other is not.
func (q question) foot(side recording.Side) string {
	if q.isInjured(side) && !q.isInjured(side.Other()) {
		return "injured " + side.String() + " foot"
	}
	return side.String() + " foot"
}

// of returns the summary of a side.
func (q question) of(side recording.Side) *session.Side { return q.res.Session.Of(side) }

// center is a side's main measure in rad/s.
func center(s *session.Side) float64 { return s.Get(step.Primary).Center }

// rate writes a turning rate in words.
func rate(v float64) string { return number0(v) + " degrees a second" }

// number0 writes a turning rate as a whole number of degrees a second.
func number0(v float64) string {
	return strconv.FormatFloat(unit.DegreePerSecond.FromBase(v), 'f', 0, 64)
}

func perMinute(v float64) string {
	return strconv.FormatFloat(unit.PerMinute.FromBase(v), 'f', 0, 64)
}

func stepsWord(n int) string {
	if n == 1 {
		return "1 usable step"
	}
	return strconv.Itoa(n) + " usable steps"
}

// few names the sides that have too few steps.
func few(l, r int) string {
	switch {
	case r >= session.MinSteps:
		return stepsWord(l) + " on the left"
	case l >= session.MinSteps:
		return stepsWord(r) + " on the right"
	}
	return fmt.Sprintf("%s on the left and %d on the right", stepsWord(l), r)
}

// moreStep is the step, in s, to which a recommended recording time is rounded
// up.
const moreStep = 5

// more says about how much longer the recording must be, from the rate at
// which this one gave steps; "" when that is unknown.
func (q question) more(l, r int) string {
	begin, end := math.Inf(1), math.Inf(-1)
	for i := range q.res.Steps {
		begin = math.Min(begin, q.res.Steps[i].InitialContact)
		end = math.Max(end, q.res.Steps[i].InitialContact)
	}
	if n := min(l, r); n > 1 && end > begin {
		perSecond := float64(n) / (end - begin)
		s := math.Ceil(float64(session.MinSteps-n)/perSecond/moreStep) * moreStep
		if s > 120 {
			return fmt.Sprintf(" (about %.0f min more)", math.Ceil(s/60))
		}
		return fmt.Sprintf(" (about %.0f s more)", s)
	}
	return ""
}

// counted says what was counted.
func (q question) counted() string {
	return fmt.Sprintf("Counted from %s on the left and %d on the right.", stepsWord(q.left.Used), q.right.Used)
}

// sure says from how many steps, how large the difference is, how far it may
// be off, and where the limit lies.
func (q question) sure() string {
	text := fmt.Sprintf("Counted from %s on the left and %d on the right.", stepsWord(q.n(q.left)), q.n(q.right))
	d := q.main.Difference
	if !d.HasInterval() {
		return text
	}
	text += fmt.Sprintf(" The difference (%s) is %s; its 95 %% interval reaches from %s to %s.", differenceOf(q.main),
		signed(number0(d.Center))+" degrees a second", signed(number0(d.Low)), signed(number0(d.High)))
	if !math.IsNaN(q.main.Floor) {
		text += fmt.Sprintf(" Up to %s either way counts as alike.", number0(q.main.Floor))
	}
	return text
}

// differenceOf writes which side is taken from which.
func differenceOf(c asymmetry.Comparison) string {
	return c.First.String() + " " + minus + " " + c.Second.String()
}

// minus is the minus sign of text, as long as a plus.
const minus = "\u2212"

// signed puts a plus or a true minus before a written number other than zero; what
// is not measured stays so.
func signed(number string) string {
	if rest, ok := strings.CutPrefix(number, "-"); ok {
		if strings.Trim(rest, "0.") == "" {
			return rest
		}
		return minus + rest
	}
	if number == none || strings.Trim(number, "0.") == "" {
		return number
	}
	return "+" + number
}

// extra is what stands beside the main measure: how much was slowed, how the
// feet land, what else differs, and that both sides are injured.
func (q question) extra() []string {
	var out []string
	l, r := q.left.Get("deceleration_fraction"), q.right.Get("deceleration_fraction")
	if l.N >= session.MinSteps && r.N >= session.MinSteps {
		out = append(out, fmt.Sprintf("When the foot was flat, %s of that speed was gone on the left and %s on the right.", share(l.Center), share(r.Center)))
	}
	if note := q.res.Asymmetry.LandingNote; note != "" {
		out = append(out, sentence(note), LandingCaution)
	}
	if names := q.alsoDifferent(); names != "" {
		out = append(out, "Also different: "+names+".")
	}
	if q.injured == asymmetry.InjuredBoth {
		out = append(out, "Both sides are injured, so neither is a yardstick for the other: compare with your own earlier sessions.")
	}
	return out
}

// alsoDifferent names the other measures whose sides differ.
func (q question) alsoDifferent() string {
	var names []string
	for _, c := range q.res.Asymmetry.Comparisons {
		if c.Verdict == asymmetry.Different && c.Key != step.Primary {
			names = append(names, strings.ToLower(step.Find(c.Key).Label))
		}
	}
	return strings.Join(names, ", ")
}

// share writes a fraction as a whole percentage; below zero, where nothing was
// slowed, as 0 %.
func share(v float64) string { return fmt.Sprintf("%.0f %%", 100*math.Max(0, v)) }

// sentence gives a clause a capital letter and a full stop.
func sentence(s string) string {
	if s == "" || strings.HasSuffix(s, ".") {
		return capital(s)
	}
	return capital(s) + "."
}

// capital returns s with a capital first letter.
func capital(s string) string {
	first, size := utf8.DecodeRuneInString(s)
	if size == 0 {
		return s
	}
	return string(unicode.ToUpper(first)) + s[size:]
}
