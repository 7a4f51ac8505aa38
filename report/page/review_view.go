package page

import (
	"fmt"
	"html/template"
	"math"
	"slices"
	"strings"

	"setdown/gait/asymmetry"
	"setdown/gait/diary"
	"setdown/gait/recovery"
	"setdown/gait/step"
	"setdown/report/figure"
	"setdown/signal/recording"
)

// newReviewView puts a case into what the template shows.
func newReviewView(r Review, prefix string) reviewView {
	v := reviewView{Prefix: prefix, Limits: Limits, Style: template.CSS(style + reviewStyle), Cautions: Cautions(), CautionNotes: CautionNotes(), Made: r.Made}
	v.Kicker = kickerOf(r)
	v.Headline, v.Sub = headlineOf(r)
	v.Title = r.Name + ": " + v.Headline
	v.Urgent = r.Advice.Word == diary.ClinicianFirst
	v.Run = r.Advice.Next.Text
	v.Laces = r.Advice.Laces
	v.Reasons = reasonViews(r.Advice.Reasons)
	for _, n := range r.Next {
		e := exerciseView{Name: capital(n.Drill.String()) + "s", Dose: n.Stage.String(), Text: n.Text}
		if n.Pause {
			e.Dose = "pause"
		}
		v.Exercises = append(v.Exercises, e)
	}
	v.Control, v.Because, v.Settle = capital(r.Follow.Word.String())+".", sentence(r.Follow.Because), sentence(r.Follow.Settle)
	v.NextTest = nextTest(r)
	v.fillReviewPictures(r)
	v.fillReviewTable(r)
	v.Numbers, v.Form, v.Notes = numbersOf(r), formOf(r), notesOf(r)
	v.Diary = diaryRows(r)
	v.Remarks = remarksOf(r)
	return v
}

// mostRemarks is how many remarks the page lists.
const mostRemarks = 20

// remarksOf are the remarks of the case and of its sessions, the newest first; what
// several sessions say is one line and stands last, so that it hides nothing.
func remarksOf(r Review) []string {
	says := map[string]int{}
	for _, s := range r.Sessions {
		for i, m := range s.Remarks {
			if slices.Index(s.Remarks, m) == i {
				says[m]++
			}
		}
	}
	var out, common []string
	if r.Remarks != "" {
		out = append(out, r.Remarks)
	}
	for _, s := range slices.Backward(r.Sessions) {
		for _, m := range s.Remarks {
			switch n := says[m]; {
			case n == 1:
				out = append(out, dayWords(s.Date)+": "+m)
			case n > 1:
				common = append(common, fmt.Sprintf("%d sessions: %s", n, m))
				says[m] = 0 // said
			}
		}
	}
	out = append(out, common...)
	if n := len(out); n > mostRemarks {
		out = append(out[:mostRemarks], fmt.Sprintf("%d more, of older sessions or of several, are not shown here.", n-mostRemarks))
	}
	return out
}

func kickerOf(r Review) string {
	parts := []string{r.Name, injuredWords(r.Injured), "as of " + dayWords(r.Advice.Today)}
	if r.Invented {
		parts = append([]string{"Invented case, no real person"}, parts...)
	}
	return strings.Join(parts, " · ")
}

func injuredWords(i asymmetry.Injured) string {
	switch i {
	case asymmetry.InjuredBoth:
		return "both sides injured"
	case asymmetry.InjuredUnknown:
		return "injured side not recorded"
	}
	return i.String() + " side injured"
}

// dayWords prints 3 May 2026.
func dayWords(d diary.Date) string {
	if d.IsZero() {
		return "not recorded"
	}
	return fmt.Sprintf("%d %s %d", d.Day, d.Month, d.Year)
}

// headlineOf is the answer about running in the advice's own word, and what the
// recordings add in one sentence.
func headlineOf(r Review) (headline, sub string) {
	headline = capital(r.Advice.Word.String())
	switch r.Advice.Word {
	case diary.ClinicianFirst:
		headline += ": " + r.Advice.Tier.String() + "."
	case diary.StepBack:
		headline += ": run less than last time."
	case diary.Hold:
		headline += ": no more than last time."
		if !r.Advice.Next.Allowed {
			headline = "Hold: something is missing before the next run."
		}
	default:
		headline += ": " + amountWords(r.Advice.Next) + "."
	}
	subs := map[recovery.Word]string{
		recovery.CannotTell:       "Whether control of lowering is coming back cannot be told from the recordings yet.",
		recovery.ControlImproving: "The recordings show control of lowering improving.",
		recovery.NoChangeShown:    "The recordings show no change of control.",
		recovery.Worsening:        "The recordings show control of lowering getting worse.",
		recovery.SidesEquivalent:  "The recordings show both feet lowered alike.",
	}
	sub = subs[r.Follow.Word]
	if days := r.Follow.LastDays; days > 0 {
		sub = fmt.Sprintf("The last recording is %d days old, so this is of then: ", days) + strings.ToLower(sub[:1]) + sub[1:]
	}
	return headline, sub + " Running on is decided by pain and signs, not by these numbers."
}

// amountWords is the next run's bound in a few words.
func amountWords(n diary.NextRun) string {
	switch {
	case n.Minutes > 0:
		return fmt.Sprintf("next run at most %.0f minutes", n.Minutes)
	case n.Kilometres > 0:
		return fmt.Sprintf("next run at most %.1f km", n.Kilometres)
	}
	return "next run no longer than the last"
}

// shownReasons is how many reasons stand on the first screen.
const shownReasons = 6

func reasonViews(rs []diary.Reason) []reasonView {
	var out []reasonView
	for _, r := range rs[:min(len(rs), shownReasons)] {
		v := reasonView{Text: r.Text, Missing: r.Missing}
		if !r.Missing {
			for _, e := range r.Entries[max(0, len(r.Entries)-4):] {
				v.Entries = append(v.Entries, fmt.Sprintf("%s: %s %s", dayWords(e.Date), e.Field, e.Value))
			}
		}
		out = append(out, v)
	}
	if n := len(rs) - shownReasons; n > 0 {
		out = append(out, reasonView{Text: fmt.Sprintf("And %d more.", n)})
	}
	return out
}

func nextTest(r Review) string {
	switch {
	case r.NextTest.IsZero():
		return "No day is set for the next session with sensors; every one to two weeks is enough."
	case r.Advice.Today.After(r.NextTest):
		return "The session with sensors planned for " + dayWords(r.NextTest) + " is due."
	}
	return "Next session with sensors: " + dayWords(r.NextTest) + ", in the same shoes, on the same ground, at the same speed."
}

// fillReviewPictures draws the time axis and the overlays.
func (v *reviewView) fillReviewPictures(r Review) {
	if f, ok := figure.Timeline(timeline(r), v.Prefix); ok {
		v.Pictures = append(v.Pictures, reviewPicture{f, template.HTML(f.SVG)})
	}
	var all []figure.ReviewOverlay
	for _, s := range r.Sessions {
		if s.Left != nil || s.Right != nil {
			all = append(all, figure.ReviewOverlay{Label: fmt.Sprintf("%d %s", s.Date.Day, s.Date.Month.String()[:3]), Left: s.Left, Right: s.Right})
		}
	}
	const shown = 12 // four rows
	all = all[max(0, len(all)-shown):]
	// Push-off begins after about 150 ms and would set the scale.
	const shownMS = 150
	keep := int((shownMS-step.CurveStart*1000)/(step.CurveStep*1000)) + 1
	for i := range all {
		all[i].Left, all[i].Right = all[i].Left[:min(keep, len(all[i].Left))], all[i].Right[:min(keep, len(all[i].Right))]
	}
	if f, ok := figure.Overlays(all, step.CurveStart*1000, step.CurveStep*1000, v.Prefix); ok {
		v.Pictures = append(v.Pictures, reviewPicture{f, template.HTML(f.SVG)})
	}
}

// timeline turns the case into the picture's data, in display units.
func timeline(r Review) figure.Review {
	m := step.Find(step.Primary)
	t := figure.Review{Unit: symbol(m.Unit), What: "injured − other side", Limit: float64(r.Advice.Limit), Today: r.Advice.Today, RunUnit: "min"}
	for i, c := range r.Follow.Primary {
		side := recording.SideUnknown
		if c.Of == "left" || c.Of == "right" {
			side, t.What = []recording.Side{recording.Left, recording.Right}[i], "peak lowering rate"
		} else if c.Of == "right - left" {
			t.What = "right − left side"
		}
		t.Courses = append(t.Courses, reviewCourse(r, c, side, m))
	}
	for i := 1; i < len(r.Sessions); i++ {
		was, is := r.Sessions[i-1].Session, r.Sessions[i].Session
		if d := recovery.Unlike(was, is); d != nil {
			t.Breaks = append(t.Breaks, figure.ReviewBreak{Date: is.Date, Text: breakText(r, i, d)})
		}
	}
	t.Days, t.RunUnit = reviewDays(r.Log)
	return t
}

// breakText says what changed before session i: "as before" when an earlier
// session had the same conditions, else the first thing that differs.
func breakText(r Review, i int, differs []string) string {
	for _, s := range r.Sessions[:i] {
		if recovery.Unlike(s.Session, r.Sessions[i].Session) == nil {
			return "as before"
		}
	}
	return "other " + differs[0]
}

// reviewCourse holds the pooled days and, open, the days of other groups.
func reviewCourse(r Review, c recovery.Course, side recording.Side, m step.Metric) figure.ReviewCourse {
	out := figure.ReviewCourse{Side: side, Baseline: m.Unit.FromBase(c.Baseline), Change: math.NaN()}
	if len(c.Points) >= recovery.MinDays {
		out.Change = m.Unit.FromBase(c.Noise.MDC())
	}
	put := func(ps []recovery.Point, pooled bool) {
		for _, p := range ps {
			out.Points = append(out.Points, figure.ReviewPoint{Date: p.Date, Center: m.Unit.FromBase(p.Center), Low: m.Unit.FromBase(p.Low), High: m.Unit.FromBase(p.High), Pooled: pooled})
		}
	}
	put(c.Points, true)
	for _, g := range r.Follow.Groups[min(1, len(r.Follow.Groups)):] {
		put(recovery.CourseOf(g, c.Key, c.Of, recovery.Pick(c.Of, r.Injured)).Points, false)
	}
	slices.SortStableFunc(out.Points, func(a, b figure.ReviewPoint) int { return a.Date.Since(b.Date) })
	return out
}

// reviewDays sums the newest versions of the diary by day.
func reviewDays(log diary.Log) (out []figure.ReviewDay, unitWord string) {
	entries := diary.Current(log)
	unitWord = "min"
	for _, e := range entries {
		if e.Run && e.Minutes == 0 && e.Kilometres > 0 {
			unitWord = "km"
		}
	}
	number := func(s diary.Score) float64 {
		if v, ok := s.Value(); ok {
			return float64(v)
		}
		return math.NaN()
	}
	for _, e := range entries {
		d := figure.ReviewDay{Date: e.Date, During: number(e.During), After: number(e.After), Morning: number(e.Morning), Run: e.Minutes}
		if unitWord == "km" {
			d.Run = e.Kilometres
		}
		out = append(out, d)
	}
	return out, unitWord
}

// ReviewAnswer is the first screen of a review in two sentences, for a
// terminal.
func ReviewAnswer(r Review) string {
	headline, sub := headlineOf(r)
	return headline + "\n" + sub
}
