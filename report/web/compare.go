package web

import (
	"fmt"
	"math"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"setdown/gait/asymmetry"
	"setdown/gait/diary"
	"setdown/gait/recovery"
	"setdown/gait/step"
	"setdown/report/casebook"
	"setdown/signal/recording"
	"setdown/signal/unit"
)

// compareView is the page that sets sessions or conditions side by side.
type compareView struct {
	Case     casebook.Case
	Today    diary.Date
	Sessions []option
	First    string
	Second   string
	Unlike   []string
	Rows     []compareRow
	// Left and Right head the columns of the sides; Of says what the differences are of.
	Left, Right, Of string
	Bys             []option
	By, Key         string
	Unit            string // of the measure that is compared
	Metrics         []option
	Levels          []levelRow
	Texts           []string
	Apart           []string
	Problem         string
	// Marked are the sessions with alternating stretches, Blocks the one shown.
	Marked []option
	Blocks string
	Within []blockView
	Swap   *swapView
}

// blockView is what alternating stretches of one run show on one side.
type blockView struct {
	Side, Change, Text string
	Left               []string
}

// swapView is what a check with swapped sensors shows.
// Of says what the differences are of.
type swapView struct{ Days, Foot, Sensor, Text, Of string }

type compareRow struct {
	Label, Unit string
	// Cells are left and right of the first session, then of the second.
	Cells [4]string
	// Differences are of each session, as Of says, with their intervals.
	Differences [2]string
}

type levelRow struct{ Value, Sessions, Left, Right string }

func (s *Server) compare(w http.ResponseWriter, r *http.Request) error {
	c, err := s.findCase(r)
	if err != nil {
		return err
	}
	all, err := s.cfg.Book.Sessions(r.Context(), c.ID)
	if err != nil {
		return err
	}
	q := r.URL.Query()
	today, _ := s.day(c)
	v := &compareView{Case: c, Today: today, First: q.Get("first"), Second: q.Get("second"), By: q.Get("by"), Key: q.Get("metric"), Blocks: q.Get("blocks"),
		Metrics: shownMetrics(), Left: sideHead(recording.Left, c.Injured.Side()), Right: sideHead(recording.Right, c.Injured.Side())}
	for _, by := range recovery.Comparable() {
		v.Bys = append(v.Bys, option{by, recovery.ConditionName(by)})
	}
	if !slices.ContainsFunc(v.Metrics, func(o option) bool { return o.Key == v.Key }) {
		v.Key = step.Primary
	}
	nth := 0 // of its day
	for i, x := range all {
		label := dayWords(x.Form.Date)
		if nth++; i == 0 || all[i-1].Form.Date != x.Form.Date {
			nth = 1
		}
		if nth > 1 {
			label += fmt.Sprintf(", run %d of the day", nth)
		}
		v.Sessions = append(v.Sessions, option{x.ID, label + shoeWords(x)})
	}
	if n := len(all); n >= 2 && v.First == "" && v.Second == "" {
		v.First, v.Second = all[0].ID, all[n-1].ID
	}
	v.sessions(all)
	v.conditions(all)
	v.swap(all)
	if err := s.withinRun(r, v, all); err != nil {
		return err
	}
	return s.show(w, r, http.StatusOK, "compare", shell{Title: "Compare: " + c.Name, Here: "/cases", Case: &c, Tab: "compare", Wide: true}, v)
}

// sideHead names a side, and that it is the injured one.
func sideHead(side recording.Side, injured asymmetry.Injured) string {
	if injured == asymmetry.InjuredLeft && side == recording.Left || injured == asymmetry.InjuredRight && side == recording.Right {
		return side.String() + " (injured)"
	}
	return side.String()
}

func shoeWords(x casebook.Session) string {
	if x.Form.Conditions.Shoe == "" {
		return ""
	}
	return ", " + x.Form.Conditions.Shoe
}

// sessions sets two sessions side by side.
func (v *compareView) sessions(all []casebook.Session) {
	pick := func(id string) *recovery.Session {
		for i := range all {
			if all[i].ID == id {
				return &all[i].Summary
			}
		}
		return nil
	}
	a, b := pick(v.First), pick(v.Second)
	if a == nil || b == nil {
		return
	}
	v.Unlike = recovery.Unlike(*a, *b)
	injured := v.Case.Injured.Side()
	v.Of = "right − left"
	if injured == asymmetry.InjuredLeft || injured == asymmetry.InjuredRight {
		v.Of = "injured − uninjured"
	}
	for _, m := range step.Catalogue() {
		x, y := a.Measures[m.Key], b.Measures[m.Key]
		v.Rows = append(v.Rows, compareRow{Label: m.Label, Unit: symbol(m.Unit),
			Cells:       [4]string{valueWords(m, x.Left), valueWords(m, x.Right), valueWords(m, y.Left), valueWords(m, y.Right)},
			Differences: [2]string{withInterval(m, x.Difference.TurnedFor(injured)), withInterval(m, y.Difference.TurnedFor(injured))}})
	}
}

// conditions compares the levels of a condition.
func (v *compareView) conditions(all []casebook.Session) {
	if v.By == "" {
		return
	}
	m := step.Find(v.Key)
	var in []recovery.Session
	for _, x := range all {
		if len(x.Methods) > 0 {
			in = append(in, x.Summary)
		}
	}
	res, err := recovery.Compare(in, v.By, v.Key)
	if err != nil {
		v.Problem = err.Error()
		return
	}
	v.Unit = unitWords(m)
	for _, l := range res.Levels {
		v.Levels = append(v.Levels, levelRow{l.Value, strconv.Itoa(len(l.Sessions)), overDays(m, l.Left), overDays(m, l.Right)})
	}
	for _, x := range res.Contrasts {
		injured := v.Case.Injured.Side()
		v.Texts = append(v.Texts, fmt.Sprintf("%s − %s, %s: left %s, right %s, %s %s.", x.To, x.From, unitWords(m), overDays(m, x.Left), overDays(m, x.Right),
			recovery.DifferenceOf(injured), overDays(m, x.Difference.TurnedFor(injured))), x.Text+".")
	}
	if len(res.Contrasts) == 0 {
		v.Texts = append(v.Texts, "There is nothing to compare yet: the sessions that are alike in everything else all have the same value here.")
	}
	for _, x := range res.Apart {
		v.Apart = append(v.Apart, labelOf(v.Sessions, x.Session)+": "+x.Because)
	}
}

// labelOf is what an option is called.
func labelOf(all []option, key string) string {
	for _, o := range all {
		if o.Key == key {
			return o.Label
		}
	}
	return key
}

// withinRun compares the alternating stretches of one session.
func (s *Server) withinRun(r *http.Request, v *compareView, all []casebook.Session) error {
	for _, x := range slices.Backward(all) {
		if len(x.Form.Blocks) > 0 {
			v.Marked = append(v.Marked, option{x.ID, dayWords(x.Form.Date) + ": " + recovery.FormatBlocks(x.Form.Blocks)})
		}
	}
	if len(v.Marked) == 0 {
		return nil
	}
	at := slices.IndexFunc(all, func(x casebook.Session) bool { return x.ID == v.Blocks && len(x.Form.Blocks) > 0 })
	if at < 0 {
		v.Blocks = v.Marked[0].Key
		at = slices.IndexFunc(all, func(x casebook.Session) bool { return x.ID == v.Blocks })
	}
	_, steps, err := s.cfg.Book.Outputs(r.Context(), v.Case.ID, v.Blocks)
	if err != nil {
		return err
	}
	for _, side := range []recording.Side{recording.Left, recording.Right} {
		timed, err := casebook.TimedSteps(steps, side, v.Key)
		if err != nil {
			return err
		}
		v.Within = append(v.Within, blocksOf(side, step.Find(v.Key), timed, all[at].Form.Blocks))
	}
	return nil
}

func blocksOf(side recording.Side, m step.Metric, steps []recovery.Timed, blocks []recovery.Block) blockView {
	got, err := recovery.CompareBlocks(steps, blocks)
	out := blockView{Side: side.String(), Left: got.Left}
	if err != nil {
		out.Text = "Cannot tell: " + err.Error() + "."
		return out
	}
	// steps.csv has the units that people read.
	show := func(x recovery.Real) string { return minus(strconv.FormatFloat(float64(x), 'f', m.Digits, 64)) }
	out.Change = fmt.Sprintf("%s − %s: %s %s (95 %% interval %s to %s)", got.B, got.A, show(got.Change.Center), symbol(m.Unit), show(got.Change.Low), show(got.Change.High))
	out.Text = strings.ToUpper(got.Text[:1]) + got.Text[1:] + "."
	return out
}

// swap shows the newest check with swapped sensors, if there is one.
func (v *compareView) swap(all []casebook.Session) {
	normal, swapped := recovery.SwapPair(casebook.Summaries(all, v.Today))
	if swapped == nil {
		return
	}
	if normal == nil {
		v.Swap = &swapView{Days: dayWords(swapped.Date), Text: "The check needs a usual session of the same day: record two minutes with each sensor on its own foot as well."}
		return
	}
	m := step.Find(v.Key)
	got, err := recovery.SwapCheck(*normal, *swapped, v.Key)
	if err != nil {
		v.Swap = &swapView{Days: dayWords(swapped.Date), Text: "Cannot tell: " + err.Error() + "."}
		return
	}
	injured := v.Case.Injured.Side()
	got.Foot, got.Sensor = got.Foot.TurnedFor(injured), got.Sensor.TurnedFor(injured)
	v.Swap = &swapView{dayWords(swapped.Date), withInterval(m, got.Foot) + " " + symbol(m.Unit), withInterval(m, got.Sensor) + " " + symbol(m.Unit), got.Text + ".", recovery.DifferenceOf(injured)}
}

func valueWords(m step.Metric, v recovery.Value) string {
	if math.IsNaN(float64(v.Center)) || v.N == 0 {
		return "–"
	}
	return digits(m, float64(v.Center))
}

// withInterval is a value over steps with its interval, or why it has none.
func withInterval(m step.Metric, v recovery.Value) string {
	why := fmt.Sprintf("no interval, n %d", v.N)
	if v.Needed > v.N {
		why = fmt.Sprintf("no interval: %s, %d are needed", stepsWords(v.N), v.Needed)
	}
	return orWhy(m, v, why)
}

// overDays is withInterval of a value over days.
func overDays(m step.Metric, v recovery.Value) string { return orWhy(m, v, recovery.NoInterval(v)) }

func orWhy(m step.Metric, v recovery.Value, why string) string {
	text := valueWords(m, v)
	switch {
	case text == "–":
		return text
	case math.IsNaN(float64(v.Low + v.High)):
		return text + " (" + why + ")"
	}
	return fmt.Sprintf("%s (%s to %s)", text, digits(m, float64(v.Low)), digits(m, float64(v.High)))
}

func stepsWords(n int) string {
	if n == 1 {
		return "1 step"
	}
	return strconv.Itoa(n) + " steps"
}

// digits writes a base-unit value as people read it.
func digits(m step.Metric, v float64) string {
	return minus(strconv.FormatFloat(m.Unit.FromBase(v), 'f', m.Digits, 64))
}

// minus writes a number with a minus sign in place of a hyphen, and none before
// a zero.
func minus(text string) string {
	if !strings.HasPrefix(text, "-") {
		return text
	}
	if strings.Trim(text, "-0.") == "" {
		return text[1:]
	}
	return "−" + text[1:]
}

// unitWords is the unit, or what stands in its place where there is none.
func unitWords(m step.Metric) string {
	if u := symbol(m.Unit); u != "" {
		return u
	}
	return "no unit"
}

// symbol is a unit as people write it.
func symbol(u unit.Unit) string { return strings.Replace(u.Symbol, "s2", "s²", 1) }
