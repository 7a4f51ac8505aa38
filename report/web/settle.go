package web

import (
	"fmt"
	"math"
	"strings"

	"setdown/gait"
	"setdown/gait/asymmetry"
	"setdown/gait/session"
	"setdown/gait/step"
	"setdown/signal/recording"
)

// settle says in one sentence what the next recording must add to turn a
// “cannot tell” into an answer, or that there is one.
func settle(res *gait.Result) string {
	l, r := res.Session.Left, res.Session.Right
	if doubt := feetDoubt(res); doubt != "" {
		return "Look at this first: " + doubt + ". Where a foot is wrong, delete this session at the end of the page and send the files again."
	}
	switch {
	case l == nil && r == nil:
		return "For an answer the next recording needs a motion sensor on each foot."
	case l == nil || r == nil:
		missing := recording.Left
		if l != nil {
			missing = recording.Right
		}
		return fmt.Sprintf("For an answer the next recording needs a sensor on the %s foot too, at the same time as on the other.", missing)
	}
	main, _ := res.Asymmetry.Get(step.Primary)
	if main.Verdict != asymmetry.CannotTell {
		return "This recording gave an answer; the next one, on another day and with the sensors taken off and put on again, shows whether it holds."
	}
	return open(res, main)
}

// feetDoubt is the doubt about which foot a file is of, "" where there is none.
func feetDoubt(res *gait.Result) string {
	for _, code := range []string{"side-twice", "side-contradicted"} {
		for _, r := range res.Remarks {
			if r.Code == code {
				return r.String()
			}
		}
	}
	return ""
}

// open words a “cannot tell” of the main measure.
func open(res *gait.Result, main asymmetry.Comparison) string {
	nl, nr := res.Session.Left.Get(step.Primary).N, res.Session.Right.Get(step.Primary).N
	switch {
	case withheldByRate(res):
		return "For an answer the next recording needs 200 samples a second or more from each sensor: set the rate before the run."
	case res.Session.Left.Selected(step.Find(step.Primary)) || res.Session.Right.Selected(step.Find(step.Primary)):
		return "For an answer the next recording needs gyroscopes with a range of 1000 degrees a second or more, better 2000."
	case notSeen(res) != "":
		return "This recording holds no answer: " + notSeen(res) + "."
	case nl+nr == 0:
		return "For an answer the next recording needs steps that land on the heel: run as you usually do, easily, on flat ground."
	case res.Asymmetry.LandDifferently:
		return "For an answer the next recording needs both feet to land alike: an easy, even pace on flat ground, without trying to land in any special way."
	case min(nl, nr) < session.MinSteps:
		return tooFew(res, nl, nr)
	}
	if !res.Together.Comparable {
		return "For an answer the next recording needs both feet at the same time, or one sensor in the order left, right, left."
	}
	_, what, found := strings.Cut(main.Because, ": ")
	if !found {
		what = main.Because
	}
	return "For an answer: " + strings.TrimSuffix(what, ".") + "."
}

// withheldByRate tells whether the rate was too low for the main measure; other measures
// need more of it.
func withheldByRate(res *gait.Result) bool {
	for _, w := range res.Withheld {
		if strings.HasPrefix(w.What, step.Find(step.Primary).Label) && strings.Contains(w.Why, "samples a second") {
			return true
		}
	}
	return false
}

// notSeen is why the analysis withheld the main measure of a foot that may well land on the
// heel, "" where it did not.
func notSeen(res *gait.Result) string {
	for _, w := range res.Withheld {
		if rest, withheld := strings.CutPrefix(w.Why, "lowering withheld: "); withheld && strings.HasPrefix(w.What, step.Find(step.Primary).Label) {
			return rest
		}
	}
	return ""
}

// tooFew says how many steps are missing and about how long that takes.
func tooFew(res *gait.Result, nl, nr int) string {
	side, n := recording.Left, nl
	if nr < nl {
		side, n = recording.Right, nr
	}
	more := session.MinSteps - n
	text := fmt.Sprintf("For an answer the next recording needs at least %d more usable heel-first steps on the %s foot than this one had", more, side)
	// Both feet make StepsPerSecond steps, one foot half of them.
	if rate := res.Session.Cadence.Center / 2; rate > 0 && !math.IsNaN(rate) && n > 0 {
		share := float64(n) / float64(max(1, res.Session.Of(side).Steps))
		seconds := float64(session.MinSteps) / rate / share
		text += fmt.Sprintf(": record about %.0f minutes or more", math.Max(2, math.Ceil(1.5*seconds/60)))
	} else {
		text += ": record two minutes or more"
	}
	return text + ", at an even pace."
}
