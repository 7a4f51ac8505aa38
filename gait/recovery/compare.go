package recovery

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/stat/distuv"

	"setdown/gait/diary"
	"setdown/gait/estimate"
	"setdown/signal/recording"
)

// Level is one value of the condition that is compared.
type Level struct {
	// Value is the condition as recorded, for example "road".
	Value    string
	Sessions []Session
	// Left and Right are the metric's means over the sessions, with the 95 %
	// interval of Student's t over sessions (none below two sessions).
	Left, Right Value
}

// Contrast is one level against another.
type Contrast struct {
	// From and To are the levels' values; changes are To − From.
	From, To string
	// Paired tells whether days that offer both were paired; N is the number of
	// days (paired) or of sessions.
	Paired bool
	// InTurn tells that every day of one value lies before every day of the other:
	// then what changed over time and what the condition does look the same.
	InTurn bool
	// Left, Right and Difference (left − right) are changes with 95 % intervals.
	Left, Right, Difference Value
	// Text says it in a sentence. It is a comparison, not a cause.
	Text string
	// clear tells of each of the three whether it differs from 0 although all that
	// a comparison looks at are given 5 % together.
	clear [looksPerContrast]bool
}

// looksPerContrast counts the difference of the feet and each foot for itself.
const looksPerContrast = 3

// Comparison compares the levels of one condition within one person.
type Comparison struct {
	By, Key   string
	Levels    []Level
	Contrasts []Contrast
	// Apart lists sessions left out because they differ in something else.
	Apart []Apart
}

// Comparable returns what Compare can compare by, as the command line says it.
func Comparable() []string {
	var out []string
	for _, c := range conditions {
		if c.flag != "" {
			out = append(out, c.flag)
		}
	}
	return out
}

// ConditionName is what Compare can compare by, given as the command line says it, in
// the words of the tables.
func ConditionName(flag string) string {
	for _, c := range conditions {
		if c.flag == flag {
			return c.name
		}
	}
	return flag
}

// NoInterval says why a value of Compare stands without one: a mean over one day, or a
// difference of means with one day on a side.
func NoInterval(v Value) string {
	switch {
	case v.Needed > v.N && v.N == 1:
		return fmt.Sprintf("no interval: 1 day, %d are needed", v.Needed)
	case v.Needed > v.N:
		return "no interval: 2 days of each are needed"
	}
	return fmt.Sprintf("no interval, n %d", v.N)
}

// Compare compares a metric between the levels of a condition. Only sessions
// that are alike in everything else than it, judged by the newest session, are
// used. Days that offer both levels are paired: the day's own state falls out.
// The error names what by may be.
func Compare(sessions []Session, by, key string) (Comparison, error) {
	i := slices.IndexFunc(conditions, func(c condition) bool { return c.flag == by && by != "" })
	if i < 0 {
		return Comparison{}, fmt.Errorf("cannot compare by %q; it may be %s", by, strings.Join(Comparable(), ", "))
	}
	cond := conditions[i]
	out := Comparison{By: cond.name, Key: key}
	sorted := slices.Clone(sessions)
	slices.SortStableFunc(sorted, func(a, b Session) int {
		return cmp.Or(a.Date.Since(b.Date), cmp.Compare(a.Order, b.Order), cmp.Compare(a.ID, b.ID))
	})
	for _, s := range sorted {
		if d := unlikeBut(s, newestOf(sorted), cond.name); d != nil {
			out.Apart = append(out.Apart, Apart{s.ID, "differs in " + list(d)})
			continue
		}
		out.place(cond, s)
	}
	for i := range out.Levels {
		l := &out.Levels[i]
		l.Left, l.Right = overSessions(l.Sessions, key, recording.Left), overSessions(l.Sessions, key, recording.Right)
	}
	looks := looksPerContrast * len(out.Levels) * (len(out.Levels) - 1) / 2
	for i, to := range out.Levels {
		for _, from := range out.Levels[:i] {
			out.Contrasts = append(out.Contrasts, contrastOf(from, to, key, looks))
		}
	}
	return out, nil
}

// newestOf is the newest of sorted sessions, a check with swapped sensors only where
// there is no other.
func newestOf(sorted []Session) Session {
	for _, s := range slices.Backward(sorted) {
		if unswapped(s) {
			return s
		}
	}
	return sorted[len(sorted)-1]
}

// place puts a session to its level.
func (c *Comparison) place(cond condition, s Session) {
	for i := range c.Levels {
		if cond.alike(c.Levels[i].Sessions[0], s) {
			c.Levels[i].Sessions = append(c.Levels[i].Sessions, s)
			return
		}
	}
	c.Levels = append(c.Levels, Level{Value: cond.value(s), Sessions: []Session{s}})
}

// contrastOf pairs days where it can, else compares the sessions' means. looks is
// how many such changes the comparison looks at in all.
func contrastOf(from, to Level, key string, looks int) Contrast {
	c := Contrast{From: from.Value, To: to.Value}
	pick := [3]func(Measure) Value{
		func(m Measure) Value { return m.Left }, func(m Measure) Value { return m.Right }, func(m Measure) Value { return m.Difference },
	}
	into := [3]*Value{&c.Left, &c.Right, &c.Difference}
	for i, f := range pick {
		a, b := byDay(from.Sessions, key, f), byDay(to.Sessions, key, f)
		var d []float64
		for _, x := range a {
			for _, y := range b {
				if x.date == y.date {
					d = append(d, y.y-x.y)
				}
			}
		}
		if len(d) >= 2 {
			c.Paired = true
			*into[i] = studentMean(d, "mean of the days' differences; interval by Student's t over days")
			c.clear[i] = clearOf(*into[i], float64(len(d)-1), looks)
		} else {
			v, freedom := welch(ys(a), ys(b))
			*into[i], c.clear[i] = v, clearOf(v, freedom, looks)
		}
	}
	c.InTurn = !c.Paired && inTurn(from.Sessions, to.Sessions)
	c.Text = c.sentence()
	return c
}

// inTurn tells whether the days of one list all lie before those of the other.
func inTurn(a, b []Session) bool {
	first := func(ss []Session) diary.Date { return slices.MinFunc(ss, byDate).Date }
	last := func(ss []Session) diary.Date { return slices.MaxFunc(ss, byDate).Date }
	return first(b).After(last(a)) || first(a).After(last(b))
}

func byDate(a, b Session) int { return a.Date.Since(b.Date) }

func (c Contrast) sentence() string {
	how := "the sessions were on different days"
	if c.Paired {
		how = "paired on the same days"
	}
	n := c.Difference.N
	if math.IsNaN(float64(c.Difference.Low)) {
		return fmt.Sprintf("%s against %s: too few sessions for an interval; run both on the same day, at least twice", c.To, c.From)
	}
	if c.InTurn {
		return fmt.Sprintf("%s against %s: cannot tell: all days of one lie before all days of the other, so that a change over the weeks looks the same as one by what is compared (n %d); run both on the same day, at least twice, or take them in turn", c.To, c.From, n)
	}
	for i, what := range [looksPerContrast]string{"the difference between the feet", "the left foot's value", "the right foot's value"} {
		if c.clear[(i+2)%looksPerContrast] { // left, right, difference
			return fmt.Sprintf("%s against %s: %s differs (%s, n %d); a comparison, not a cause", c.To, c.From, what, how, n)
		}
	}
	return fmt.Sprintf("%s against %s: no difference shown (%s, n %d); more pairs of runs on the same day would narrow it", c.To, c.From, how, n)
}

// byDay returns the days' means of a measure.
func byDay(ss []Session, key string, of func(Measure) Value) []point {
	var out []point
	for _, s := range ss {
		v := of(s.Measures[key])
		if !v.known() {
			continue
		}
		if k := len(out) - 1; k >= 0 && out[k].date == s.Date {
			out[k].y = (out[k].y*float64(out[k].n) + float64(v.Center)) / float64(out[k].n+1)
			out[k].n++
			continue
		}
		out = append(out, point{date: s.Date, y: float64(v.Center), n: 1})
	}
	return out
}

func ys(ps []point) []float64 {
	out := make([]float64, len(ps))
	for i, p := range ps {
		out[i] = p.y
	}
	return out
}

func overSessions(ss []Session, key string, side recording.Side) Value {
	return studentMean(ys(byDay(ss, key, func(m Measure) Value { return m.side(side) })), "mean over days; interval by Student's t over days")
}

// studentMean is the mean of x with the 95 % interval t(0.975, n−1)·s/√n, NaN
// below two values.
func studentMean(x []float64, method string) Value {
	v := Value{N: len(x), Center: Real(math.NaN()), Low: Real(math.NaN()), High: Real(math.NaN()), Method: method}
	if len(x) == 0 {
		return v
	}
	m := estimate.Mean(x)
	v.Center = Real(m)
	if len(x) > 1 {
		half := studentQuantile(float64(len(x)-1)) * estimate.SD(x) / math.Sqrt(float64(len(x)))
		v.Low, v.High = Real(m-half), Real(m+half)
		return v
	}
	v.Needed = daysForInterval
	return v
}

// daysForInterval is how many days a mean needs for an interval: Student's t has
// one degree of freedom less than days.
const daysForInterval = 2

// welch is mean(b) − mean(a) with Welch's interval (Welch, 1947, Biometrika
// 34:28–35) and its degrees of freedom, NaN below two values in either.
func welch(a, b []float64) (v Value, freedom float64) {
	v = Value{N: len(a) + len(b), Center: Real(math.NaN()), Low: Real(math.NaN()), High: Real(math.NaN()),
		Method: "difference of means over days; interval by Welch's t"}
	if len(a) == 0 || len(b) == 0 {
		return v, math.NaN()
	}
	d := estimate.Mean(b) - estimate.Mean(a)
	v.Center = Real(d)
	if len(a) < daysForInterval || len(b) < daysForInterval {
		v.Needed = v.N + max(0, daysForInterval-len(a)) + max(0, daysForInterval-len(b))
		return v, math.NaN()
	}
	na, nb := float64(len(a)), float64(len(b))
	va, vb := math.Pow(estimate.SD(a), 2)/na, math.Pow(estimate.SD(b), 2)/nb
	if va+vb == 0 {
		v.Low, v.High = Real(d), Real(d)
		return v, math.NaN()
	}
	freedom = (va + vb) * (va + vb) / (va*va/(na-1) + vb*vb/(nb-1))
	half := studentQuantile(freedom) * math.Sqrt(va+vb)
	v.Low, v.High = Real(d-half), Real(d+half)
	return v, freedom
}

func studentQuantile(df float64) float64 { return studentAt(0.975, df) }

func studentAt(p, df float64) float64 {
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: df}.Quantile(p)
}

// clearOf tells whether a change with a 95 % interval by Student's t differs from 0
// where 5 % are shared among looks of them (Bonferroni; Dunn, 1961, J Am Stat Assoc
// 56:52). It is false without an interval.
func clearOf(v Value, freedom float64, looks int) bool {
	half := float64(v.High-v.Low) / 2
	if !(half > 0) || math.IsNaN(freedom) {
		return half == 0 && v.Center != 0
	}
	return math.Abs(float64(v.Center)) > half*studentAt(1-0.025/float64(looks), freedom)/studentQuantile(freedom)
}
