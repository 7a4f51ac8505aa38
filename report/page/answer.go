package page

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"setdown/gait"
	"setdown/gait/asymmetry"
	"setdown/gait/session"
	"setdown/gait/step"
	"setdown/signal/recording"
	"setdown/signal/remark"
)

// Reply is the answer of a session in words that a runner understands. The
// page begins with it and the command line prints it.
type Reply struct {
	// Sentence is the answer in one sentence, with its full stop.
	Sentence string
	// Meaning says what the answer can and cannot mean, Next what to do now:
	// short sentences, cautious, deferring to clinicians.
	Meaning, Next []string
	// Sure says how sure the answer is: steps, difference, interval, limit.
	Sure string
	// Verdict is the one of the main measure; CannotTell where there is none.
	Verdict asymmetry.Verdict
}

// String returns the reply as plain text, a paragraph a line.
func (r Reply) String() string {
	lines := []string{r.Sentence}
	if len(r.Meaning) > 0 {
		lines = append(lines, strings.Join(r.Meaning, " "))
	}
	if len(r.Next) > 0 {
		lines = append(lines, "Next: "+strings.Join(r.Next, " "))
	}
	if r.Sure != "" {
		lines = append(lines, "How sure: "+r.Sure)
	}
	return strings.Join(lines, "\n")
}

// Answer puts the result into words. The main measure, the peak lowering rate,
// makes the answer; the other measures are only mentioned.
func Answer(res *gait.Result) Reply {
	q := question{res: res, injured: res.Injured}
	if res.Session != nil {
		q.left, q.right = res.Session.Left, res.Session.Right
	}
	q.main, _ = res.Asymmetry.Get(step.Primary)
	return q.answer()
}

// question is what an answer is made from.
type question struct {
	res         *gait.Result
	left, right *session.Side
	injured     asymmetry.Injured
	main        asymmetry.Comparison
}

func (q question) answer() Reply {
	l, r := q.left, q.right
	switch {
	case l == nil && r == nil:
		return q.stepRateOnly()
	case l == nil:
		return q.oneSide(r)
	case r == nil:
		return q.oneSide(l)
	case l.Used == 0 && r.Used == 0:
		return Reply{Sentence: "No usable steps were found in this recording, so nothing can be said about either foot.",
			Next: []string{"The remarks on the page say what was found instead.", helpFirst}}
	case q.res.Asymmetry != nil && q.res.Asymmetry.LandDifferently:
		return q.landDifferently()
	case q.n(l) == 0 || q.n(r) == 0:
		return q.notMeasured()
	}
	switch q.main.Verdict {
	case asymmetry.Different:
		return q.different()
	case asymmetry.Alike:
		return q.alike()
	}
	return q.cannotTell()
}

// n is how many steps of a side have the main measure.
func (q question) n(s *session.Side) int { return s.Get(step.Primary).N }

func (q question) stepRateOnly() Reply {
	out := Reply{Next: []string{"To see how each foot is put down, record with a motion sensor on each foot.", helpFirst}}
	told, prefix := "was recorded", ""
	if q.noSide() {
		told, prefix = "can be told", "It is not known which foot was recorded. "
		out.Next[0] = fmt.Sprintf("Say which foot each recording is of (%s): in its file's name or headings, or where you give the file.", q.sideless())
	}
	out.Sentence = prefix + "Nothing " + told + " that shows how a foot is put down."
	if q.res.Session != nil && !math.IsNaN(q.res.Session.Cadence.Center) && q.res.Session.Cadence.N > 0 {
		out.Sentence = fmt.Sprintf("%sOnly your step rate %s: %s steps a minute.", prefix, told, perMinute(q.res.Session.Cadence.Center))
	}
	return out
}

// Beside returns the remarks that the answer does not make itself, for what shows
// both. The answer says that a foot is not known where at most one foot is.
func Beside(res *gait.Result) []remark.Remark {
	s := res.Session
	if s == nil || s.Left != nil && s.Right != nil {
		return res.Remarks
	}
	return slices.DeleteFunc(slices.Clone(res.Remarks), func(r remark.Remark) bool { return r.Code == gait.SideUnknown })
}

// sideless names the recordings of which the foot is not known.
func (q question) sideless() string {
	var names []string
	for _, in := range q.res.Inputs {
		if in.Side == recording.SideUnknown {
			names = append(names, in.Label)
		}
	}
	return strings.Join(names, ", ")
}

// noSide tells whether a foot was recorded without a word on which.
func (q question) noSide() bool {
	return q.res.Session != nil && slices.ContainsFunc(q.res.Inputs, func(in gait.Input) bool { return in.Side == recording.SideUnknown })
}

func (q question) oneSide(s *session.Side) Reply {
	side, other := s.Side, s.Side.Other()
	out := Reply{Next: []string{fmt.Sprintf("Record the %s foot too, at the same time and at the same pace; then the two can be compared.", other), helpFirst}}
	if q.noSide() {
		out.Next[0] = fmt.Sprintf("Another recording (%s) does not say which foot it is of. If it is the %s one, say so in its file's name, or where you give the file.", q.sideless(), other)
	}
	switch {
	case s.Used == 0:
		out.Sentence = fmt.Sprintf("Only the %s foot was recorded, and no usable steps were found.", q.named(side))
	case q.n(s) == 0:
		out.Sentence = fmt.Sprintf("Only the %s foot was recorded, and %s.", q.named(side), q.whyNone(s))
		if selected(s) {
			out.Next = append([]string{widerRange}, out.Next...)
		}
	default:
		out.Sentence = fmt.Sprintf("Only the %s foot was recorded: it was put down at %s.", q.named(side), rate(center(s)))
		out.Sure = q.sureOfOne(s)
		out.Meaning = []string{"One foot alone says little: what is usual differs from person to person."}
	}
	return out
}

// named is a side, and whether it is the injured one where one is.
func (q question) named(side recording.Side) string {
	switch {
	case injuredSide(q.injured, side):
		return "injured " + side.String()
	case injuredSide(q.injured, side.Other()):
		return "uninjured " + side.String()
	}
	return side.String()
}

// sureOfOne says from how many steps of one foot, and how far its middle value
// may be off, or how many steps are needed.
func (q question) sureOfOne(s *session.Side) string {
	text := fmt.Sprintf("Counted from %s on the %s.", stepsWord(q.n(s)), s.Side)
	if e := s.Get(step.Primary); e.HasInterval() {
		text += fmt.Sprintf(" The 95 %% interval of that speed reaches from %s to %s degrees a second.", number0(e.Low), number0(e.High))
	}
	if q.n(s) < session.MinSteps {
		text += fmt.Sprintf(" That is few: %d on each foot are needed to compare them%s.", session.MinSteps, q.more(q.n(s), q.n(s)))
	}
	return text
}

func (q question) landDifferently() Reply {
	share := func(s *session.Side) string {
		return fmt.Sprintf("%.0f", 100*s.Get(step.HeelFirstKey).Center)
	}
	return Reply{
		Sentence: fmt.Sprintf("Your feet land differently, so how they are put down cannot be compared: of 100 steps the heel lands first in %s on the left and %s on the right.",
			share(q.left), share(q.right)),
		Meaning: []string{"A foot that lands flat has nothing left to lower. That can hide a difference, so lower numbers are not good news by themselves."},
		Next: append([]string{"Record again at an easy, even pace on flat ground, and do not change how you land for the recording.",
			"Tell your physiotherapist or doctor that the feet land differently."}, helpFirst),
		Sure: q.counted(),
	}
}

// helpFirst ends what to do next.
const helpFirst = "If anything under “When to get help” fits, do that first."

func (q question) notMeasured() Reply {
	out := Reply{Sure: q.counted(), Meaning: q.whyWithheld(), Next: []string{"The list “Not measured, and why” says what a next recording needs.", helpFirst}}
	if selected(q.left) || selected(q.right) {
		out.Next[0] = widerRange
	}
	l, r := q.n(q.left), q.n(q.right)
	switch {
	case l == 0 && r == 0 && neverHeelFirst(q.left) && neverHeelFirst(q.right):
		out.Sentence = "Neither foot landed heel first, so there was no lowering of the forefoot to measure."
		out.Meaning = []string{"Landing on the middle or the front of the foot loads the calf and the forefoot more. It says nothing about how well the shin muscle works."}
		out.Next = []string{"If you usually land on the heel, record again as you usually run.", helpFirst}
	case l == 0 && r == 0:
		out.Sentence = capital(q.whyNone(q.left)) + ", on both feet."
	case l == 0:
		out.Sentence = fmt.Sprintf("Cannot tell: on the left, %s.", q.whyNone(q.left))
	default:
		out.Sentence = fmt.Sprintf("Cannot tell: on the right, %s.", q.whyNone(q.right))
	}
	return out
}

// whyWithheld says, for each foot without the main measure, what the analysis gave as
// the reason, unless the answer's sentence says it already.
func (q question) whyWithheld() []string {
	why := func(s *session.Side) string {
		for _, w := range q.res.Withheld {
			if w.What == fmt.Sprintf("%s, %s foot", step.Find(step.Primary).Label, s.Side) && !selected(s) && !neverHeelFirst(s) {
				return strings.TrimSuffix(w.Why, ".") + "."
			}
		}
		return ""
	}
	left, right := why(q.left), why(q.right)
	switch {
	case left == "" && right == "":
		return nil
	case left == right:
		return []string{"Why, on both feet: " + left}
	case right == "":
		return []string{"Why, on the left: " + left}
	case left == "":
		return []string{"Why, on the right: " + right}
	}
	return []string{"Why, on the left: " + left, "On the right: " + right}
}

// selected tells whether the gyroscope's range hid a side's faster steps.
func selected(s *session.Side) bool { return s.Selected(step.Find(step.Primary)) }

// widerRange is what a next recording needs where the gyroscope clipped.
const widerRange = "Set the gyroscope to a range of 1000 degrees a second or more, better 2000, and record again."

// neverHeelFirst tells whether a side's steps were seen to land otherwise.
func neverHeelFirst(s *session.Side) bool {
	m := s.Get(step.HeelFirstKey)
	return m.N > 0 && m.Center == 0
}

// whyNone says why a side has no main measure, as a clause.
func (q question) whyNone(s *session.Side) string {
	if selected(s) {
		if s.Fast == s.Used {
			return "every step turned faster than the sensor's range can show"
		}
		return fmt.Sprintf("%d of %d steps turned faster than the sensor's range can show, and the others are the slower ones", s.Fast, s.Used)
	}
	if neverHeelFirst(s) {
		return "no step landed heel first, so there was no lowering to measure"
	}
	return "how the forefoot is lowered could not be measured"
}

// different words the verdict and says which foot was faster.
func (q question) different() Reply {
	fast, slow := q.main.First, q.main.Second
	if q.main.Difference.Center < 0 {
		fast, slow = slow, fast
	}
	first, second, how := fast, slow, "faster"
	if q.isInjured(slow) && !q.isInjured(fast) {
		first, second, how = slow, fast, "more slowly"
	}
	out := Reply{Verdict: asymmetry.Different, Sure: q.sure(),
		Sentence: fmt.Sprintf("Your %s was put down %s than the %s: %s against %s, which is more than refitting the sensors or ordinary unevenness would explain.",
			q.foot(first), how, second, number0(center(q.of(first))), rate(center(q.of(second))))}
	out.Meaning = append([]string{
		"After the heel lands, a muscle at the front of the shin lets the front of the foot down.",
		fmt.Sprintf("On the %s it came down faster, so it may have been held back less. The way of landing, the shoe, the ground or the fit of a sensor can do this too.", fast),
	}, q.extra()...)
	out.Next = []string{"Record again on another day, with the sensors taken off and put on again.",
		"If it shows again, show this page to a physiotherapist or doctor.", helpFirst}
	return out
}

func (q question) alike() Reply {
	out := Reply{Verdict: asymmetry.Alike, Sure: q.sure()}
	first, second := q.main.First, q.main.Second
	values := fmt.Sprintf("%s on the %s and %s on the %s", rate(center(q.of(first))), first, number0(center(q.of(second))), second)
	switch q.injured {
	case asymmetry.InjuredBoth:
		out.Sentence = fmt.Sprintf("The two feet came down alike, %s; as both are injured, that does not say how well.", values)
	case asymmetry.InjuredUnknown:
		out.Sentence = fmt.Sprintf("The two feet came down alike: %s.", values)
	default:
		out.Sentence = fmt.Sprintf("Your %s came down like the other: %s.", q.foot(first), values)
	}
	out.Meaning = append([]string{"Alike means: no more apart than refitting the sensors or ordinary unevenness can make. It does not mean healed."}, q.extra()...)
	out.Next = []string{"This is one look. Pain, a slap you can hear or a foot you trip over count for more than these numbers.", helpFirst}
	return out
}

func (q question) cannotTell() Reply {
	out := Reply{Sure: q.sure()}
	l, r := q.n(q.left), q.n(q.right)
	switch {
	case l < session.MinSteps || r < session.MinSteps:
		out.Sentence = fmt.Sprintf("Cannot tell yet: only %s; record at least %d a side%s.", few(l, r), session.MinSteps, q.more(l, r))
		out.Next = []string{"Record longer, at an even pace on flat ground. " + moreIsBetter}
	case q.res.Together.Because == "" && q.straddles():
		out.Sentence = fmt.Sprintf("Cannot tell yet: your %s came down at %s and the %s at %s, too close to call.",
			q.foot(q.main.First), number0(center(q.of(q.main.First))), q.main.Second, rate(center(q.of(q.main.Second))))
		out.Next = []string{sentence(settle(q.main.Because))}
	default:
		why, do, _ := strings.Cut(q.main.Because, "; ")
		out.Sentence = "Cannot tell: " + why + "."
		if do != "" {
			out.Next = []string{sentence(do)}
		}
	}
	out.Meaning = append([]string{"Cannot tell is not a good or a bad result. The recording does not hold the answer."}, q.extra()...)
	out.Next = append(out.Next, helpFirst)
	return out
}

const moreIsBetter = "One or two minutes give a much surer answer than the least."

// settle returns what would settle a verdict: the part of the reason after its
// colon, or the whole reason.
func settle(because string) string {
	if _, after, ok := strings.Cut(because, ": "); ok {
		return after
	}
	return because
}

// straddles tells whether the interval reaches across the floor, which more
// data may settle.
func (q question) straddles() bool {
	d, f := q.main.Difference, q.main.Floor
	if !d.HasInterval() || math.IsNaN(f) {
		return false
	}
	inside := d.Low >= -f && d.High <= f
	beyond := d.Low > f || d.High < -f
	return !inside && !beyond
}
