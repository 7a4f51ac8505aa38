package recovery

import (
	"fmt"
	"math"

	"setdown/gait/asymmetry"
	"setdown/gait/diary"
	"setdown/gait/estimate"
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

// Point is one day of like sessions on a course. Several sessions of one day
// are repeats: their mean stands for the day.
type Point struct {
	Date diary.Date
	// Sessions are the IDs of the day's sessions.
	Sessions []string
	// Center, Low and High are base units; the interval is that of the steps
	// within the session (averaged over the day's sessions), not of the days.
	Center, Low, High float64
	N                 int
}

// Course is one measure of a group of like sessions over time.
type Course struct {
	// Key is the metric's key; Of says of what: "injured - uninjured", "left",
	// "right", "right - left".
	Key, Of string
	Points  []Point
	// Baseline is the median of the first two or three days, Now that of the
	// last; NaN below MinDays.
	Baseline, Now float64
	// Change is Now − Baseline, with the 95 % interval that the noise gives it.
	Change Value
	// PerWeek is the Theil–Sen slope in units a week with its 95 % interval;
	// below TrendDays days it is a description only and Descriptive is true.
	PerWeek     Value
	Descriptive bool
	// TrendP is the two-sided p of Mann and Kendall's test; NaN below MinDays.
	TrendP float64
	Noise  Noise
	points []point
}

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
		r.Word = Worsening
		r.Because = worseText(c)
		r.Settle = "a session within a week in the same conditions, sensors put on again, tells a bad day from a trend"
	case r.equivalent(all, g, side):
	case found == falling:
		r.improving(g, side, c)
	case found == steady:
		r.Word = NoChangeShown
		r.Because = fmt.Sprintf("the difference between the sides changed by %s, less than can be detected (%s)", show(float64(c.Change.Center)), show(c.Noise.MDC()))
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
	r.Because = "neither side changed by as much as can be detected against its own baseline"
}

// tooFew sets the word where there are too few like days.
func (r *Result) tooFew(c Course) bool {
	n := len(c.points)
	if n >= MinDays {
		return false
	}
	r.Because = fmt.Sprintf("there are like sessions on %d %s, and %d are needed: two for the baseline, because the first is often the worst day, and two for the present", n, days(n), MinDays)
	r.Settle = fmt.Sprintf("%d more %s in the same shoes, on the same surface, at the same speed", MinDays-n, sessionsWord(MinDays-n))
	if len(r.Groups) > 1 && len(r.Groups[1].Differs) > 0 {
		r.Because += "; the sessions before differ in " + list(r.Groups[1].Differs)
	}
	return true
}

// unclear says how far the interval reaches.
func (r *Result) unclear(c Course) {
	r.Because = fmt.Sprintf("the change of %s may be anything from %s to %s: days differ by about as much (%s can be detected)",
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
	r.Because = fmt.Sprintf("the peak lowering rate (%s) fell by %s from the baseline, more than days and fitting explain, and the fall is there without the first day",
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
		return fmt.Sprintf("the peak lowering rate (%s) rose by %s from the baseline, more than days and fitting explain", ofText(c.Of), sure(c.Change, len(c.Points)))
	}
	return fmt.Sprintf("the peak lowering rate (%s) rose again after its best weeks, more than days and fitting explain, though it is still below the baseline", ofText(c.Of))
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

// CourseOf makes the course of one metric over a group. of names what value
// picks, as in Course.Of.
func CourseOf(g Group, key, of string, value func(Measure) Value) Course {
	get := func(s Session) Value { return value(s.Measures[key]) }
	c := Course{Key: key, Of: of, Baseline: math.NaN(), Now: math.NaN(), TrendP: math.NaN()}
	sum, n := 0.0, 0.0
	for i := 0; i < len(g.Sessions); {
		j := i
		var vs []Value
		var ids []string
		for ; j < len(g.Sessions) && g.Sessions[j].Date == g.Sessions[i].Date; j++ {
			if v := get(g.Sessions[j]); v.known() {
				vs, ids = append(vs, v), append(ids, g.Sessions[j].ID)
			}
			for _, s := range []recording.Side{recording.Left, recording.Right} {
				if v := g.Sessions[j].Measures[key].side(s); v.known() {
					sum, n = sum+math.Abs(float64(v.Center)), n+1
				}
			}
		}
		if vs != nil {
			p := meanPoint(vs)
			p.Date, p.Sessions = g.Sessions[i].Date, ids
			c.Points = append(c.Points, p)
		}
		i = j
	}
	c.finish(g, get, sum/max(1, n))
	return c
}

func meanPoint(vs []Value) Point {
	var p Point
	for _, v := range vs {
		k := float64(len(vs))
		p.Center += float64(v.Center) / k
		p.Low += float64(v.Low) / k
		p.High += float64(v.High) / k
		p.N += v.N
	}
	return p
}

// finish fills what follows from the points.
func (c *Course) finish(g Group, get func(Session) Value, mean float64) {
	for _, p := range c.Points {
		c.points = append(c.points, point{p.Date, float64(p.Date.Since(c.Points[0].Date)), p.Center, len(p.Sessions)})
	}
	c.Noise = noiseOf(g, c.points, get, mean)
	nan := Real(math.NaN())
	c.Change = Value{N: len(c.points), Center: nan, Low: nan, High: nan}
	c.PerWeek = c.Change
	c.Descriptive = len(c.points) < TrendDays
	if len(c.points) < MinDays {
		return
	}
	k := levelDays(len(c.points))
	c.Baseline, c.Now = medianOf(c.points[:k]), medianOf(c.points[len(c.points)-k:])
	c.Change = c.value(level(c.points), 1, fmt.Sprintf("median of the last %d days − median of the first %d; interval by Student's t with the noise between days", k, k))
	c.TrendP = estimate.NewMannKendall(lists(c.points)).P
	span := c.points[len(c.points)-1].day
	c.PerWeek = c.value(slope(c.points), 7/span, "Theil–Sen slope; interval by Student's t with the noise between days")
}

// value turns a contrast, scaled, into a value with a 95 % interval.
func (c *Course) value(d contrast, scale float64, method string) Value {
	half := c.Noise.quantile(0.975) * d.se * c.Noise.SD
	return Value{N: len(c.points), Center: Real(d.change * scale), Low: Real((d.change - half) * scale), High: Real((d.change + half) * scale), Method: method}
}

// Pick returns the function that reads from a measure what a Course.Of names.
func Pick(of string, injured asymmetry.Injured) func(Measure) Value {
	side := recording.Left
	if of == "right" || of == "right - left" || of == "injured - uninjured" && injured == asymmetry.InjuredRight {
		side = recording.Right
	}
	if of == "left" || of == "right" {
		return func(m Measure) Value { return m.side(side) }
	}
	return func(m Measure) Value { return m.minus(side) }
}
