package diary

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// load is the running of the last LoadDays in one unit.
type load struct {
	minutes bool
	// weeks holds the running of the last 7 days, the 7 before, …: the first as
	// last entered, the others as the lowest ever entered for each run, a
	// removed run as none, because they are the yardstick.
	weeks [LoadDays / WeekDays]float64
	// lastSix is the running of the last 6 days, which will share a week with a
	// run tomorrow.
	lastSix float64
	// longest and last are single runs.
	longest, last float64
	// mixed tells that no unit covers all runs.
	mixed bool
}

// amount returns the running of an entry in the chosen unit.
func amount(e Entry, minutes bool) float64 {
	if minutes {
		return e.Minutes
	}
	return e.Kilometres
}

// yardstick returns the smallest amount ever entered for the page, 0 if it was
// removed or ever blank.
func (p page) yardstick(minutes bool) float64 {
	low := math.Inf(1)
	for _, e := range p.versions {
		low = min(low, amount(e, minutes))
		if e.Removed {
			return 0
		}
	}
	return low
}

// loadOf counts the running. Minutes are preferred; kilometres are used when
// every run has them and some run has no minutes.
func (v *view) loadOf() load {
	all := runs(v.within(0, LoadDays-1))
	covers := func(minutes bool) bool {
		for _, p := range all {
			if amount(p.Entry, minutes) <= 0 {
				return false
			}
		}
		return true
	}
	l := load{minutes: true}
	if !covers(true) {
		l.minutes = false
		l.mixed = !covers(false)
	}
	for _, p := range all {
		v.count(&l, p)
	}
	return l
}

func (v *view) count(l *load, p page) {
	week, done := v.age(p)/WeekDays, amount(p.Entry, l.minutes)
	low := p.yardstick(l.minutes)
	if week > 0 {
		l.weeks[week] += low
	} else {
		l.weeks[0] += done
	}
	if v.age(p) < WeekDays-1 {
		l.lastSix += done
	}
	l.longest = max(l.longest, low)
	if low > 0 {
		l.last = low
	}
}

// fullest returns the fullest of the weeks before the last 7 days.
func (l load) fullest() float64 {
	most := 0.0
	for _, w := range l.weeks[1:] {
		most = max(most, w)
	}
	return most
}

// text prints an amount.
func (l load) text(x float64) string {
	if l.minutes {
		return fmt.Sprintf("%.0f min", x)
	}
	return fmt.Sprintf("%.1f km", x)
}

// loadRule holds when the last week rose more than the convention allows over
// the fullest of the three weeks before. It is a convention and not proven.
func loadRule(v *view) []Reason {
	l := v.loadOf()
	if l.mixed {
		return []Reason{{Rule: "uncounted-running", Word: Hold, Missing: true,
			Text: "The running of the last 28 days cannot be added up: give minutes for every run, or the distance for every run."}}
	}
	most, allowed := l.fullest(), l.fullest()*(1+v.rules.WeeklyRise)
	switch {
	case l.weeks[0] == 0:
		return nil
	case most == 0:
		return []Reason{{Rule: "first-week", Word: Hold,
			Text: "There is no running in the three weeks before this one to count a rise from: repeat this week's amount before you add to it."}}
	case l.weeks[0] > allowed+1e-9: // equal but for rounding is not a rise
		return []Reason{{Rule: "weekly-rise", Word: Hold,
			Text: fmt.Sprintf("You ran %s in the last 7 days; %.0f %% over the fullest of the three weeks before (%s) would be %s (a convention, not proven).",
				l.text(l.weeks[0]), 100*v.rules.WeeklyRise, l.text(most), l.text(allowed))}}
	}
	return nil
}

// backShare is the share of the last run that a step back takes (common
// practice, no source).
const backShare = 0.5

// firstRun is the advice where no run is known (entry line of 30 minutes' brisk
// walking: practitioner pages, weak; the rest common practice, no source).
const firstRun = "A short first run on flat ground, one minute running and one walking in turn for ten minutes, and only if 30 minutes of brisk walking are free of pain. Enter it with the checklist."

// firstSteps says for each tier what comes before any thought of running.
var firstSteps = [...]string{"See a clinician", "See a clinician before any further run", "See a clinician today", "Get emergency care now"}

// nextRun bounds the next run for the word. A more careful word never leaves
// more running than a bolder one.
func (v *view) nextRun(a Advice) NextRun {
	if a.Word == ClinicianFirst {
		return NextRun{Text: firstSteps[a.Tier] + ". No run before the clinician has been seen and the release is entered."}
	}
	for _, r := range a.Reasons {
		if r.Missing {
			return NextRun{From: v.today, Text: "First enter what is missing, then look here again. Until then do not run."}
		}
	}
	l := v.loadOf()
	if l.longest == 0 && !l.mixed {
		return NextRun{Allowed: true, From: v.today, Text: firstRun}
	}
	most, text := l.last, "Not more than last time: at most {amount}, not on two days in a row; stop if pain passes {limit}/10."
	switch a.Word {
	case StepBack:
		most, text = l.last*backShare, "Wait until a whole day of walking stays at or under {quiet}/10. Then at most {amount}, running and walking in turn, and a day without running after it."
	case WithinRules:
		most, text = l.longest*(1+v.rules.WeeklyRise), "At most {amount}; stop if pain passes {limit}/10. Enter pain during, just after and the next morning."
	}
	return v.fit(l, most, text)
}

// fit keeps the next run inside what the weekly rise leaves this week, and names
// the day from which there is room when there is none now.
func (v *view) fit(l load, most float64, text string) NextRun {
	room := l.fullest()*(1+v.rules.WeeklyRise) - l.lastSix
	if l.fullest() == 0 || room >= most*backShare {
		if l.fullest() > 0 {
			most = min(most, room)
		}
		return v.bound(l, most, text)
	}
	from := v.oldestOfWeek().Add(WeekDays)
	n := v.bound(l, min(most, l.last), "This week is full. From "+from.String()+": "+text)
	n.From = from
	return n
}

// bound fills a NextRun with an amount rounded down to what can be run. The
// text names the amount as {amount}, the limit in force as {limit} and the
// quiet limit as {quiet}.
func (v *view) bound(l load, x float64, text string) NextRun {
	n := NextRun{Allowed: true, From: v.today}
	amount := "what you last ran without pain"
	switch {
	case l.mixed || x <= 0:
	case l.minutes:
		n.Minutes = math.Floor(x)
		amount = l.text(n.Minutes)
	default:
		n.Kilometres = math.Floor(10*x) / 10
		amount = l.text(n.Kilometres)
	}
	n.Text = strings.NewReplacer("{amount}", amount, "{limit}", strconv.Itoa(v.limit), "{quiet}", strconv.Itoa(v.rules.Limit)).Replace(text)
	return n
}

// oldestOfWeek returns the day of the oldest run of the last 6 days.
func (v *view) oldestOfWeek() Date {
	for _, p := range runs(v.within(0, WeekDays-2)) {
		return p.Date
	}
	return v.today
}
